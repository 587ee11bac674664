"""How many misses come before the last point, and how many points within so many innings.

Both are negative binomial where every stroke succeeds with the same p; arrays hold one success rate
a row. Derived here; SciPy's `nbinom` is the same law, value by value.
"""

from __future__ import annotations

import numpy as np

from .common import Floats

Pair = tuple[Floats, Floats]

# What is left of a law beyond this is too small to move the ninth decimal of a chance.
NEGLIGIBLE = 1e-17
DUST = 1e-40
# A race whose law would be longer than this is not worked out.
LONGEST = 200_000


def before_failures(count: int, p: Floats, size: int) -> Floats:
    """Return the chances of 0, 1, ... successes before the `count`th failure, shape (len(p), size)."""
    from scipy.special import gammaln

    found = np.arange(size, dtype=float)
    if count == 0:
        return np.tile((found == 0).astype(float), (len(p), 1))
    ways = gammaln(found + count) - gammaln(count) - gammaln(found + 1.0)
    chances = np.exp(ways + count * np.log1p(-p)[:, None] + found * np.log(p)[:, None])
    # Numbers too small for full precision slow every product down and add nothing.
    return np.where(chances > DUST, chances, 0.0)


def enough(count: int, p: Floats) -> int:
    """Return how long the law of `before_failures` must be so that nothing of weight is left."""
    from scipy.special import betainc

    size, most = 16, float(p.max())
    while size <= LONGEST and betainc(size, count, most) > NEGLIGIBLE:
        size = size * 5 // 4 + 1
    return size


def innings_to_look_at(need: list[int | None], p: Pair) -> int:
    """Return how many innings are worth looking at: beyond, one of both has surely got there."""
    sizes = [enough(far, 1.0 - rate) for far, rate in zip(need, p, strict=True) if far is not None]
    if min(sizes) > LONGEST:
        raise ValueError("the race is too long to be worked out")
    return min(sizes)


def misses_before(need: int | None, p: Floats, size: int) -> tuple[Floats, Floats]:
    """Return the law of the misses before the last point, and the chance of more than so many."""
    if need is None:
        return np.zeros((len(p), size)), np.ones((len(p), size))
    found = before_failures(need, 1.0 - p, size)
    return found, np.maximum(0.0, 1.0 - np.cumsum(found, axis=1))


def points_within(innings: int, p: Floats, need: int | None) -> Floats:
    """Return the chances of 0, 1, ... points in so many innings that stay short of what is needed."""
    if need is None:
        need = min(enough(innings, p), LONGEST) if innings else 1
    return before_failures(innings, p, need)


def last_opened(innings: int, p: Floats, q: Floats | None, need: int | None) -> Floats:
    """Return `points_within` where the last inning begins with an opening stroke of success q."""
    plain = points_within(innings, p, need)
    if q is None:
        return plain
    before = before_failures(innings - 1, p, plain.shape[1])
    shifted = np.hstack([np.zeros((len(p), 1)), plain[:, :-1]])
    return (1.0 - q)[:, None] * before + q[:, None] * shifted


def crossed(first: Floats, second: Floats) -> Floats:
    """Return the sums of products of all rows of two tables, shape (rows of first, rows of second).

    On one thread: the tables are small, and threads that wait for a core would take longer than they save.
    """
    return np.asarray(np.einsum("ik,jk->ij", first, second))
