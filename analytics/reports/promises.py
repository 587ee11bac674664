"""Did the points come that were promised? Expected against made, by the exact law of their sum.

Strokes of different chances make points by the Poisson-binomial law. Points gained are points
made minus points promised; the idea is strokes gained in golf: M. Broadie, Interfaces 42 (2012)
146-165, doi 10.1287/inte.1120.0626. A promise refers to a line: those for the line a player
declared and those for the best line are never added up, nor those made before and after the fact.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10, sqrt

import numpy as np
from numpy.typing import ArrayLike

from .common import OF_RATES, Floats, chances, floats, normal_quantile, outcomes, tails, together

# Strokes whose law is built up one after the other, many such blocks at a time.
BLOCK = 64
# A difference worth telling, in points a stroke: five in a hundred.
WORTH_TELLING = 0.05


@dataclass(frozen=True)
class Law:
    """The chances of start, start + 1, ... points; what lies beyond has a chance below 1e-40."""

    start: int
    chances: Floats

    def at_most(self, points: int) -> float:
        """Return the chance of so many points or fewer."""
        return min(1.0, float(self.chances[: max(0, points - self.start + 1)].sum()))

    def at_least(self, points: int) -> float:
        """Return the chance of so many points or more."""
        return min(1.0, float(self.chances[max(0, points - self.start) :].sum()))

    def exactly(self, points: int) -> float:
        """Return the chance of so many points."""
        at = points - self.start
        return float(self.chances[at]) if 0 <= at < len(self.chances) else 0.0

    def central(self, level: float) -> tuple[int, int]:
        """Return the points that bound the middle of the law, both included."""
        reached = np.cumsum(self.chances)
        low, high = np.searchsorted(reached, tails(level))
        last = len(reached) - 1
        return self.start + int(min(low, last)), self.start + int(min(high, last))


@dataclass(frozen=True)
class Promise:
    """Points made beside points promised.

    expected, variance : sum p and sum p (1-p), as if strokes were independent. gained : points
    minus expected; per_100 strokes. p_low, p_high : chance of as few, of as many, if every promise
    was true; p_two : twice the smaller; p_mid : the same with half the chance of what was seen.
    central : points that chance alone gives at the level, both ends included.
    """

    strokes: int
    points: int
    expected: float
    variance: float
    gained: float
    per_100: float
    z: float
    p_low: float
    p_high: float
    p_two: float
    p_mid: float
    central: tuple[int, int]
    level: float

    @property
    def only_points(self) -> bool:
        """Whether no stroke of several is a miss: as where misses are not written down."""
        return self.points == self.strokes > 1


def law(promised: ArrayLike) -> Law:
    """Return the law of the points that strokes of given chances make, exactly.

    promised : (n,) between 0 and 1. Multiplied out, no approximation at any length: a hundred
    thousand strokes take about a tenth of a second. Raises ValueError for other chances, or none.
    """
    p = chances(promised)
    if p.size == 0:
        raise ValueError("strokes are needed")
    # A stroke without a chance fills up the last block and changes nothing.
    blocks = np.append(p, np.zeros(-p.size % BLOCK)).reshape(BLOCK, -1)
    made = np.zeros((BLOCK + 1, blocks.shape[1]))
    made[0] = 1.0
    for so_far, chance in enumerate(blocks, 1):
        more = made[:so_far] * chance
        made[:so_far] -= more
        made[1 : so_far + 1] += more
    return Law(*together(list(made.T)))


def promise(promised: ArrayLike, made: ArrayLike, level: float = OF_RATES) -> Promise:
    """Return points made beside points promised, of strokes promised in one way.

    promised : (n,) between 0 and 1; made : (n,) of 0 and 1. Raises ValueError for others, or none.
    """
    p = chances(promised)
    points = int(outcomes(made, p).sum())
    return _told(law(p), p.size, points, float(p.sum()), float((p * (1.0 - p)).sum()), level)


def by_group(
    promised: ArrayLike, made: ArrayLike, groups: Sequence[Hashable] | np.ndarray, level: float = OF_RATES
) -> dict[Hashable, Promise]:
    """Return the promises of each group of strokes, in the order in which the groups stand.

    groups : (n,), a family, a month, or the pair of line and time of a promise that keeps those
    apart. Raises ValueError as `promise` does, and for another length.
    """
    p, o = chances(promised), floats(made)
    if len(groups) != p.size:
        raise ValueError("one group for each stroke")
    if p.size == 0:
        return {}
    keys: dict[Hashable, int] = {}
    listed = groups.tolist() if isinstance(groups, np.ndarray) else groups
    place = np.fromiter((keys.setdefault(group, len(keys)) for group in listed), dtype=np.int64)
    return {key: promise(p[place == at], o[place == at], level) for key, at in keys.items()}


@dataclass(frozen=True)
class Choice:
    """What the choice of line costs: promises of the best line minus those of the declared one."""

    strokes: int
    cost: float
    per_100: float


def cost_of_choice(best: ArrayLike, declared: ArrayLike) -> Choice:
    """Return what players gave away by the line they chose, in points.

    best, declared : (n,), the two promises of each stroke that has both; by luck of simulation a
    cost may fall below 0. Raises ValueError for chances that are none, or another length.
    """
    better, chosen = chances(best), chances(declared)
    if better.shape != chosen.shape:
        raise ValueError("two promises for each stroke")
    cost = float((better - chosen).sum())
    return Choice(better.size, cost, 100.0 * cost / better.size if better.size else 0.0)


def strokes_to_tell(
    variance: float, gain: float = WORTH_TELLING, power: float = 0.8, level: float = OF_RATES
) -> int:
    """Return the strokes that would show a gain per stroke, to two figures.

    variance : mean of p (1-p). By the normal law, as an order of size. Raises ValueError where
    there is nothing to tell.
    """
    from scipy.special import ndtri

    if variance <= 0.0 or gain == 0.0 or not 0.0 < power < 1.0:
        raise ValueError((variance, gain, power))
    strokes = (normal_quantile(level) + float(ndtri(power))) ** 2 * variance / gain**2
    step = 10 ** max(0, floor(log10(strokes)) - 1)
    return int(ceil(strokes / step) * step)


def _told(made: Law, strokes: int, points: int, expected: float, variance: float, level: float) -> Promise:
    low, high, half = made.at_most(points), made.at_least(points), made.exactly(points) / 2.0
    gained = points - expected
    return Promise(
        strokes,
        points,
        expected,
        variance,
        gained,
        100.0 * gained / strokes,
        gained / sqrt(variance),
        low,
        high,
        min(1.0, 2.0 * min(low, high)),
        min(1.0, 2.0 * (min(low, high) - half)),
        made.central(level),
        level,
    )
