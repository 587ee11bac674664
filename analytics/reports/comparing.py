"""Do two averages differ? Effect and interval first, the chance of it last."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb, exp, log, nan, sqrt

import numpy as np

from .common import (
    DRAWS,
    OF_AVERAGES,
    SAME,
    Interval,
    no_likelier,
    normal_quantile,
    p_of_draws,
    seeded,
    tails,
)
from .intervals import LEAST_MATCHES, over_matches

# So many ways to part the matches or fewer: all of them are looked at.
ALL_WAYS = 12_000


@dataclass(frozen=True)
class TwoAverages:
    """Two averages per miss: second over first, its interval, and the exact test that they are equal.

    p_low : chance of as few points of the first or fewer, p_high : of as many or more.
    """

    ratio: float
    interval: Interval | None
    p_low: float
    p_high: float
    p_two: float
    p_doubled: float


def two_averages(points: tuple[int, int], misses: tuple[int, int], level: float = OF_AVERAGES) -> TwoAverages:
    """Return how two averages differ if form was the same throughout each.

    Given the total, the points of the first are beta-binomial(T; M1, M2) under equality; Fisher's
    test would hold the attempts fixed. Raises ValueError without a miss on either side.
    """
    if min(misses) < 1 or min(points) < 0:
        raise ValueError((points, misses))
    from scipy.stats import betabinom

    law = betabinom(sum(points), *misses)
    p_low, p_high = float(law.cdf(points[0])), float(law.sf(points[0] - 1))
    p_two = no_likelier(law.pmf(np.arange(sum(points) + 1)), points[0])
    interval = None
    if min(points):
        ratio = points[1] * misses[0] / (points[0] * misses[1])
        errors = sum((1.0 + made / missed) / made for made, missed in zip(points, misses, strict=True))
        width = normal_quantile(level) * sqrt(errors)
        interval = Interval(ratio * exp(-width), ratio * exp(width), level)
    else:
        ratio = nan if points[0] == 0 else 0.0
    return TwoAverages(ratio, interval, p_low, p_high, p_two, min(1.0, 2.0 * min(p_low, p_high)))


@dataclass(frozen=True)
class Seasons:
    """Two seasons: second over first, its interval over matches, the chance by parting whole matches anew."""

    ratio: float
    interval: Interval
    p_two: float
    ways: int
    seed: int | None


def seasons(
    first: Sequence[tuple[int, int]],
    second: Sequence[tuple[int, int]],
    level: float = OF_AVERAGES,
    draws: int = DRAWS,
    seed: int = 0,
) -> Seasons:
    """Return how two averages of matches, (points, misses), differ; whole matches change sides.

    All partings are looked at while they are few; then no seed was needed. Raises ValueError
    with fewer than six matches a side, or no points on one.
    """
    if min(len(first), len(second)) < LEAST_MATCHES:
        raise ValueError(f"{LEAST_MATCHES} matches a side are needed")
    from scipy.special import stdtrit

    one, two = over_matches(first, level), over_matches(second, level)
    ratio = float(two.average / one.average)
    both = sum(
        max(1.0, found.phi) * (1.0 + float(found.average)) / sum(made for made, _ in matches)
        for found, matches in ((one, first), (two, second))
    )
    width = float(stdtrit(len(first) + len(second) - 2, tails(level)[1])) * sqrt(both)
    table = np.asarray([*first, *second], dtype=float)
    seen = abs(log(ratio)) * (1.0 - SAME)
    ways = comb(len(table), len(first))
    if ways <= ALL_WAYS:
        from itertools import combinations

        chosen = np.zeros((ways, len(table)), dtype=bool)
        for way, members in enumerate(combinations(range(len(table)), len(first))):
            chosen[way, list(members)] = True
        p_two = float((_strays(chosen, table) >= seen).mean())
    else:
        row = np.arange(len(table)) < len(first)
        chosen = seeded(seed).permuted(np.tile(row, (draws, 1)), axis=1)
        p_two = p_of_draws(int((_strays(chosen, table) >= seen).sum()), draws)
    interval = Interval(ratio * exp(-width), ratio * exp(width), level)
    return Seasons(ratio, interval, p_two, min(ways, draws), None if ways <= ALL_WAYS else seed)


def innings_to_tell(first: float, second: float, power: float = 0.8, level: float = OF_AVERAGES) -> int:
    """Return the innings each side needs to tell two averages apart with a given power, at constant form."""
    from scipy.special import ndtri

    if min(first, second) <= 0.0 or first == second:
        raise ValueError((first, second))
    errors = sum((1.0 + a) / a for a in (first, second))
    reach = normal_quantile(level) + float(ndtri(power))
    return int(np.ceil(reach**2 * errors / log(second / first) ** 2))


def _strays(chosen: np.ndarray, table: np.ndarray) -> np.ndarray:
    """How far the averages of both sides stand apart, in logs, for each way (rows) to choose the first."""
    ours = chosen.astype(float) @ table
    theirs = table.sum(axis=0) - ours
    with np.errstate(divide="ignore", invalid="ignore"):
        apart = np.abs(np.log(theirs[:, 0] * ours[:, 1]) - np.log(ours[:, 0] * theirs[:, 1]))
    return np.where(np.isnan(apart), 0.0, apart)
