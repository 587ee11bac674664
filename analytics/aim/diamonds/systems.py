"""The one door: a question for any system in any orientation, its answer in the same one."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from scoring.rules.said import Malformed, said

from . import banks, corner, half, plus, sid
from .geometry import CORNERS, Orientation, Point
from .question import Answer, Question


@dataclass(frozen=True)
class System:
    """A system: what it answers in its own place, and which rails it may meet first there."""

    solve: Callable[[Question, Orientation], Answer]
    first_rails: tuple[str, ...]


SYSTEMS: Mapping[str, System] = {
    "corner": System(corner.solve, ("right",)),
    "plus": System(plus.solve, ("top",)),
    "one-rail": System(banks.solve_one, ("right", "top")),
    "two-rail": System(banks.solve_two, ("right", "top")),
    "sid": System(sid.solve, ("top",)),
    "half": System(half.solve_half, ("right",)),
    "base-30": System(half.solve_base, ("right",)),
}


def answer(asked: Question) -> Answer:
    """Answer a question. Raises Malformed with the field where it cannot be answered."""
    system = SYSTEMS.get(asked.system) if isinstance(asked.system, str) else None
    if system is None:
        raise Malformed("system", said("Send one of: %(choices)s.", choices=", ".join(SYSTEMS)))
    way, first = orientation(asked, system)
    own = replace(
        asked,
        cue_ball=None if asked.cue_ball is None else way.turn(asked.cue_ball),
        ball=None if asked.ball is None else way.turn(asked.ball),
        corner="bottom-left",
        first_rail=first,
    )
    found = system.solve(own, way)

    def turned(point: Point | None) -> Point | None:
        return None if point is None else way.turn(point)

    return replace(
        found,
        points={name: turned(point) for name, point in found.points.items()},
        marks={name: way.turn(point) for name, point in found.marks.items()},
        line=(way.turn(found.line[0]), way.turn(found.line[1])),
    )


def orientation(asked: Question, system: System) -> tuple[Orientation, str]:
    """Return the orientation, and the first rail in the system's own place.

    The corner near which the cue ball starts settles both; a first rail alone settles the
    side that it can.
    """
    first = asked.first_rail
    if asked.corner is not None:
        way = Orientation(*CORNERS[asked.corner])
    elif first is None:
        way = Orientation()
    else:
        # The nearest orientation to the usual one whose first rail this can be.
        way = Orientation(first == "left", first == "bottom")
    own = system.first_rails[0] if first is None else way.rail(first)
    if own not in system.first_rails:
        raise Malformed(
            "first_rail",
            said(
                "From this corner the system meets first: %(rails)s.",
                rails=", ".join(way.rail(one) for one in system.first_rails),
            ),
        )
    return way, own
