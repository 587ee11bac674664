"""Single cells of a file: each reader returns the value or raises Malformed with what to write instead."""

from __future__ import annotations

import datetime
import re

from scoring.rules.said import Malformed, said

_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ].*)?")
_DAY_FIRST = re.compile(r"(\d{1,2})[./-](\d{1,2})[./-](\d{4}|\d{2})")
_WHOLE = re.compile(r"(\d{1,9})(?:[.,]0+)?")
_YES = frozenset({"1", "x", "y", "yes", "true", "ja", "j", "oui", "guest"})
_NO = frozenset({"", "0", "n", "no", "false", "nee", "nein", "non", "-"})
# A year of two digits: 70 is 1970, 69 is 2069.
PIVOT = 70
EARLIEST = datetime.date(1850, 1, 1)


def a_day(cell: str, column: str, latest: datetime.date | None = None) -> datetime.date:
    """Return the day of `2026-09-01` or, day first, `1-9-2026`, `01.09.26`, `1/9/2026`."""
    wanted = said("Write the day as 2026-09-01 or as 1-9-2026, the day before the month.")
    if found := _ISO.fullmatch(cell):
        year, month, day = (int(part) for part in found.groups())
    elif found := _DAY_FIRST.fullmatch(cell):
        day, month, year = (int(part) for part in found.groups())
        if len(found.group(3)) == 2:
            year += 1900 if year >= PIVOT else 2000
    else:
        raise Malformed(column, wanted)
    try:
        date = datetime.date(year, month, day)
    except ValueError:
        raise Malformed(column, said("There is no such day in the calendar.")) from None
    if date < EARLIEST or (latest is not None and date > latest):
        raise Malformed(column, said("This day is too early, or still to come."))
    return date


def a_whole(cell: str, column: str, most: int, least: int = 0) -> int:
    """Return a whole number, be it written `40`, `40,0` or `40.00`."""
    found = _WHOLE.fullmatch(cell)
    if found is None or not least <= int(found.group(1)) <= most:
        raise Malformed(
            column, said("A whole number from %(least)s to %(most)s is needed.", least=least, most=most)
        )
    return int(found.group(1))


def a_flag(cell: str, column: str) -> bool:
    """Return yes or no."""
    word = cell.casefold()
    if word in _YES or word in _NO:
        return word in _YES
    raise Malformed(column, said("Write yes or no."))


def some_runs(cell: str, column: str) -> list[int]:
    """Return the runs of a cell, parted by spaces, dashes, commas, semicolons, bars or slashes."""
    parts = [part for part in re.split(r"[\s,;|/–-]+", cell) if part]
    return [_a_run(part, column) for part in parts]


def _a_run(part: str, column: str) -> int:
    """Return one run of many; what is none is named, for its cell holds a whole match."""
    try:
        return a_whole(part, column, 1000)
    except Malformed:
        told = said("“%(part)s” is no run: a whole number up to 1,000 is needed.", part=part[:20])
        raise Malformed(column, told) from None


def a_name(cell: str, column: str, most: int = 80) -> str:
    """Return one line with something to read in it."""
    if not any(sign.isalnum() for sign in cell):
        raise Malformed(column, said("A name is needed."))
    if len(cell) > most or not cell.isprintable():
        raise Malformed(column, said("A name has %(most)s signs at most, all of them to be seen.", most=most))
    return cell


def parted(name: str) -> tuple[str, str]:
    """Return (given, family) of `Mira Quendal` or `Quendal, Mira`."""
    if "," in name:
        family, _comma, given = name.partition(",")
        return given.strip(), family.strip()
    given, _space, family = name.rpartition(" ")
    return given, family
