#!/usr/bin/env python3
"""What a time on the clock means at changes of the clocks, by Python's zoneinfo.

    zones.py --write FILE   writes the table that the Rust tests compare with
    zones.py --check FILE   works every row out anew; exit code 1 and the rows that differ, if any

A row is: zone, what the clock shows, and what it means, with tabs between:
    once MOMENT | twice EARLIER LATER | never FROM TO
MOMENT is RFC 3339; FROM and TO are what the clocks showed before and after they went forward.

zoneinfo is part of Python (3.9 and later); it reads the time zone database of the system, or that of
the package tzdata. The table was written with release 2025b. A row of a coming year may change when
a country changes its rules; then the table is written anew and the Rust time zone table updated.
"""

import sys
from datetime import datetime, timedelta, timezone
from zoneinfo import ZoneInfo

# zone, first year, last year
ZONES = [
    ("Europe/London", 2025, 2027),
    ("America/New_York", 2025, 2027),
    ("Australia/Lord_Howe", 2025, 2027),  # half an hour
    ("America/St_Johns", 2025, 2025),  # an offset with half an hour
    ("Pacific/Apia", 2011, 2011),  # left out a whole day
    ("Asia/Kathmandu", 2024, 2024),  # no change; an offset with three quarters
]
AROUND = [timedelta(minutes=m) for m in (-1500, -121, -61, -31, -30, -16, -1, 0, 1, 15, 29, 30, 31, 59, 60, 61, 89, 121, 1500)]


def changes(zone, first, last):
    """Every moment (UTC) at which the offset changes."""
    at = datetime(first, 1, 1, tzinfo=timezone.utc)
    end = datetime(last + 1, 1, 1, tzinfo=timezone.utc)
    step = timedelta(hours=6)
    while at < end:
        before, after = at, at + step
        if before.astimezone(zone).utcoffset() != after.astimezone(zone).utcoffset():
            old = before.astimezone(zone).utcoffset()
            while after - before > timedelta(seconds=1):
                middle = before + (after - before) // 2
                if middle.astimezone(zone).utcoffset() == old:
                    before = middle
                else:
                    after = middle
            yield after.replace(microsecond=0)
        at += step


def means(zone, local):
    """What a clock that shows `local` means there."""
    found = []
    for fold in (0, 1):
        aware = local.replace(tzinfo=zone, fold=fold)
        back = aware.astimezone(timezone.utc).astimezone(zone)
        if back.replace(tzinfo=None) == local and aware.isoformat() not in found:
            found.append(aware.isoformat())
    if len(found) == 2:
        return f"twice {found[0]} {found[1]}"
    if found:
        return f"once {found[0]}"
    # In a gap the two folds give the offsets on either side of it.
    old = local.replace(tzinfo=zone, fold=0).utcoffset()
    new = local.replace(tzinfo=zone, fold=1).utcoffset()
    near = local - old
    for change in changes(zone, near.year - 1, near.year + 1):
        bare = change.replace(tzinfo=None)
        if bare + old <= local < bare + new:
            return f"never {(bare + old).isoformat()} {(bare + new).isoformat()}"
    raise AssertionError(f"no change of {zone} explains {local}")


def rows():
    for name, first, last in ZONES:
        zone = ZoneInfo(name)
        locals_ = {datetime(first, month, 15, 12, 0) for month in range(1, 13)}
        for change in changes(zone, first, last):
            for side in (change - timedelta(seconds=1), change):
                shown = side.astimezone(zone).replace(tzinfo=None)
                locals_ |= {shown + shift for shift in AROUND}
        for local in sorted(locals_):
            yield f"{name}\t{local.isoformat()}\t{means(zone, local)}"


def main(arguments):
    if len(arguments) != 2 or arguments[0] not in ("--write", "--check"):
        print(__doc__, file=sys.stderr)
        return 2
    how, path = arguments
    wanted = list(rows())
    if how == "--write":
        with open(path, "w", encoding="utf-8") as file:
            file.write("\n".join(wanted) + "\n")
        return 0
    with open(path, encoding="utf-8") as file:
        found = file.read().splitlines()
    different = sorted(set(found) ^ set(wanted))
    for row in different:
        print("only in the table:" if row in found else "only by zoneinfo: ", row)
    print(f"{len(found)} rows, {len(different)} differ")
    return 1 if different or len(found) < 500 else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
