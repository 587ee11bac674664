"""Distances from averages, by the published rules or a club's own, with their working.

A match keeps the distance it was opened with: what is worked out here is a proposal.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from .averages import average, shown
from .reading import a_choice, a_code, a_fraction, a_text, an_int, an_object, int_or_none
from .said import Malformed, Said, said

BASES = ("average", "distance")
ROUNDINGS = ("half-up", "down", "up")
LONGEST = 1000


@dataclass(frozen=True)
class Method:
    """How a distance follows from an average, or from the distance in another discipline (`base`).

    distance = base x factor + plus, rounded, then not below `least` nor above `most`.
    average_decimals: the average is cut to so many places first; None: it is taken exactly.
    """

    code: str
    name: str
    factor: Fraction
    source: str
    base: str = "average"
    plus: int = 0
    least: int = 1
    most: int = LONGEST
    rounding: str = "half-up"
    average_decimals: int | None = None

    @classmethod
    def from_json(cls, data: Any) -> Method:
        """Read a method. Raises Malformed with the field (`handicap.factor`)."""
        data = an_object(data, "handicap", cls.__dataclass_fields__)
        for name in ("code", "name", "factor", "source"):
            if name not in data:
                raise Malformed(f"handicap.{name}", said("this is missing"))
        read = cls(**{name: _READERS[name](value, f"handicap.{name}") for name, value in data.items()})
        if read.least > read.most:
            raise Malformed("handicap.least", said("the least distance is above the most"))
        return read

    def to_json(self) -> dict[str, Any]:
        """Return the method as JSON values; `from_json` reads them back."""
        return {name: getattr(self, name) for name in self.__dataclass_fields__} | {
            "factor": str(self.factor)
        }


_READERS: dict[str, Any] = {
    "code": a_code,
    "name": a_text,
    "source": lambda value, field: a_text(value, field, 200),
    "factor": lambda value, field: a_fraction(value, field, 0, LONGEST),
    "base": lambda value, field: a_choice(value, field, BASES),
    "plus": lambda value, field: an_int(value, field, 0, LONGEST),
    "least": lambda value, field: an_int(value, field, 1, LONGEST),
    "most": lambda value, field: an_int(value, field, 1, LONGEST),
    "rounding": lambda value, field: a_choice(value, field, ROUNDINGS),
    "average_decimals": lambda value, field: int_or_none(value, field, 0, 6),
}

METHODS: Mapping[str, Method] = {
    method.code: method
    for method in map(
        Method.from_json,
        json.loads(Path(__file__).with_name("data").joinpath("handicaps.json").read_text("utf-8")),
    )
}


@dataclass(frozen=True)
class Proposal:
    """A distance that follows from a method, and how. current: what holds until somebody approves."""

    distance: int | None
    working: tuple[Said, ...]
    current: int | None = None

    @property
    def changes(self) -> bool:
        return self.distance != self.current


def distance_from_average(
    method: Method, points: int, innings: int, *, current: int | None = None, upwards_only: bool = False
) -> Proposal:
    """Return the distance that an average of points / innings gives; without innings what holds stays.

    upwards_only: a lower distance than the current one is not proposed (in use in some clubs).
    Raises ValueError for a method of another base, or points below 0.
    """
    if method.base != "average" or points < 0:
        raise ValueError(method.code, points)
    exact = average(points, innings)
    if exact is None:
        return Proposal(current, (said("No innings yet, so no average to go by."),), current)
    working = [
        said(
            "%(points)s points in %(innings)s innings: an average of %(average)s",
            points=points,
            innings=innings,
            average=number(exact, 3 if method.average_decimals is None else method.average_decimals),
        )
    ]
    text = f"{points}/{innings}"
    if method.average_decimals is not None:
        text = shown(points, innings, method.average_decimals) or "0"
        exact = Fraction(text)
    return _finish(method, exact, text, working, current, upwards_only)


def distance_from_distance(
    method: Method, distance: int, *, current: int | None = None, upwards_only: bool = False
) -> Proposal:
    """Return the distance that follows from one in another discipline. Raises ValueError as above."""
    if method.base != "distance" or distance < 1:
        raise ValueError(method.code, distance)
    working = [said("a distance of %(distance)s in the other discipline", distance=distance)]
    return _finish(method, Fraction(distance), str(distance), working, current, upwards_only)


def share_of_distance(distance: int, percent: int, rounding: str = "half-up") -> int:
    """Return a percentage of a distance, for a short evening (80, say); 1 at least."""
    return max(1, rounded(Fraction(distance * percent, 100), rounding))


def rounded(value: Fraction, rounding: str) -> int:
    """Round to a whole number: half-up, down or up. Raises ValueError for another rounding."""
    if rounding == "down":
        return value.numerator // value.denominator
    if rounding == "up":
        return -(-value.numerator // value.denominator)
    if rounding != "half-up":
        raise ValueError(rounding)
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


def number(value: Fraction, decimals: int = 3) -> str:
    """Return a value of 0 or more as text: whole if it is, else cut to `decimals` places."""
    return shown(value.numerator, value.denominator, 0 if value.denominator == 1 else decimals) or "0"


def _finish(
    method: Method, base: Fraction, text: str, working: list[Said], current: int | None, upwards_only: bool
) -> Proposal:
    """Multiply, add, round and keep within bounds, with a line for each step that did something."""
    raw = base * method.factor + method.plus
    numbers = {"base": text, "factor": str(method.factor), "raw": number(raw, 2)}
    if method.plus:
        working.append(said("%(base)s × %(factor)s + %(plus)s = %(raw)s", **numbers, plus=method.plus))
    else:
        working.append(said("%(base)s × %(factor)s = %(raw)s", **numbers))
    distance = rounded(raw, method.rounding)
    if distance != raw:
        working.append(said("rounded: %(distance)s", distance=distance))
    if not method.least <= distance <= method.most:
        if distance < method.least:
            working.append(said("at least %(least)s", least=method.least))
        else:
            working.append(said("at most %(most)s", most=method.most))
        distance = min(max(distance, method.least), method.most)
    if upwards_only and current is not None and distance < current:
        working.append(said("only upwards: %(current)s stays", current=current))
        distance = current
    return Proposal(distance, tuple(working), current)
