"""What is told of a line: thickness on the first ball, where to aim on the rail, contacts, path."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

from analytics.table.parameters import TableParameters
from analytics.table.shots import Met, Piece, Point, Shot, Strike
from scoring.rules.contacts import LONG_RAILS

from .judging import Group
from .measuring import Measured

# The trade's names of how much of a ball is covered; in between, the nearest.
FRACTIONS = ("thin", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8", "full")


@dataclass(frozen=True)
class Line:
    """A way to make the point.

    thickness : share of the first ball that the cue ball covers at their meeting, 1 is full;
    fraction : the nearest of the trade's; hit : the side of the ball that is met as the cue ball
    sees it, "left" or "right". aim : (rail, diamond) where the cue ball's way to its first rail
    crosses the nose, counted from the rail's left or bottom end; None where it meets no rail.
    contacts : up to the second ball. path : of the cue ball, pieces as of a Shot.
    """

    group: Group
    strike: Strike
    thickness: float
    fraction: str
    hit: str
    aim: tuple[str, float] | None
    contacts: tuple[Met, ...]
    path: tuple[Piece, ...]
    measured: Measured


def told(
    group: Group,
    strike: Strike,
    shot: Shot,
    cue_ball: str,
    ball: Point,
    table: TableParameters,
    found: Measured,
) -> Line:
    """Return a line out of its stroke; `ball` is where the first ball lies [diamonds]."""
    path, scale = shot.paths[cue_ball], (table.table_width / 4, table.table_length / 8)
    contacts = to_second_ball(shot.contacts)
    first = next(one for one in contacts if one.contact.ball)
    covered, side = _covered(first, ball, _velocity(path, first.t), scale, table.radius)
    rail = next((one for one in contacts if one.contact.rail), None)
    return Line(
        group=group,
        strike=strike,
        thickness=covered,
        fraction=FRACTIONS[round(covered * (len(FRACTIONS) - 1))],
        hit=side,
        aim=None if rail is None else _aim(rail, _velocity(path, rail.t), scale, table.radius),
        contacts=contacts,
        path=path,
        measured=found,
    )


def to_second_ball(contacts: tuple[Met, ...]) -> tuple[Met, ...]:
    """Return the contacts up to the one with the second object ball."""
    first = None
    for at, one in enumerate(contacts):
        if one.contact.ball and first is None:
            first = one.contact.ball
        elif one.contact.ball and one.contact.ball != first:
            return contacts[: at + 1]
    return contacts


def _velocity(path: tuple[Piece, ...], t: float) -> Point:
    """Return the velocity just before a contact at t [diamonds/s]."""
    begin, _, _, vx, vy, ax, ay = (
        [piece for piece in path if piece[0] < t - 1e-12][-1:][0] if t > 0 else path[0]
    )
    return vx + ax * (t - begin), vy + ay * (t - begin)


def _covered(met: Met, ball: Point, velocity: Point, scale: Point, radius: float) -> tuple[float, str]:
    vx, vy = velocity[0] * scale[0], velocity[1] * scale[1]
    dx, dy = (ball[0] - met.at[0]) * scale[0], (ball[1] - met.at[1]) * scale[1]
    # How far the ball's centre lies left of the cue ball's way.
    left = (vx * dy - vy * dx) / hypot(vx, vy)
    return min(1.0, max(0.0, 1 - abs(left) / (2 * radius))), "right" if left > 0 else "left"


def _aim(met: Met, velocity: Point, scale: Point, radius: float) -> tuple[str, float]:
    """Return the rail and where the way runs through its nose [diamonds], at most to its ends."""
    rail = met.contact.rail
    assert rail is not None
    along, towards = (1, 0) if rail in LONG_RAILS else (0, 1)
    speed = abs(velocity[towards])
    place = met.at[along] + (velocity[along] * radius / scale[towards] / speed if speed else 0.0)
    return rail, min(max(place, 0.0), 8.0 if rail in LONG_RAILS else 4.0)
