"""Where three balls can lie: within the noses, and not one inside another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot
from typing import Any

from .contacts import BALLS
from .match import fields as read
from .said import Malformed, said
from .spots import BALL_NAMES

WIDTH, LENGTH = 4, 8  # [diamonds]
SLACK = 1e-9  # [m]


@dataclass(frozen=True)
class Size:
    """What a layout must know of a table: metres a diamond across and along, and the balls' radius [m]."""

    across: float
    along: float
    radius: float


# The table of matches: 2.84 m by 1.42 m between the noses, balls of 61.5 mm.
MATCH = Size(0.355, 0.355, 0.03075)


def check_lying(layout: Mapping[str, Sequence[float]], name: str = "layout", size: Size = MATCH) -> None:
    """Judge a layout of three balls [diamonds]; balls that touch are lawful.

    Raises Malformed (`<name>.<ball>`) for a ball outside the noses or inside another.
    """
    metres = {ball: (layout[ball][0] * size.across, layout[ball][1] * size.along) for ball in BALLS}
    least = size.radius - SLACK
    for place, ball in enumerate(BALLS):
        x, y = metres[ball]
        across, along = min(x, WIDTH * size.across - x), min(y, LENGTH * size.along - y)
        if not (across >= least and along >= least):
            raise Malformed(
                f"{name}.{ball}", said("%(ball)s lies outside the noses; move it in.", ball=BALL_NAMES[ball])
            )
        for before in BALLS[:place]:
            if hypot(x - metres[before][0], y - metres[before][1]) < 2 * least:
                both = {"ball": BALL_NAMES[ball], "other": BALL_NAMES[before]}
                raise Malformed(f"{name}.{ball}", said("%(ball)s overlaps %(other)s; move it away.", **both))


def lawful_layout(value: Any, name: str) -> dict[str, list[float]]:
    """Read where three balls lie on a table of matches. Raises Malformed."""
    layout = read.layout(value, name)
    check_lying(layout, name)
    return layout
