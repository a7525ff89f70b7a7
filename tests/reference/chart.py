"""Recomputes totals, interpolations and largest windows with pandas and numpy.

Usage: chart.py FOLDER. Edge rules where the libraries leave a choice: a total runs in straight lines
between readings (numpy.interp) and is flat outside them; a window counts what came at both its ends
(pandas rolling counts only its closed side); a window that reaches back before the first reading begins
with the drain. The largest window is found by trying every minute, because with levels at
whole minutes and windows of whole minutes a straight-line total takes its largest difference there.
"""

import pathlib
import sys

import numpy
import pandas

HALF_A_GRADUATION = 5.0


def standing(entries):
    """The entries that count: a correction's level in the place of the reading it corrects."""
    known = entries[entries["kind"].isin(["level", "change"])].set_index("entry")
    for row in entries[entries["kind"] == "correction"].to_dict("records"):
        known.loc[row["of"], "ml"] = row["ml"]
    struck = entries.loc[entries["kind"] == "struck", "of"]
    return known.drop(index=struck).reset_index()


def totals(levels):
    """Cumulative output by minute: each unit's level plus what earlier units held."""
    unit = (levels["kind"] == "change").cumsum()
    on_unit = levels[levels["kind"] == "level"].assign(unit=unit)
    held = on_unit.groupby("unit")["ml"].last().cumsum().shift(fill_value=0)
    total = on_unit["ml"] + on_unit["unit"].map(held)
    points = pandas.Series(total.to_numpy(), index=on_unit["minutes"])
    return pandas.concat([pandas.Series({0: 0}), points])


def expected(row, points, end):
    at = lambda minute: numpy.interp(minute, points.index, points.to_numpy())
    if row["what"] == "total":
        return points.iloc[-1]
    if row["what"] == "output":
        return at(row["from"] + row["length"]) - at(row["from"])
    ends = numpy.arange(0, end + 1)
    return (at(ends) - at(ends - row["length"])).max()


def units_entered(row, levels, end):
    """Upper bound on how many drainage units a window touches."""
    if row["what"] == "output":
        changes = levels.query("kind == 'change'")["minutes"]
        return 1 + changes.between(row["from"], row["from"] + row["length"]).sum()
    return 1 + (levels["kind"] == "change").sum()


def main(folder):
    levels = pandas.read_csv(folder / "chart_levels.csv")
    answers = pandas.read_csv(folder / "chart_answers.csv")
    bad = []
    corrected = levels["kind"].isin(["correction", "struck"]).sum()
    for number, rows in answers.groupby("series"):
        mine = standing(levels[levels["series"] == number].sort_values("entry"))
        points = totals(mine)
        end = mine["minutes"].max()
        for row in rows.to_dict("records"):
            want = expected(row, points, end)
            # The answer is rounded to a thousandth.
            if abs(row["milli"] / 1000 - want) > 0.000501:
                bad.append(f"{row}: numpy says {want}")
            widest = 2 * HALF_A_GRADUATION * units_entered(row, mine, end) + 0.001
            below, above = want - row["low"] / 1000, row["high"] / 1000 - want
            if not (0 <= above + 1e-3 and above <= widest and below <= widest):
                bad.append(f"{row}: range too wide or beside the value")
    print("\n".join(bad[:20]) or f"{len(answers)} answers agree with pandas "
          f"{pandas.__version__} and numpy {numpy.__version__}")
    return bool(bad or len(answers) < 3000 or corrected < 300)


sys.exit(main(pathlib.Path(sys.argv[1])))
