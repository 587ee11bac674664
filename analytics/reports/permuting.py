"""Streaks of k points by permutation: the same strokes of each match in every order.

What such tests can tell and how much data they need: D. Ritzwoller, J. Romano, 2021, arXiv 1908.01406.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from .common import DRAWS, SAME, Ints, p_of_draws, seeded


def after_streak(strokes: ArrayLike, after: int) -> tuple[Ints, Ints]:
    """Return (points, strokes) after `after` points in a row; strokes 0 or 1, the last axis in order."""
    made = np.asarray(strokes, dtype=np.int8)
    if after < 1:
        raise ValueError(after)
    count = made.shape[-1] - after
    if count < 1:
        zeros = np.zeros(made.shape[:-1], dtype=np.int64)
        return zeros, zeros
    ready = np.ones((*made.shape[:-1], count), dtype=bool)
    for back in range(after):
        ready &= made[..., back : back + count] == 1
    return (ready & (made[..., after:] == 1)).sum(axis=-1), ready.sum(axis=-1)


@dataclass(frozen=True)
class Streak:
    """Success after k points in a row minus success overall, against the same strokes in other orders.

    difference : observed minus the mean over orders, so that a player of constant p stands at 0.
    p_high : chance of as large a difference or larger. None where no order has such a stroke.
    """

    after: int
    points: int
    strokes: int
    overall: float
    observed: float | None
    bias: float | None
    difference: float | None
    p_high: float | None
    draws: int
    seed: int


def streak(
    matches: Sequence[tuple[ArrayLike, bool]], after: int, draws: int = DRAWS, seed: int = 0
) -> Streak:
    """Return the permutation test on streaks.

    matches : the strokes of each, 0 or 1 in order, and whether it was won; a match won keeps its last point.
    Raises ValueError without strokes.
    """
    rows = [(np.asarray(strokes, dtype=np.int8), won) for strokes, won in matches]
    rows = [row for row in rows if row[0].size]
    if not rows:
        raise ValueError("strokes are needed")
    total = sum(row.size for row, _ in rows)
    overall = sum(int(row.sum()) for row, _ in rows) / total
    points, tries = (sum(int(found[part]) for found in _each(rows, after)) for part in (0, 1))
    rng = seeded(seed)
    drawn = np.zeros((2, draws), dtype=np.int64)
    for strokes, won in rows:
        free = strokes[:-1] if won else strokes
        parts = max(1, draws * strokes.size // 4_000_000)
        for part in np.array_split(np.arange(draws), parts):
            orders = rng.permuted(np.tile(free, (part.size, 1)), axis=1)
            if won:
                orders = np.concatenate([orders, np.ones((part.size, 1), dtype=np.int8)], axis=1)
            made, tried = after_streak(orders, after)
            drawn[0, part] += made
            drawn[1, part] += tried
    some = drawn[1] > 0
    if not tries or not some.any():
        return Streak(after, points, tries, overall, None, None, None, None, draws, seed)
    shares = drawn[0, some] / drawn[1, some]
    observed = points / tries - overall
    bias = float(shares.mean()) - overall
    far = int((shares - overall >= observed - SAME).sum())
    return Streak(
        after,
        points,
        tries,
        overall,
        observed,
        bias,
        observed - bias,
        p_of_draws(far, int(some.sum())),
        draws,
        seed,
    )


def _each(rows: Sequence[tuple[np.ndarray, bool]], after: int) -> list[tuple[Ints, Ints]]:
    return [after_streak(strokes, after) for strokes, _ in rows]
