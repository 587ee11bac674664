"""Measuring: success, luck, kisses and what each error costs, by fresh errors.

None of these errors took part in choosing a line, so the standard error is honest.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

from analytics.table.batches import Batch
from analytics.table.stroke import BALL_CODE

from .errors import PARTS, executed, normals
from .judging import Game, Outcomes, keys_of

FRESH = 21


@dataclass(frozen=True)
class Measured:
    """Shares of all strokes, n of them.

    success, stderr : made, by whatever way. luck : made by another order of contacts than the
    plan's, part of `success`. kiss : not made, and balls had met that do not meet in the plan
    before the second ball should have been reached.
    costs : what success would gain if that one error were half as large; costs_stderr : of each.
    """

    success: float
    stderr: float
    luck: float
    kiss: float
    costs: dict[str, float]
    costs_stderr: dict[str, float]
    strokes: int


def measured(game: Game, strike: np.ndarray, spread: float, n: int, stream: int = FRESH) -> Measured:
    """Play a plan, shape (4,), with n fresh errors."""
    errors = normals(n, stream)
    done, sound = executed(strike[None], errors, spread)
    rows = np.flatnonzero(sound[0])
    plan = game.batch(strike[None])
    batch = game.batch(done[0, rows])
    found = game.judged(batch)
    made = np.zeros(n, bool)
    made[rows] = found.made
    success = float(made.mean())
    costs, doubts = costs_of(made, errors)
    return Measured(
        success=success,
        stderr=sqrt(max(success * (1 - success), 1 / n) / n),
        luck=float((found.made & (found.key != keys_of(plan)[0])).sum()) / n,
        kiss=_kisses(game, plan, float(strike[1]), batch, found, done[0, rows]) / n,
        costs=dict(zip(PARTS, costs.tolist(), strict=True)),
        costs_stderr=dict(zip(PARTS, doubts.tolist(), strict=True)),
        strokes=n,
    )


def costs_of(made: np.ndarray, errors: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return by how much success would rise if one error alone were half as large, and the doubt.

    No stroke is played for it: a stroke counts as often as its error would turn up then, by
    the ratio of both densities, which is in proportion to exp(-3/2 e^2). Both of shape (4,).
    """
    weight = np.exp(-1.5 * errors**2)
    weight /= weight.mean(axis=0)
    then = (weight * made[:, None]).mean(axis=0)
    # The first order of a ratio of two means.
    scatter = weight * (made[:, None] - then) - (made - made.mean())[:, None]
    return then - made.mean(), scatter.std(axis=0) / sqrt(len(made))


def _kisses(
    game: Game, plan: Batch, plan_speed: float, batch: Batch, found: Outcomes, strikes: np.ndarray
) -> float:
    """Return how many strokes were spoilt by a meeting of balls.

    Seen where the cue ball meets its first ball more often than planned before it was due at
    the second, and where the first ball had moved the second by then and the cue ball missed it.
    """
    due, planned = _due(plan)
    rows = np.flatnonzero(~found.made & (batch.met > 0))
    t, code = batch.contacts[rows, :, 0], batch.contacts[rows, :, 1].astype(np.int64)
    ball = (code >= BALL_CODE) & (np.arange(code.shape[1]) < batch.met[rows, None])
    first = code[np.arange(len(rows)), ball.argmax(axis=1)]
    again = ball & (code == first[:, None])
    # A slower stroke reaches everything later.
    until = due * plan_speed / strikes[rows, 1]
    spoilt = (again & (t < until[:, None])).sum(axis=1) > planned
    second = sum(at for at in range(3) if at != game.cue) - (first - BALL_CODE)
    unmet = ball.any(axis=1) & (again == ball).all(axis=1)
    moved = batch.moved[rows, np.where(unmet, second, 0)]
    early = unmet & (moved >= 0) & (moved < until)
    return float((spoilt | early).sum())


def _due(plan: Batch) -> tuple[float, int]:
    """Return when the plan meets its second ball [s], and how often its first until then."""
    contacts = plan.contacts[0, : plan.met[0]]
    balls = contacts[contacts[:, 1] >= BALL_CODE]
    other = np.flatnonzero(balls[:, 1] != balls[0, 1])[0]
    return float(balls[other, 0]), int(other)
