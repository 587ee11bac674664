"""Reading values that came from outside: each function returns the value or raises Malformed."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from datetime import date
from fractions import Fraction
from typing import Any

from .said import Malformed, said

CODE = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
NUMBER = re.compile(r"[0-9]{1,6}(\.[0-9]{1,6}|/[1-9][0-9]{0,5})?")


def an_int(value: Any, field: str, low: int, high: int) -> int:
    """Return a whole number from `low` to `high`."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise Malformed(field, said("a whole number is needed here"))
    if not low <= value <= high:
        raise Malformed(
            field, said("a whole number from %(low)s to %(high)s is needed here", low=low, high=high)
        )
    return value


def int_or_none(value: Any, field: str, low: int, high: int) -> int | None:
    """Return a whole number from `low` to `high`, or None for null."""
    return None if value is None else an_int(value, field, low, high)


def a_bool(value: Any, field: str) -> bool:
    """Return true or false, and nothing that merely looks like it."""
    if not isinstance(value, bool):
        raise Malformed(field, said("true or false is needed here"))
    return value


def a_fraction(value: Any, field: str, low: int, high: int) -> Fraction:
    """Return a number above `low` and up to `high`, from a whole number or a text: 30, "2/3", "1.5"."""
    text = str(value) if isinstance(value, int | str) and not isinstance(value, bool) else ""
    if not NUMBER.fullmatch(text):
        raise Malformed(field, said("a number such as 30, 1.5 or 2/3 is needed here"))
    read = Fraction(text)
    if not low < read <= high:
        raise Malformed(
            field, said("a number above %(low)s and up to %(high)s is needed here", low=low, high=high)
        )
    return read


def a_choice(value: Any, field: str, choices: Collection[str]) -> str:
    """Return one of `choices`."""
    if not isinstance(value, str) or value not in choices:
        raise Malformed(field, said("one of these is needed here: %(choices)s", choices=", ".join(choices)))
    return value


def a_text(value: Any, field: str, longest: int = 120) -> str:
    """Return a printable text of 1 to `longest` characters."""
    if not isinstance(value, str) or not value.strip():
        raise Malformed(field, said("a text is needed here"))
    if len(value) > longest or not value.isprintable():
        raise Malformed(
            field, said("a text of at most %(longest)s characters is needed here", longest=longest)
        )
    return value


def a_code(value: Any, field: str) -> str:
    """Return a code: small letters and digits, with single hyphens between."""
    if not isinstance(value, str) or len(value) > 60 or not CODE.fullmatch(value):
        raise Malformed(field, said("a code of small letters, digits and hyphens is needed here"))
    return value


def a_date(value: Any, field: str) -> date:
    """Return a date from its ISO form."""
    if isinstance(value, date):
        return value
    try:
        return date.fromisoformat(value)
    except (TypeError, ValueError):
        raise Malformed(field, said("a date such as 2019-12-17 is needed here")) from None


def an_object(value: Any, field: str, names: Iterable[str]) -> dict[str, Any]:
    """Return a JSON object that has no other names than `names`."""
    if not isinstance(value, dict):
        raise Malformed(field, said("an object is needed here"))
    names = set(names)
    for name in value:
        if name not in names:
            shown = name if isinstance(name, str) and len(name) <= 40 and name.isprintable() else "?"
            raise Malformed(f"{field}.{shown}", said("this name is not known here"))
    return value
