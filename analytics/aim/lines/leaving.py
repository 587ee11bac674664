"""Leaving: what a line is worth beyond its point, the success of the position it leaves.

A few of the line's executions that make the point are played to rest; from each rest a light
search finds the next line. Their mean is low by what a light search misses, alike for all lines.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from analytics.table.batches import play_strokes
from analytics.table.parameters import TableParameters
from analytics.table.shots import BALLS, Point, Strike
from scoring.rules.disciplines import DISCIPLINES, Discipline

from .errors import executed, normals
from .judging import MOST, Game
from .search import FIRST, Budget, find_lines

STREAM = 51
STROKES, RESTS = 256, 10
# Balls that touch at rest may overlap by rounding; they are set this much apart [m].
CLEAR = 1e-7


@dataclass(frozen=True)
class Leave:
    """Where a stroke left the balls, and the success of the best line found from there."""

    layout: Mapping[str, Point]
    success: float


@dataclass(frozen=True)
class Left:
    """What a line leaves.

    success, stderr : mean over the leaves and its standard error, which holds how leaves differ;
    both None where fewer than two executions made the point. leaves : the hardest first.
    searched : strokes played. complete : False where it was stopped.
    """

    success: float | None
    stderr: float | None
    leaves: tuple[Leave, ...]
    searched: int
    complete: bool


def leaves(
    layout: Mapping[str, Sequence[float]],
    cue_ball: str,
    strike: Strike,
    *,
    spread: float = 1.0,
    table: TableParameters | None = None,
    discipline: Discipline | None = None,
    rests: int | None = None,
    budget: Budget = FIRST,
    threads: int | None = None,
    stopped: Callable[[], bool] = lambda: False,
) -> Left:
    """Find what a strike leaves the player who made the point with it.

    Raises Malformed as `play_stroke` does; ValueError for a spread out of bounds.
    """
    table, discipline = table or TableParameters(), discipline or DISCIPLINES["three-cushion"]
    game = Game(layout, cue_ball, discipline, table, threads)
    row = np.array([[strike.direction, strike.speed, strike.side, strike.height]])
    done, sound = executed(row, normals(STROKES, STREAM), spread)
    batch = play_strokes(layout, cue_ball, done[0, sound[0]], table, most=MOST, threads=threads)
    searched = len(batch)
    made = np.flatnonzero(game.judged(batch).made & batch.complete)[: RESTS if rests is None else rests]
    found: list[Leave] = []
    for at in made.tolist():
        if stopped():
            break
        there = set_clear(batch.rest[at], table)
        next_lines = find_lines(
            there,
            cue_ball,
            spread=spread,
            limit=3,
            table=table,
            discipline=discipline,
            budget=budget,
            threads=threads,
        )
        searched += next_lines.searched
        best = next_lines.lines[0].measured.success if next_lines.lines else 0.0
        found.append(Leave(there, best))
    values = np.array([one.success for one in found])
    told = len(values) > 1
    return Left(
        success=float(values.mean()) if told else None,
        stderr=float(values.std(ddof=1) / sqrt(len(values))) if told else None,
        leaves=tuple(sorted(found, key=lambda one: one.success)),
        searched=searched,
        complete=len(found) == len(made),
    )


def set_clear(rest: np.ndarray, table: TableParameters) -> dict[str, Point]:
    """Return a rest, shape (3, 2) [diamonds], as a layout whose balls neither overlap nor stick out."""
    scale = np.array([table.table_width / 4, table.table_length / 8])
    balls = rest * scale
    size = np.array([table.table_width, table.table_length])
    for _ in range(3):
        for one, other in ((0, 1), (0, 2), (1, 2)):
            gap = balls[other] - balls[one]
            distance = float(np.hypot(*gap))
            short = 2 * table.radius + CLEAR - distance
            if short > 0:
                balls[one] -= 0.5 * short * gap / distance
                balls[other] += 0.5 * short * gap / distance
        np.clip(balls, table.radius, size - table.radius, out=balls)
    return {name: tuple((balls[at] / scale).tolist()) for at, name in enumerate(BALLS)}
