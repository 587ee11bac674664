"""Where each system's numbers stand along the noses, and the way that its answer draws.

All in the system's own place, the cue ball near the bottom-left corner; lengths in diamonds.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass

from analytics.aim.diamonds import plus, sid
from analytics.aim.diamonds.bench import Bench
from analytics.aim.diamonds.geometry import LENGTH, LONG_RAILS, WIDTH, Leg, Point
from analytics.aim.diamonds.scales import CORE, SCHOOLS

ROUND = tuple(float(one) for one in range(10))


@dataclass(frozen=True)
class Ruler:
    """One number along the noses.

    knots : number and nose point, rising, straight between. labels : the numbers printed.
    long_end, short_end : from which rail places are counted on a long and on a short rail.
    core : within it the number is printed plainly, outside it soft.
    """

    knots: tuple[tuple[float, Point], ...]
    labels: tuple[float, ...]
    long_end: str = "top"
    short_end: str = "left"
    core: tuple[float, float] = (-1.0, 99.0)

    @property
    def low(self) -> float:
        return self.knots[0][0]

    @property
    def high(self) -> float:
        return self.knots[-1][0]

    def carries(self, number: float | None) -> bool:
        """Whether a number stands on the rail at all."""
        return number is not None and self.low - 1e-6 <= number <= self.high + 1e-6

    def _span(self, number: float) -> int:
        spans = len(self.knots) - 1
        return next((at for at in range(spans) if number <= self.knots[at + 1][0] + 1e-9), spans - 1)

    def point(self, number: float) -> Point:
        """Return the nose point of a number, at the ends where it lies beyond."""
        number = min(max(number, self.low), self.high)
        (n0, (x0, y0)), (n1, (x1, y1)) = self.knots[(at := self._span(number)) : at + 2]
        share = (number - n0) / (n1 - n0)
        return (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)

    def rail(self, number: float) -> str:
        """Return the rail that carries a number."""
        return self.rails[self._span(number)]

    @property
    def rails(self) -> tuple[str, ...]:
        """The rail of each span between knots."""
        return tuple(_rail(a, b) for (_, a), (_, b) in itertools.pairwise(self.knots))

    def end(self, rail: str) -> str:
        """Return the rail from which places on `rail` are counted."""
        return self.long_end if rail in LONG_RAILS else self.short_end


def _rail(one: Point, other: Point) -> str:
    if one[0] == other[0]:
        return "left" if one[0] == 0 else "right"
    return "bottom" if one[1] == 0 else "top"


def _down(x: float, high: float, labels: tuple[float, ...]) -> Ruler:
    """Return a ruler that counts down a long rail from the top."""
    return Ruler(((0.0, (x, LENGTH)), (high, (x, LENGTH - high))), labels)


def rulers(system: str, first: str, outer: str) -> Mapping[str, Ruler]:
    """Return the rulers of arrival, aim and origin; `first` rail in the system's own place."""
    if system in ("corner", "base-30"):
        return _corner(outer) if system == "corner" else _base()
    left = _down(0.0, LENGTH, ROUND[:9])
    if system == "plus":
        aims = tuple((number, (WIDTH - at, LENGTH)) for number, at in plus.AIMS.knots)
        return {"arrival": left, "aim": Ruler(aims, ROUND[2:8], short_end="right"), "origin": left}
    if system == "sid":
        aim = Ruler(((0.0, (0.0, LENGTH)), (sid.TENS * WIDTH, (WIDTH, LENGTH))), (10.0, 20.0, 30.0))
        origin = Ruler(((0.0, (0.0, 0.0)), (WIDTH, (WIDTH, 0.0))), ROUND[:5])
        return {"arrival": left, "aim": aim, "origin": origin}
    if system == "half":
        right = _down(WIDTH, WIDTH, ROUND[:5])
        return {"arrival": _down(0.0, 1.0, (0.0,)), "aim": right, "origin": left}
    bench = Bench(first)
    labels = ROUND[: int(bench.along) + 1]

    def counted(across: float) -> Ruler:
        ends = ((0.0, bench.swap((across, bench.along))), (bench.along, bench.swap((across, 0.0))))
        return Ruler(ends, labels, short_end="right")

    return {"arrival": counted(0.0), "aim": counted(bench.across), "origin": counted(0.0)}


def _corner(outer: str) -> Mapping[str, Ruler]:
    school = SCHOOLS[outer]
    halves = tuple(half / 2 for half in range(3, 11))
    return {
        "arrival": Ruler(
            tuple((number, school.arrival_point(number)) for number, _ in school.arrivals.knots),
            ROUND[:8] if outer == "linear" else ROUND,
            core=CORE["arrival"],
        ),
        "aim": Ruler(
            tuple((number, school.aim_point(number)) for number, _ in school.aims.knots),
            ROUND[:8] if outer == "linear" else ROUND,
            core=CORE["aim"],
        ),
        "origin": Ruler(
            tuple((number, school.origin_point(number)) for number, _ in school.origins.knots),
            halves + (ROUND[6:9] if outer == "linear" else ROUND[6:]),
            long_end="bottom",
            core=CORE["origin"],
        ),
    }


def _base() -> Mapping[str, Ruler]:
    return {
        "arrival": _down(0.0, 2.0, ROUND[:3]),
        "aim": _down(WIDTH, 5.0, ROUND[:6]),
        "origin": Ruler(((3.0, (0.0, 4.0)), (5.0, (0.0, 0.0))), (3.0, 3.5, 4.0, 4.5, 5.0), long_end="bottom"),
    }


def clipped(start: Point, end: Point) -> Leg:
    """Return the part of a line between two points that lies within the noses."""
    low, high = 0.0, 1.0
    for from_, to, most in ((start[0], end[0], WIDTH), (start[1], end[1], LENGTH)):
        step = to - from_
        if abs(step) < 1e-12:
            continue
        one, other = sorted(((0.0 - from_) / step, (most - from_) / step))
        low, high = max(low, one), min(high, other)

    def at(share: float) -> Point:
        return (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share)

    return at(low), at(max(low, high))


def route(
    system: str,
    points: Mapping[str, Point | None],
    numbers: Mapping[str, float | None],
    line: Leg,
    cue: Point | None,
) -> list[Point]:
    """Return the nose points that the cue ball's way joins, from its start on.

    The place on the second rail of three is derived: where the angles would be equal.
    """
    start, turn = clipped(cue or line[0], points.get("contact") or line[1])
    if points.get("contact"):
        turn = points["aim"] or turn
    way = [start, turn]
    arrival, second = points.get("arrival"), points.get("second")
    if system in ("corner", "base-30") and arrival is not None:
        down, out = LENGTH - turn[1], LENGTH - arrival[1]
        second = (WIDTH * out / (down + out), LENGTH) if down + out > 1e-9 else None
    elif system == "plus" and arrival is not None:
        across = WIDTH - turn[0]
        second = (WIDTH, LENGTH - (LENGTH - arrival[1]) * across / (across + WIDTH))
    way += [point for point in (second, arrival, points.get("fourth")) if point is not None]
    origin, aim = numbers.get("origin"), numbers.get("aim")
    if system == "plus" and arrival is not None and origin is not None and aim is not None:
        way.append(clipped(arrival, plus.last_leg(origin, aim)[1])[1])
    return way
