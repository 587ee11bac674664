"""The one door to the simulator: a layout, a strike and a table in, a shot out.

Layouts and answers are in diamonds, ball centres, origin at the bottom-left corner of the
nose lines: x 0 to 4, y 0 to 8. The model and its limits: level cue, rigid cushions; no
squirt, massé, jump, hop, cloth direction or air drag.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot, isfinite
from typing import Any

import numpy as np

from scoring.rules.contacts import CUE_BALLS, Contact
from scoring.rules.disciplines import DISCIPLINES, Discipline
from scoring.rules.lying import Size, check_lying
from scoring.rules.rulesets import DEFAULT, RULE_SETS, RuleSet
from scoring.rules.rulings import Ruling, rule
from scoring.rules.said import Malformed, said

from . import stroke
from .parameters import TableParameters

BALLS = ("white", "yellow", "red")
RAILS = ("bottom", "right", "top", "left")
MOST_SPEED = 12.0
MISCUE = 0.5

# Pieces of a path are kept for this many events of a ball; a stroke that has more is played
# again with room for all.
PIECES = 256

Point = tuple[float, float]
Piece = tuple[float, ...]


@dataclass(frozen=True)
class Strike:
    """How the cue ball leaves the tip.

    direction : of the ball [deg], 0 towards the right rail, counter-clockwise.
    speed : just after the tip leaves it [m/s]. side, height : tip offset [ball radii],
    right and above positive; together at most 0.5, the usual miscue limit (common practice).
    """

    direction: float
    speed: float
    side: float = 0.0
    height: float = 0.0

    def __post_init__(self) -> None:
        for name in ("direction", "speed", "side", "height"):
            value = getattr(self, name)
            if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
                raise Malformed(f"strike.{name}", said("Send a number."))
        if not 0 < self.speed <= MOST_SPEED:
            raise Malformed(
                "strike.speed", said("Send a speed above 0 and up to %(most)s m/s.", most=MOST_SPEED)
            )
        if hypot(self.side, self.height) > MISCUE:
            raise Malformed(
                "strike.side",
                said("The tip may be off the centre by %(most)s radii at the most.", most=MISCUE),
            )


@dataclass(frozen=True)
class Met:
    """A contact of the cue ball: when [s], what, and where its centre was [diamonds]."""

    t: float
    contact: Contact
    at: Point


@dataclass(frozen=True)
class Shot:
    """What became of a stroke.

    rest : where each ball lies at the end [diamonds]; duration [s] until all three have
    stopped moving and spinning. `complete` is False where the bound on events was met.
    paths : of each ball, pieces (t, x, y, vx, vy, ax, ay) in seconds and diamonds; from t on,
    until the next piece's, the centre is at x + vx s + ax s^2 / 2, s = time - t, likewise y.
    The last piece is the ball at rest.
    """

    contacts: tuple[Met, ...]
    rest: Mapping[str, Point]
    duration: float
    ruling: Ruling
    complete: bool
    paths: Mapping[str, tuple[Piece, ...]]


def play_stroke(
    layout: Mapping[str, Sequence[float]],
    cue_ball: str,
    strike: Strike,
    table: TableParameters | None = None,
    discipline: Discipline | None = None,
    rule_set: RuleSet | None = None,
) -> Shot:
    """Play one stroke to its end; the ruling is that of a stroke in the course of a match.

    Raises Malformed for balls that overlap or lie outside, and for an unknown cue ball.
    """
    table = table or TableParameters()
    scale = np.array([table.table_width / 4, table.table_length / 8])
    cue = cue_of(cue_ball)
    lying = placed(layout, table)
    found = np.zeros((stroke.MOST_CONTACTS, 4))
    balls, n, duration, events, pieces, counts = _played(lying, cue, strike, table, found, PIECES)
    if max(counts) > PIECES:
        balls, n, duration, events, pieces, counts = _played(lying, cue, strike, table, found, max(counts))
    contacts = contacts_of(found[: min(n, stroke.MOST_CONTACTS)], scale)
    pieces[:, :, 1:] /= np.tile(scale, 3)
    return Shot(
        contacts=contacts,
        rest={name: tuple((balls[at, :2] / scale).tolist()) for at, name in enumerate(BALLS)},
        duration=duration,
        ruling=rule(
            discipline or DISCIPLINES["three-cushion"],
            cue_ball,
            [one.contact for one in contacts],
            rule_set=rule_set or RULE_SETS[DEFAULT],
        ),
        complete=events >= 0 and n <= stroke.MOST_CONTACTS,
        paths={
            name: tuple(tuple(piece) for piece in pieces[at, : counts[at]].tolist())
            for at, name in enumerate(BALLS)
        },
    )


def _played(
    lying: np.ndarray, cue: int, strike: Strike, table: TableParameters, found: np.ndarray, room: int
) -> tuple[np.ndarray, int, float, int, np.ndarray, list[int]]:
    """Return the balls at rest, number of contacts, duration, events, pieces of path and their numbers."""
    balls, parameters = lying.copy(), table.as_array()
    pieces, counts = np.zeros((3, room, 7)), np.zeros(3, np.int64)
    how = (float(strike.direction), float(strike.speed), float(strike.side), float(strike.height))
    stroke.strike(balls, cue, *how, parameters)
    n, duration, events = stroke.play(
        balls, cue, parameters, found, pieces, counts, np.zeros(3), np.zeros(stroke.SCRATCH), False
    )
    return balls, n, duration, events, pieces, counts.tolist()


def cue_of(cue_ball: str) -> int:
    """Return the row of a cue ball. Raises Malformed for what is none."""
    if cue_ball not in CUE_BALLS:
        raise Malformed("cue_ball", said("Send one of: %(choices)s.", choices=", ".join(CUE_BALLS)))
    return BALLS.index(cue_ball)


def placed(layout: Any, table: TableParameters) -> np.ndarray:
    """Return the balls of a layout at rest, shape (3, 7), SI."""
    size = Size(table.table_width / 4, table.table_length / 8, table.radius)
    balls, read = np.zeros((3, 7)), {}
    for at, name in enumerate(BALLS):
        try:
            x, y = (float(part) for part in layout[name])
        except (KeyError, TypeError, ValueError):
            raise Malformed(f"layout.{name}", said("Send [x, y] in diamonds.")) from None
        balls[at, :2] = x * size.across, y * size.along
        read[name] = (x, y)
    check_lying(read, "layout", size)
    return balls


def contacts_of(found: np.ndarray, scale: np.ndarray) -> tuple[Met, ...]:
    """Return contacts out of rows of time [s], code, x, y [m]; the same instants are ties.

    scale : metres a diamond across and along, shape (2,).
    """
    met = []
    before = -1.0
    for t, code, x, y in found.tolist():
        tie = bool(met) and t - before <= stroke.TIE
        which = int(code)
        contact = (
            Contact(rail=RAILS[which], tie=tie)
            if which < stroke.BALL_CODE
            else Contact(ball=BALLS[which - stroke.BALL_CODE], tie=tie)
        )
        met.append(Met(t, contact, (x / scale[0].item(), y / scale[1].item())))
        before = t
    return tuple(met)
