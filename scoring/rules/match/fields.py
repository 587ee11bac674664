"""Readers of single values: each returns the value or says what is malformed."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping
from typing import Any

from scoring.rules.contacts import contacts_to_json, parse_contacts
from scoring.rules.families import FAMILIES
from scoring.rules.fouls import FOUL_REASONS
from scoring.rules.said import Malformed, said

from .colours import COLOURS

MAX_TEXT = 500
MAX_ID = 2**53 - 1  # what a browser holds exactly
_UUID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")


def whole(low: int, high: int) -> Callable[[Any, str], int]:
    """Return a reader of whole numbers from `low` to `high`."""

    def read(value: Any, name: str) -> int:
        if type(value) is not int or not low <= value <= high:
            raise Malformed(name, said("Send a whole number from %(low)s to %(high)s.", low=low, high=high))
        return value

    return read


identity = whole(1, MAX_ID)


def one_of(*choices: str) -> Callable[[Any, str], str]:
    """Return a reader of one of `choices`."""

    def read(value: Any, name: str) -> str:
        if not isinstance(value, str) or value not in choices:
            raise Malformed(name, said("Send one of: %(choices)s.", choices=", ".join(choices)))
        return value

    return read


colour = one_of(*COLOURS)
family = one_of(*FAMILIES)
foul_reason = one_of(*FOUL_REASONS)


def flag(value: Any, name: str) -> bool:
    if not isinstance(value, bool):
        raise Malformed(name, said("Send true or false."))
    return value


def number(value: Any, name: str, low: float, high: float) -> float:
    """Read a finite number in [low, high]."""
    # The range also keeps out what is not finite, and whole numbers too large for a float.
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        raise Malformed(name, said("Send a number from %(low)s to %(high)s.", low=low, high=high))
    return value


def seconds(value: Any, name: str) -> float:
    return number(value, name, 0, 3600)


def text(value: Any, name: str) -> str:
    """Read a line or two of free text: at most 500 characters, no control characters."""
    if not isinstance(value, str):
        raise Malformed(name, said("Send text."))
    if len(value) > MAX_TEXT:
        raise Malformed(name, said("Send at most %(most)s characters.", most=MAX_TEXT))
    if any(unicodedata.category(sign) in {"Cc", "Cs"} and sign not in "\n\t" for sign in value):
        raise Malformed(name, said("Leave out control characters."))
    return value


def reference(value: Any, name: str) -> int | str:
    """Read a reference to an entry of the same match: its seq, or its uuid in lower case."""
    if type(value) is int and 1 <= value <= MAX_ID:
        return value
    if isinstance(value, str) and _UUID.fullmatch(value.lower()):
        return value.lower()
    raise Malformed(name, said("Send the seq or the uuid of an entry of this match."))


def contacts(value: Any, name: str) -> list[dict[str, Any]]:
    return contacts_to_json(parse_contacts(value, field=name))


def point_on_table(value: Any, name: str) -> list[float]:
    """Read a ball's centre `[x, y]` in diamonds: 0 to 4 and 0 to 8."""
    if not isinstance(value, list) or len(value) != 2:
        raise Malformed(name, said("Send [x, y] in diamonds."))
    return [number(value[0], f"{name}[0]", 0, 4), number(value[1], f"{name}[1]", 0, 8)]


def layout(value: Any, name: str) -> dict[str, list[float]]:
    """Read where the three balls lie."""
    balls = ("white", "yellow", "red")
    if not isinstance(value, Mapping) or set(value) != set(balls):
        raise Malformed(name, said("Send white, yellow and red, each as [x, y] in diamonds."))
    return {ball: point_on_table(value[ball], f"{name}.{ball}") for ball in balls}


def strike(value: Any, name: str) -> dict[str, float]:
    """Read a line: direction [deg], speed [m/s], tip offset side and height [ball radii]."""
    parts = {"direction": (-360, 360), "speed": (0, 12), "side": (-0.5, 0.5), "height": (-0.5, 0.5)}
    if not isinstance(value, Mapping) or set(value) != set(parts):
        raise Malformed(name, said("Send direction, speed, side and height."))
    return {part: number(value[part], f"{name}.{part}", low, high) for part, (low, high) in parts.items()}


def by_colour(value: Any, name: str) -> dict[str, int]:
    """Read `{white, yellow}` of whole numbers."""
    if not isinstance(value, Mapping) or set(value) != set(COLOURS):
        raise Malformed(name, said("Send white and yellow."))
    count = whole(0, 100_000)
    return {side: count(value[side], f"{name}.{side}") for side in COLOURS}
