"""Streaks of k points by permutation: the same strokes of each match in every order.

What such tests can tell and how much data they need: D. Ritzwoller, J. Romano, 2021, arXiv 1908.01406.
Up to a thousand strokes the orders are drawn; beyond, their mean and variance are counted exactly
and the normal law stands in for the draws (derived here).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike

from .common import DRAWS, OF_RATES, SAME, Floats, Interval, Ints, normal_quantile, p_of_draws, seeded

# Up to so many strokes orders are drawn; beyond, the normal law stands in for them.
DRAWN_UP_TO = 1_000
# With fewer strokes after a streak the normal law is too rough for a chance to be told.
LEAST_TRIES = 30.0
# Strokes permuted at a time, so that many draws need little memory.
AT_A_TIME = 4_000_000
BREAK = -1


def after_streak(strokes: ArrayLike, after: int) -> tuple[Ints, Ints]:
    """Return (points, strokes) after `after` points in a row; strokes 0 or 1, the last axis in order.

    A stroke below 0 is a break between matches: nothing follows on across it.
    """
    made = np.asarray(strokes, dtype=np.int8)
    if after < 1:
        raise ValueError(after)
    count = made.shape[-1] - after
    if count < 1:
        zeros = np.zeros(made.shape[:-1], dtype=np.int64)
        return zeros, zeros
    ready = made[..., after:] >= 0
    for back in range(after):
        ready &= made[..., back : back + count] == 1
    return (ready & (made[..., after:] == 1)).sum(axis=-1), ready.sum(axis=-1)


@dataclass(frozen=True)
class Streak:
    """Success after k points in a row minus success overall, against the same strokes in other orders.

    difference : observed minus the mean over orders, so that a player of constant p stands at 0;
    interval : what chance alone leaves open about it. p_high : chance of as large a difference or
    larger; None where too few strokes follow a streak. draws : 0 where the normal law stands in.
    All are None where no order has such a stroke.
    """

    after: int
    points: int
    strokes: int
    overall: float
    observed: float | None
    bias: float | None
    difference: float | None
    interval: Interval | None
    p_high: float | None
    draws: int
    seed: int | None


def streak(
    matches: Sequence[tuple[ArrayLike, bool]],
    after: int,
    draws: int = DRAWS,
    seed: int = 0,
    level: float = OF_RATES,
    drawn_up_to: int = DRAWN_UP_TO,
) -> Streak:
    """Return the permutation test on streaks.

    matches : the strokes of each, 0 or 1 in order, and whether it was won; a match won keeps its last point.
    Raises ValueError without strokes.
    """
    rows = [(np.asarray(strokes, dtype=np.int8), won) for strokes, won in matches]
    rows = [row for row in rows if row[0].size]
    if not rows:
        raise ValueError("strokes are needed")
    parted = np.concatenate([part for strokes, _ in rows for part in (strokes, np.array([BREAK], np.int8))])
    overall = float(parted[parted >= 0].mean())
    points, tries = (int(count) for count in after_streak(parted, after))
    few = parted.size - len(rows) <= drawn_up_to
    law = _drawn(rows, after, draws, seed) if few else _normal(rows, after)
    used, kept = (draws, seed) if few else (0, None)
    if law is None or not tries:
        return Streak(after, points, tries, overall, None, None, None, None, None, used, kept)
    share = points / tries
    difference, width = share - law.mean, normal_quantile(level) * law.sd
    return Streak(
        after,
        points,
        tries,
        overall,
        share - overall,
        law.mean - overall,
        difference,
        Interval(difference - width, difference + width, level),
        law.as_high(share),
        used,
        kept,
    )


@dataclass(frozen=True)
class _Orders:
    """The share of points after a streak over all orders: drawn, or its mean and sd alone."""

    mean: float
    sd: float
    tries: float
    shares: Floats | None

    def as_high(self, share: float) -> float | None:
        if self.shares is not None:
            return p_of_draws(int((self.shares >= share - SAME).sum()), self.shares.size)
        if self.sd == 0.0 or self.tries < LEAST_TRIES:
            return None
        from scipy.special import ndtr

        return float(ndtr((self.mean - share) / self.sd))


def _drawn(rows: Sequence[tuple[np.ndarray, bool]], after: int, draws: int, seed: int) -> _Orders | None:
    rng = seeded(seed)
    counts = np.zeros((2, draws), dtype=np.int64)
    for strokes, won in rows:
        free = strokes[:-1] if won else strokes
        for part in np.array_split(np.arange(draws), max(1, draws * strokes.size // AT_A_TIME)):
            orders = rng.permuted(np.tile(free, (part.size, 1)), axis=1)
            if won:
                orders = np.concatenate([orders, np.ones((part.size, 1), dtype=np.int8)], axis=1)
            counts[:, part] += after_streak(orders, after)
    made, tried = counts[:, counts[1] > 0]
    if not tried.size:
        return None
    shares = made / tried
    return _Orders(float(shares.mean()), float(shares.std()), float(tried.mean()), shares)


def _normal(rows: Sequence[tuple[np.ndarray, bool]], after: int) -> _Orders | None:
    """Mean and sd of points over tries, a ratio of two sums, to the second order."""
    sizes = np.array([strokes.size for strokes, _ in rows], dtype=float)
    points = np.array([strokes.sum() for strokes, _ in rows], dtype=float)
    made, tried, mm, mt, tt = moments(sizes, points, np.array([won for _, won in rows], dtype=float), after)
    if tried <= 0.0:
        return None
    ratio = made / tried
    mean = ratio - (mt - ratio * tt) / tried**2
    variance = (mm - 2.0 * ratio * mt + ratio**2 * tt) / tried**2
    return _Orders(mean, sqrt(max(0.0, variance)), tried, None)


def moments(
    sizes: Floats, points: Floats, won: Floats, after: int
) -> tuple[float, float, float, float, float]:
    """Return over all orders the means of points and of tries after a streak, and var, cov, var of these.

    sizes, points, won : (matches,) strokes, points among them, and 1 where the last stroke stays a
    point. That places stand all for points has the chance S(S-1).../n(n-1)...; pairs of windows are
    counted by how far they overlap. Sums over matches.
    """
    free, left = sizes - won, points - won
    tries = np.maximum(0.0, sizes - after)
    follows = np.maximum(0.0, tries - won)  # windows of k + 1 without a kept last point
    ends = won * (tries > 0)  # the one that ends with it: the last window of k
    chance = [np.ones(sizes.size)]
    for taken in range(2 * after + 2):
        more = np.maximum(0.0, left - taken) / np.maximum(1.0, free - taken)
        chance.append(chance[-1] * np.minimum(1.0, more))

    def pairs(a: int, many: Floats, b: int, others: Floats) -> Floats:
        """Chances of two windows, of a and b places, over all places they can begin at."""
        close, found = np.zeros(sizes.size), np.zeros(sizes.size)
        for apart in range(1 - b, a):
            count = np.maximum(0.0, np.minimum(many, others - apart) - max(0, -apart))
            union = max(a, apart + b) - min(0, apart)
            close, found = close + count, found + count * chance[union]
        return found + (many * others - close) * chance[a + b]

    def with_last(a: int, many: Floats) -> Floats:
        """The same where the other is the last window of k."""
        close, found = np.zeros(sizes.size), np.zeros(sizes.size)
        for apart in range(1 - after, a):
            begins = tries - 1.0 - apart
            count = 1.0 * ((begins >= 0.0) & (begins < many))
            union = max(a, apart + after) - min(0, apart)
            close, found = close + count, found + count * chance[union]
        return found + (many - close) * chance[a + after]

    tried, alone = tries * chance[after], follows * chance[after + 1]
    made = alone + ends * chance[after]
    tt = pairs(after, tries, after, tries)
    mt = pairs(after, tries, after + 1, follows) + ends * with_last(after, tries)
    mm = pairs(after + 1, follows, after + 1, follows)
    mm = mm + 2.0 * ends * with_last(after + 1, follows) + ends * chance[after]
    return (
        float(made.sum()),
        float(tried.sum()),
        float((mm - made**2).sum()),
        float((mt - made * tried).sum()),
        float((tt - tried**2).sum()),
    )
