"""Runs beside the law that an average implies: P(run >= k) = p^k if every stroke has the same p.

The geometric law is the yardstick, not a belief. A run that the distance cut is known only to be
"at least" so long.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log1p, sqrt

import numpy as np
from numpy.typing import ArrayLike

from .common import DRAWS, SAME, Floats, Ints, p_of_draws, seeded

# A cell that is compared expects this many, where there are innings enough.
LEAST_EXPECTED = 5.0
# Beyond this a further term of the expected high run changes nothing that is shown.
NEGLIGIBLE = 1e-15
LONGEST = 100_000


@dataclass(frozen=True)
class Histogram:
    """Runs of 0, 1, ..., the last cell "so many or more", beside n (1-p) p^k.

    p : success per stroke, S/(S+M). cut : runs that the distance cut, counted in no cell unless
    they had reached the last. pearson : sum of (observed - expected)^2 / expected.
    """

    p: float
    innings: int
    observed: tuple[int, ...]
    expected: tuple[float, ...]
    cut: int
    pearson: float

    @property
    def last(self) -> int:
        """The length from which on runs are counted together."""
        return len(self.observed) - 1


def histogram(runs: ArrayLike, cut: ArrayLike | None = None, last: int | None = None) -> Histogram:
    """Return the runs in cells, beside what chance alone gives.

    cut : whether the distance cut each run; it ended with no miss. last : the first length of
    the pooled tail; else the longest whose cell expects 5. Raises ValueError without runs.
    """
    made, open_ = _runs(runs, cut)
    p = _success(made, open_)
    tail = _last_cell(made.size, p) if last is None else last
    placed = np.minimum(made[~open_ | (made >= tail)], tail)
    observed = np.bincount(placed, minlength=tail + 1)
    expected = placed.size * _law(p, tail)
    return Histogram(
        p,
        placed.size,
        tuple(observed.tolist()),
        tuple(expected.tolist()),
        int(open_.sum()),
        float(_pearson(observed[None, :], expected[None, :])[0]),
    )


@dataclass(frozen=True)
class Tail:
    """P(run >= k) for k = 0, 1, ...: as played (cut runs as "at least"), and p^k."""

    reached: tuple[int, ...]
    share: tuple[float, ...]
    geometric: tuple[float, ...]


def tail(runs: ArrayLike, cut: ArrayLike | None = None) -> Tail:
    """Return the tail of the runs by the product-limit estimate, where a cut run leaves without ending.

    Of runs that reached k and were not cut there, the share that went on; multiplied up.
    """
    made, open_ = _runs(runs, cut)
    p = _success(made, open_)
    longest = int(made.max())
    lengths = np.arange(longest + 1)
    reached = np.bincount(made)[::-1].cumsum()[::-1]
    cut_here = np.bincount(made[open_], minlength=longest + 1)
    could = reached[:-1] - cut_here[:-1]
    goes_on = np.divide(reached[1:], could, out=np.ones(longest), where=could > 0)
    share = np.concatenate([[1.0], np.cumprod(goes_on)])
    return Tail(tuple(reached.tolist()), tuple(share.tolist()), tuple((p**lengths).tolist()))


@dataclass(frozen=True)
class Goodness:
    """How well runs fit the geometric law: Pearson's sum and how often chance alone exceeds it."""

    pearson: float
    p_value: float
    draws: int
    seed: int


def goodness(runs: ArrayLike, last: int | None = None, draws: int = DRAWS, seed: int = 0) -> Goodness:
    """Return the goodness of fit by a parametric bootstrap: p is fitted anew to each draw.

    For innings that ended with a miss; cells as `histogram` pools them. Raises ValueError without runs.
    """
    seen = histogram(runs, None, last)
    rng = seeded(seed)
    # Cells are drawn, not runs: multinomial, and what the pooled runs exceed their cell by is
    # negative binomial. The law is the same, and the cost does not grow with the innings.
    observed = rng.multinomial(seen.innings, _law(seen.p, seen.last), draws)
    pooled = observed[:, -1]
    beyond = np.where(pooled > 0, rng.negative_binomial(np.maximum(pooled, 1), 1.0 - seen.p), 0)
    points = observed @ np.arange(seen.last + 1) + beyond
    fitted = points / (points + seen.innings)
    expected = seen.innings * _law(fitted[:, None], seen.last)
    count = int((_pearson(observed, expected) >= seen.pearson * (1.0 - SAME)).sum())
    return Goodness(seen.pearson, p_of_draws(count, draws), draws, seed)


def expected_high_run(p: float, innings: int) -> float:
    """Return the expected longest run in so many innings: sum over j of 1 - (1 - p^j)^n."""
    _sure(p)
    if p == 0.0 or innings == 0:
        return 0.0
    powers = p ** np.arange(1.0, min(LONGEST, np.log(NEGLIGIBLE / innings) / np.log(p)) + 1.0)
    return float(-np.expm1(innings * np.log1p(-powers)).sum())


def chance_of_run(p: float, innings: int, length: int) -> float:
    """Return the chance of some run of `length` or more in so many innings: 1 - (1 - p^k)^n."""
    _sure(p)
    if length <= 0 or p == 0.0:
        return float(length <= 0 and innings > 0)
    return float(-np.expm1(innings * log1p(-(p**length))))


@dataclass(frozen=True)
class Points:
    """Points in a number of innings at success p: mean and standard deviation."""

    innings: int
    p: float
    mean: float
    sd: float

    def at_least(self, points: int) -> float:
        """Return the chance of so many points or more."""
        from scipy.special import betainc

        return float(betainc(points, self.innings, self.p)) if points > 0 else 1.0


def points_in(p: float, innings: int) -> Points:
    """Return what so many innings bring at success p, each ended by a miss."""
    _sure(p)
    a = p / (1.0 - p)
    return Points(innings, p, innings * a, sqrt(innings * a * (1.0 + a)))


def _runs(runs: ArrayLike, cut: ArrayLike | None) -> tuple[Ints, np.ndarray]:
    made = np.asarray(runs, dtype=np.int64)
    open_ = np.zeros(made.shape, dtype=bool) if cut is None else np.asarray(cut, dtype=bool)
    if made.ndim != 1 or made.size == 0 or made.min() < 0 or open_.shape != made.shape:
        raise ValueError("runs of 0 or more are needed, and for each whether it was cut")
    return made, open_


def _success(made: Ints, open_: np.ndarray) -> float:
    points, misses = int(made.sum()), int((~open_).sum())
    if misses == 0:
        raise ValueError("an inning that ended with a miss is needed")
    return points / (points + misses)


def _last_cell(innings: int, p: float) -> int:
    if p <= 0.0 or innings * p < LEAST_EXPECTED:
        return 1
    return int(np.log(LEAST_EXPECTED / innings) / np.log(p))


def _law(p: float | Floats, last: int) -> Floats:
    """The geometric law in cells 0 to last, the rest in the last; p a number, or a column."""
    cells = (1.0 - p) * np.power(p, np.arange(last))
    rest = np.power(p, last) * np.ones(1)
    return np.concatenate([cells, rest], axis=-1)


def _pearson(observed: np.ndarray, expected: np.ndarray) -> Floats:
    gaps = (observed - expected) ** 2
    return np.divide(gaps, expected, out=np.zeros_like(expected), where=expected > 0).sum(axis=1)


def _sure(p: float) -> None:
    if not 0.0 <= p < 1.0:
        raise ValueError(p)
