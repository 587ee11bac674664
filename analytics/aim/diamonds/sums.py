"""The arithmetic of a system: from any two of its numbers to the third."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from scoring.rules.said import Malformed, Said, said

from .question import NUMBERS, SAME, Step
from .words import number

Two = Callable[[float, float], float]


class Numbers(NamedTuple):
    """Origin, aim and arrival, any of which may be unknown."""

    origin: float | None
    aim: float | None
    arrival: float | None


class Three(NamedTuple):
    """Origin, aim and arrival."""

    origin: float
    aim: float
    arrival: float


@dataclass(frozen=True)
class Sum:
    """How the numbers of a system hang together.

    origin : of aim and arrival. aim : of origin and arrival. arrival : of origin and aim.
    says : for each number found, the sum in words.
    """

    origin: Two
    aim: Two
    arrival: Two
    says: Mapping[str, Said]

    def settle(self, given: Numbers) -> tuple[Three, Step]:
        """Return all three numbers, and the sum in words.

        Raises Malformed where fewer than two are given, or where all three contradict.
        """
        origin, aim, arrival = given
        missing = [name for name, value in zip(NUMBERS, given, strict=True) if value is None]
        if len(missing) > 1:
            raise too_few(missing)
        found = missing[0] if missing else "arrival"
        if origin is None:
            assert aim is not None
            assert arrival is not None
            origin = self.origin(aim, arrival)
        elif aim is None:
            assert arrival is not None
            aim = self.aim(origin, arrival)
        elif arrival is None:
            arrival = self.arrival(origin, aim)
        elif abs(self.arrival(origin, aim) - arrival) > SAME:
            raise contradiction(origin, aim, self.arrival(origin, aim))
        three = Three(origin, aim, arrival)
        return three, Step(self.say(found, three))

    def say(self, found: str, three: Three) -> Said:
        """Return the sum in words that ends in the number found."""
        values = {name: number(value) for name, value in zip(NUMBERS, three, strict=True)}
        return Said(self.says[found].template, values)


def too_few(missing: list[str]) -> Malformed:
    """Return the refusal of a question that does not say enough."""
    return Malformed(
        missing[0],
        said(
            "Send two of origin, aim and arrival; the cue ball may stand for the origin,"
            " the ball for the arrival."
        ),
    )


def contradiction(origin: float, aim: float, arrival: float) -> Malformed:
    """Return the refusal of three numbers that do not agree."""
    return Malformed(
        "arrival",
        said(
            "Origin %(origin)s and aim %(aim)s give arrival %(arrival)s; leave one of the three out.",
            origin=number(origin),
            aim=number(aim),
            arrival=number(arrival),
        ),
    )


# The template by which each number is named where it runs off the rail.
_BEYOND = {
    "origin": said("The origin would be %(value)s; the system has origins from %(low)s to %(high)s."),
    "aim": said("The aim would be %(value)s; the system has aims from %(low)s to %(high)s."),
    "arrival": said("The arrival would be %(value)s; the system has arrivals from %(low)s to %(high)s."),
}


def check_range(name: str, value: float, low: float, high: float, field: str) -> None:
    """Raise Malformed on `field` where a number lies off the rail that carries it."""
    if not low - 1e-9 <= value <= high + 1e-9:
        told = {"value": number(value), "low": number(low), "high": number(high)}
        raise Malformed(field, Said(_BEYOND[name].template, told))
