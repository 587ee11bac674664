"""Predictions: how often a stroke makes the point, at every spread a player may have.

A prediction is made of a layout and a line: the line the player declared, or the best one that
is found at the player's spread. Either is played with fresh errors, the same ones scaled for
every spread, so that the success at another spread can be read off later. Each question has errors
of its own, so that what many predictions are off by does not add up in what is fitted to them.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log, log1p, sqrt

import numpy as np

from analytics.table.parameters import TableParameters
from analytics.table.shots import Strike
from scoring.rules.disciplines import DISCIPLINES, Discipline

from .lines.errors import executed, turned
from .lines.judging import Game
from .lines.mirror import first_image
from .lines.search import FULL, Budget, find_lines

# Changes whenever the same question would get another answer for a reason that lies outside the
# compiled simulator: errors, search, ruling, or what is written here.
MODEL = 2
SPREADS: tuple[float, ...] = tuple(np.geomspace(0.4, 3.0, 12).tolist())
STROKES = 1024
# No search draws from it: what chose a line never measures it.
STREAM = 31
DECIMALS = 6
DECLARED, BEST = "declared", "best"


@dataclass(frozen=True)
class Predicted:
    """A line's success at every spread of SPREADS, and at the player's own.

    source : DECLARED or BEST. hits : points made of `strokes` strokes at each spread. grid :
    success at each, never rising with the spread, never 0 or 1. success, stderr : at `spread`.
    """

    strike: Strike
    source: str
    spread: float
    hits: tuple[int, ...]
    grid: tuple[float, ...]
    strokes: int
    success: float
    stderr: float


def predict(
    layout: Mapping[str, Sequence[float]],
    cue_ball: str,
    line: Strike | None = None,
    *,
    spread: float = 1.0,
    table: TableParameters | None = None,
    discipline: Discipline | None = None,
    budget: Budget = FULL,
    threads: int | None = None,
) -> Predicted | None:
    """Predict one stroke; None where no line was declared and none is found.

    Parameters
    ----------
    layout : ball centres [diamonds]. line : as declared, or None: the best at `spread` is searched.
    spread : the player's, 0.2 to 5. threads : by default one a processor; no number depends on it.

    Raises Malformed for a layout that cannot lie on the table; ValueError for a spread out of bounds.
    """
    table, discipline = table or TableParameters(), discipline or DISCIPLINES["three-cushion"]
    source = DECLARED
    if line is None:
        found = find_lines(
            layout,
            cue_ball,
            spread=spread,
            limit=1,
            table=table,
            discipline=discipline,
            budget=budget,
            threads=threads,
        )
        if not found.lines:
            return None
        line, source = found.lines[0].strike, BEST
    # Like the search, in the image of the layout that comes first: mirrored layouts agree.
    mirror = first_image(layout, cue_ball)
    game = Game(mirror.layout(layout), cue_ball, discipline, table, threads)
    plan = mirror.strikes(np.array([[line.direction, line.speed, line.side, line.height]]))
    errors = turned(STROKES, STREAM, _turn(game.layout, cue_ball, plan))
    hits = tuple(_made(game, plan, errors, one) for one in SPREADS)
    grid = falling(hits, STROKES)
    success = success_at(grid, spread)
    return Predicted(
        strike=line,
        source=source,
        spread=spread,
        hits=hits,
        grid=grid,
        strokes=STROKES,
        success=success,
        stderr=sqrt(success * (1 - success) / STROKES),
    )


def _turn(layout: Mapping[str, Sequence[float]], cue_ball: str, plan: np.ndarray) -> np.ndarray:
    """Return the turn of a question: the same for the same balls and line, four numbers from 0 to 1."""
    numbers = [part for name in sorted(layout) for part in layout[name]]
    numbers += [round(float(plan[0, 0]), DECIMALS) % 360.0, *plan[0, 1:].tolist()]
    # Coarser than the rounding of a reflection; never "-0".
    told = " ".join([cue_ball, *(f"{round(one, DECIMALS) + 0.0:.{DECIMALS}f}" for one in numbers)])
    digest = hashlib.sha256(told.encode()).digest()
    return np.frombuffer(digest[:16], dtype="<u4") / 2.0**32


def _made(game: Game, plan: np.ndarray, errors: np.ndarray, spread: float) -> int:
    done, sound = executed(plan, errors, spread)
    return int(game.outcomes(done[0], sound[0]).made.sum())


def falling(hits: Sequence[int], strokes: int) -> tuple[float, ...]:
    """Return success at rising spreads as it is kept: fitted so that it never rises, never 0 or 1.

    The fit is that of least squares (pool adjacent violators, `scipy.optimize.isotonic_regression`).
    """
    from scipy.optimize import isotonic_regression  # takes long to load, and most processes never predict

    fitted = isotonic_regression(np.asarray(hits, np.float64), increasing=False).x
    return tuple(((fitted + 0.5) / (strokes + 1)).tolist())


def success_at(grid: Sequence[float], spread: float, spreads: Sequence[float] = SPREADS) -> float:
    """Return the success at one spread, read off a grid: logit over the logarithm of the spread.

    A spread outside the grid is answered with the grid's end. Between the nodes the curve is
    monotone (`scipy.interpolate.PchipInterpolator`; Fritsch and Butland 1984).
    """
    from scipy.interpolate import PchipInterpolator

    logits = [log(one) - log1p(-one) for one in grid]
    nodes = [log(one) for one in spreads]
    at = min(max(log(spread), nodes[0]), nodes[-1])
    return 1 / (1 + exp(-float(PchipInterpolator(nodes, logits)(at))))
