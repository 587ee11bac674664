"""The corner system's numbers on the rails, in its own place: data, and reading them both ways.

Core numbers: Alciatore TP 7.2; Jewett, Billiards Digest, June 2010; vanderkraan.nl. Outer
numbers, two schools: `linear` (Alciatore TP 7.2), `european` (vanderkraan.nl and
03-DiamondSystem-En for origins and arrivals, be-ja.nl for aims). They agree up to origin 7,
aim 5 and arrival 4.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from .geometry import LENGTH, WIDTH, Point


@dataclass(frozen=True)
class Scale:
    """Numbers along a rail, straight between knots of (number, place)."""

    knots: tuple[tuple[float, float], ...]

    @property
    def low(self) -> float:
        return self.knots[0][0]

    @property
    def high(self) -> float:
        return self.knots[-1][0]

    def place(self, number: float) -> float:
        """Return where a number stands; beyond the last knot the scale goes on straight."""
        return _between(self.knots, number)

    def number(self, place: float) -> float:
        """Return the number that stands at a place."""
        return _between(tuple((at, of) for of, at in self.knots), place)


def _between(knots: tuple[tuple[float, float], ...], value: float) -> float:
    at = 1
    while at < len(knots) - 1 and value > knots[at][0]:
        at += 1
    (x0, y0), (x1, y1) = knots[at - 1], knots[at]
    return y0 + (y1 - y0) * (value - x0) / (x1 - x0)


@dataclass(frozen=True)
class School:
    """How one school numbers the three rails.

    origins : by the way along the noses from the corner, up the left rail negative, along the
    bottom rail positive. aims : on the right rail, from the top. arrivals : on the left rail,
    from the top. All in diamonds.
    """

    origins: Scale
    aims: Scale
    arrivals: Scale

    def origin_point(self, number: float) -> Point:
        """Return the nose point of an origin."""
        way = self.origins.place(number)
        return (0.0, -way) if way < 0 else (way, 0.0)

    def aim_point(self, number: float) -> Point:
        """Return the nose point of an aim."""
        return (WIDTH, LENGTH - self.aims.place(number))

    def arrival_point(self, number: float) -> Point:
        """Return the nose point of an arrival."""
        return (0.0, LENGTH - self.arrivals.place(number))


SCHOOLS: Mapping[str, School] = {
    "linear": School(
        origins=Scale(((1, -8), (5, 0), (8, 3))),
        aims=Scale(((0, 0), (8, 8))),
        arrivals=Scale(((0, 0), (8, 8))),
    ),
    "european": School(
        origins=Scale(((1, -8), (5, 0), (7, 2), (9, 3))),
        aims=Scale(((0, 0), (5, 5), (9, 7))),
        arrivals=Scale(((0, 0), (4, 4), (9, 6.5))),
    ),
}
CORNER = 5.0

# What both schools number alike, and within it where the numbers are safest
# (the second: Billard Club Sottevillais, Diamond System).
CORE = {"origin": (2.0, 7.0), "aim": (0.0, 5.0), "arrival": (0.0, 4.0)}
SAFEST = {"origin": (3.5, 6.0), "arrival": (0.0, 4.0)}
