"""Recomputes units.csv with pint, in exact fractions. Usage: units.py FOLDER"""

import csv
import pathlib
import sys
from fractions import Fraction

import pint

SYMBOLS = {
    "cmH2O": "cmH2O", "kPa": "kilopascal", "mmHg": "mmHg", "mbar": "millibar",
    "mL": "milliliter", "L": "liter", "cm": "centimeter", "mm": "millimeter",
    "Fr": "third_of_millimetre", "s": "second", "min": "minute", "h": "hour", "d": "day",
}


def nearest(value):
    """The nearest whole number; a half goes away from zero."""
    floor = abs(value).__floor__()
    whole = floor + (1 if abs(value) - floor >= Fraction(1, 2) else 0)
    return whole if value >= 0 else -whole


def main(folder):
    registry = pint.UnitRegistry(non_int_type=Fraction)
    # ISO 20697, from memory: three to the millimetre. Not taken from the code under test.
    registry.define("third_of_millimetre = millimeter / 3")
    rows = list(csv.DictReader(open(folder / "units.csv", encoding="utf-8")))
    bad = []
    for row in rows:
        names = [SYMBOLS[row[key]] for key in ("from", "to")]
        given = Fraction(int(row["milli"]))
        want = registry.Quantity(given, names[0]).to(names[1]).magnitude
        # Two conversions in pint may not stay fractions; then nothing would be checked exactly.
        if not isinstance(want, Fraction):
            bad.append(f"{row}: pint answered {type(want).__name__}")
        elif nearest(want) != int(row["milli_out"]):
            bad.append(f"{row}: pint says {float(want)}")
        elif abs(float(row["precise"]) * 1000 - float(want)) > 1e-12 * abs(float(want)):
            bad.append(f"{row}: precise is off, pint says {float(want / 1000)}")
    print("\n".join(bad[:20]) or f"{len(rows)} conversions agree with pint {pint.__version__}")
    return bool(bad) or len(rows) < 500


sys.exit(main(pathlib.Path(sys.argv[1])))
