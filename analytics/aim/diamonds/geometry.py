"""Points, legs and the four orientations. Lengths in diamonds."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import hypot

WIDTH, LENGTH = 4.0, 8.0

Point = tuple[float, float]
Leg = tuple[Point, Point]

# Corner -> whether x, y are counted from the other end.
CORNERS = {
    "bottom-left": (False, False),
    "bottom-right": (True, False),
    "top-left": (False, True),
    "top-right": (True, True),
}
OPPOSITE = {"left": "right", "right": "left", "bottom": "top", "top": "bottom"}
LONG_RAILS = ("left", "right")


@dataclass(frozen=True)
class Orientation:
    """From the systems' own place, the cue ball near the bottom-left corner, to the player's.

    The same reflection leads there and back.
    """

    mirror_x: bool = False
    mirror_y: bool = False

    def turn(self, point: Point) -> Point:
        """Return the point as the other side sees it."""
        x, y = point
        return (WIDTH - x if self.mirror_x else x, LENGTH - y if self.mirror_y else y)

    def rail(self, rail: str) -> str:
        """Return the rail's name as the other side sees it."""
        turned = self.mirror_x if rail in LONG_RAILS else self.mirror_y
        return OPPOSITE[rail] if turned else rail


def at_across(x: float, start: Point, through: Point) -> float:
    """Return the y at which the line meets `x`."""
    return start[1] + (through[1] - start[1]) * (x - start[0]) / (through[0] - start[0])


def at_along(y: float, start: Point, through: Point) -> float:
    """Return the x at which the line meets `y`."""
    return start[0] + (through[0] - start[0]) * (y - start[1]) / (through[1] - start[1])


def leaves(start: Point, through: Point) -> Point:
    """Return where the line from `start` through a second point meets the nose line beyond it.

    The second point lies inside the noses, or on them while the line still goes on inside.
    """
    dx, dy = through[0] - start[0], through[1] - start[1]
    steps = [
        (wall - from_) / d
        for from_, d, walls in ((through[0], dx, (0.0, WIDTH)), (through[1], dy, (0.0, LENGTH)))
        if abs(d) > 1e-12
        for wall in walls
        if (wall - from_) * d >= 0 and abs(wall - from_) > 1e-9
    ]
    step = min(steps, default=0.0)
    return (_within(through[0] + dx * step, WIDTH), _within(through[1] + dy * step, LENGTH))


def _within(value: float, most: float) -> float:
    return min(max(value, 0.0), most)


def distance(point: Point, leg: Leg) -> float:
    """Return how far a point lies from a leg."""
    (x0, y0), (x1, y1) = leg
    dx, dy = x1 - x0, y1 - y0
    length = dx * dx + dy * dy
    share = 0.0 if length == 0 else ((point[0] - x0) * dx + (point[1] - y0) * dy) / length
    share = min(max(share, 0.0), 1.0)
    return hypot(point[0] - x0 - share * dx, point[1] - y0 - share * dy)


def root(f: Callable[[float], float], low: float, high: float) -> float:
    """Return where `f` passes zero between two places of opposite sign, by bisection."""
    rises = f(high) > 0
    for _ in range(60):
        middle = (low + high) / 2
        if (f(middle) > 0) == rises:
            high = middle
        else:
            low = middle
    return (low + high) / 2


Span = tuple[float, float]


def spans(
    path: Callable[[float], Sequence[Leg]], ball: Point, low: float, high: float, reach: float
) -> list[Span]:
    """Return the ranges of numbers, in order, whose path passes the ball within `reach`.

    path : the legs, for a number from `low` to `high`, on which the ball may be met. Ranges
    narrower than the stride may be overlooked.
    """

    def spare(number: float) -> float:
        return reach - min(distance(ball, leg) for leg in path(number))

    count = max(int((high - low) / _STRIDE), 1)
    grid = [low + (high - low) * at / count for at in range(count + 1)]
    found: list[Span] = []
    begun = low if spare(low) >= 0 else None
    for before, after in itertools.pairwise(grid):
        hits = spare(after) >= 0
        if hits and begun is None:
            begun = root(spare, before, after)
        elif begun is not None and not hits:
            found.append((begun, root(spare, before, after)))
            begun = None
    if begun is not None:
        found.append((begun, high))
    return found


_STRIDE = 0.04


def around(number: float, among: Sequence[Span]) -> Span | None:
    """Return the range that a number lies in."""
    slack = 1e-6
    return next((span for span in among if span[0] - slack <= number <= span[1] + slack), None)
