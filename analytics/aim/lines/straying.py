"""Straying: where executions of a line go, for drawing; nothing here judges a line.

Some ways of the cue ball, each cut soon after it leaves the plan; where the plan's third rail
is met; and where the cue ball comes to rest.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from analytics.table.batches import Batch, play_strokes
from analytics.table.parameters import TableParameters
from analytics.table.shots import RAILS, Piece, Point, Shot, Strike, cue_of, play_stroke
from analytics.table.stroke import BALL_CODE
from scoring.rules.contacts import LONG_RAILS
from scoring.rules.disciplines import DISCIPLINES, Discipline

from .errors import executed, normals
from .judging import MOST, Game
from .telling import to_second_ball

# Drawing takes other errors than choosing and measuring.
STREAM = 41
STROKES, WAYS = 256, 24
# A way has left the plan this far from it [diamonds], and is followed so much longer [s].
LEFT, AFTER = 0.25, 0.06
BETWEEN = 0.03


@dataclass(frozen=True)
class Stray:
    """What becomes of executions of one line.

    ways : of the cue ball, each a row of points [diamonds], cut soon after it leaves the plan.
    rail : the plan's third rail, None where it meets fewer before the second ball; arrivals :
    where executions meet it as their own third rail, from its left or bottom end [diamonds].
    rests : where the cue ball ends; made : which of these made the point. strokes : in all.
    """

    ways: tuple[tuple[Point, ...], ...]
    rail: str | None
    arrivals: tuple[float, ...]
    rests: tuple[Point, ...]
    made: tuple[bool, ...]
    strokes: int


def stray(
    layout: Mapping[str, Sequence[float]],
    cue_ball: str,
    strike: Strike,
    *,
    spread: float = 1.0,
    table: TableParameters | None = None,
    discipline: Discipline | None = None,
) -> Stray:
    """Execute a strike with errors of a spread; tips that slip are left out.

    Raises Malformed as `play_stroke` does.
    """
    table, discipline = table or TableParameters(), discipline or DISCIPLINES["three-cushion"]
    game = Game(layout, cue_ball, discipline, table)
    plan = play_stroke(layout, cue_ball, strike, table, discipline)
    row = np.array([[strike.direction, strike.speed, strike.side, strike.height]])
    done, sound = executed(row, normals(STROKES, STREAM), spread)
    strikes = done[0, sound[0]]
    batch = play_strokes(layout, cue_ball, strikes, table, most=MOST)
    rails = [one.contact.rail for one in to_second_ball(plan.contacts) if one.contact.rail]
    rail = rails[2] if len(rails) > 2 else None
    return Stray(
        ways=_ways(layout, cue_ball, strike, strikes[:WAYS], plan, table),
        rail=rail,
        arrivals=() if rail is None else tuple(_arrivals(batch, rail)),
        rests=tuple((x, y) for x, y in batch.rest[:, cue_of(cue_ball)].tolist()),
        made=tuple(game.judged(batch).made.tolist()),
        strokes=len(strikes),
    )


def _arrivals(batch: Batch, rail: str) -> list[float]:
    """Return where strokes meet a rail that is their third one [diamonds]."""
    code = batch.contacts[:, :, 1]
    is_rail = (code < BALL_CODE) & (np.arange(code.shape[1]) < batch.met[:, None])
    third = is_rail & (is_rail.cumsum(axis=1) == 3)
    rows = np.flatnonzero(third.any(axis=1))
    at = third[rows].argmax(axis=1)
    same = code[rows, at] == RAILS.index(rail)
    along = 1 if rail in LONG_RAILS else 0
    places: list[float] = (batch.contacts[rows[same], at[same], 2 + along] / batch.scale[along]).tolist()
    return places


def _ways(
    layout: Mapping[str, Sequence[float]],
    cue_ball: str,
    strike: Strike,
    strikes: np.ndarray,
    plan: Shot,
    table: TableParameters,
) -> tuple[tuple[Point, ...], ...]:
    until = to_second_ball(plan.contacts)[-1].t if plan.contacts else plan.duration
    meant = _followed(plan.paths[cue_ball], until)
    planned, ways = strike.speed, []
    for direction, speed, side, height in strikes.tolist():
        shot = play_stroke(layout, cue_ball, Strike(direction % 360, speed, side, height), table)
        # A slower stroke gets as far later.
        end = min(until * planned / speed, shot.duration)
        points = _followed(shot.paths[cue_ball], end)
        away = np.sqrt(((points[:, None, 1:] - meant[None, :, 1:]) ** 2).sum(axis=2).min(axis=1)) > LEFT
        if away.any():
            points = points[points[:, 0] <= points[away.argmax(), 0] + AFTER]
        ways.append(tuple((round(x, 3), round(y, 3)) for _, x, y in points.tolist()))
    return tuple(ways)


def _followed(path: tuple[Piece, ...], until: float) -> np.ndarray:
    """Return a path's points until a time: t, x, y, shape (n, 3); every contact is among them."""
    rows = []
    for at, (begin, x, y, vx, vy, ax, ay) in enumerate(path):
        if begin > until:
            break
        end = min(path[at + 1][0] if at + 1 < len(path) else begin, until)
        steps = np.arange(0.0, max(end - begin, 1e-9), BETWEEN)
        rows.append(
            np.column_stack(
                [begin + steps, x + steps * (vx + ax * steps / 2), y + steps * (vy + ay * steps / 2)]
            )
        )
        if end >= until:
            last = end - begin
            rows.append(np.array([[end, x + last * (vx + ax * last / 2), y + last * (vy + ay * last / 2)]]))
            break
    return np.concatenate(rows)
