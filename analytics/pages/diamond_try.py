"""From an answer of the diamonds to a stroke that may be tried on the simulated table."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import atan2, degrees, hypot
from urllib.parse import urlencode

from analytics.aim.checked.tracks import STROKES
from analytics.aim.diamonds.geometry import LENGTH, LONG_RAILS, WIDTH, Point, distance
from analytics.aim.diamonds.question import RADIUS

from .diamond_asked import Asked

OUT_OF_THE_WAY = tuple((x, y) for y in (4.0, 1.0, 7.0, 2.5, 5.5) for x in (2.0, 0.5, 3.5, 1.2, 2.8))
EDGE = RADIUS + 0.01


def _inside(at: Point) -> Point:
    return (min(max(at[0], EDGE), WIDTH - EDGE), min(max(at[1], EDGE), LENGTH - EDGE))


def stroke_query(asked: Asked, way: Sequence[Point]) -> str:
    """Return the query of the page that tries a stroke; empty without an answer.

    Without balls the cue ball lies a third along the first leg, the ball half-way along the
    last; the third ball is laid where it is least in the way.
    """
    found = asked.answer
    if found is None or len(way) < 3:
        return ""
    by_balls = asked.by == "balls"
    cue = asked.balls["cue"] if by_balls else None
    ball = asked.balls["ball"] if by_balls else None
    (x0, y0), (x1, y1) = way[0], way[1]
    cue = cue or _inside((x0 + (x1 - x0) * 0.35, y0 + (y1 - y0) * 0.35))
    (x2, y2), (x3, y3) = way[-2], way[-1]
    ball = ball or _inside(((x2 + x3) / 2, (y2 + y3) / 2))
    if hypot(cue[0] - ball[0], cue[1] - ball[1]) < 2 * RADIUS + 0.01:
        return ""
    legs = list(itertools.pairwise(way))

    def clear(at: Point) -> float:
        lines = min(distance(at, leg) for leg in legs)
        return min(lines, *(hypot(at[0] - x, at[1] - y) for x, y in (cue, ball)))

    other = max(OUT_OF_THE_WAY, key=clear)
    to = found.points.get("contact") or found.line[1]
    speed, side, height = STROKES[asked.system]
    parts = {
        "white": f"{cue[0]:.4f},{cue[1]:.4f}",
        "yellow": f"{other[0]:g},{other[1]:g}",
        "red": f"{ball[0]:.4f},{ball[1]:.4f}",
        "cue": "white",
        "direction": f"{degrees(atan2(to[1] - cue[1], to[0] - cue[0])) % 360:.2f}",
        "speed": f"{speed:g}",
        "side": f"{side * _running(asked):g}",
        "height": f"{height:g}",
    }
    if asked.table:
        parts["table"] = asked.table
    return urlencode(parts, safe=",")


def _running(asked: Asked) -> int:
    """Return the sign of running side: left, so negative, where the way turns to the left."""
    way, first = asked.turned()
    mirrored = way.mirror_x != way.mirror_y
    return (-1 if first in LONG_RAILS else 1) * (-1 if mirrored else 1)
