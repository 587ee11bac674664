"""How well an average is known: intervals on a, points per miss.

A season is no constant form: intervals that assume one hold the truth four times in five where
they promise 95 %. From six matches on the matches themselves say how much form moves. Never a
bootstrap over innings of many matches.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import exp, inf, sqrt
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from scoring.rules.averages import average
from scoring.rules.said import Said, said

from .averages import Sheet
from .common import OF_AVERAGES, Interval, of_draws, seeded, tails

Stopped = Literal["innings", "race"]
Method = Literal["none", "jeffreys", "matches"]

# Fewer matches than this cannot say how much form moves.
LEAST_MATCHES = 6
# A bootstrap over fewer matches is too narrow.
LEAST_FOR_BOOTSTRAP = 15
# Below this only counts are shown.
LEAST_INNINGS = 10


def exact(points: int, misses: int, stopped: Stopped = "innings", level: float = OF_AVERAGES) -> Interval:
    """Return the exact interval on a for geometric runs, from the negative binomial.

    stopped : "innings" where a number of innings ended the count, "race" where the last point did.
    Raises ValueError for counts below 0, or none at all.
    """
    from scipy.special import betaincinv

    _counted(points, misses)
    low, high = tails(level)
    race = stopped == "race"
    least = float(betaincinv(points, misses + race, low)) if points else 0.0
    more = points + (not race)
    most = float(betaincinv(more, misses, high)) if misses and more else 1.0
    return Interval(_per_miss(least), _per_miss(most), level)


def jeffreys(points: int, misses: int, level: float = OF_AVERAGES) -> Interval:
    """Return Jeffreys' interval on a, Beta(S+1/2, M+1/2), whatever ended the innings; from 0 where S = 0."""
    from scipy.special import betaincinv

    _counted(points, misses)
    low, high = (float(betaincinv(points + 0.5, misses + 0.5, tail)) for tail in tails(level))
    return Interval(_per_miss(low) if points else 0.0, _per_miss(high), level)


@dataclass(frozen=True)
class OverMatches:
    """An average, the dispersion phi of its matches about it (1: constant form), and the t-interval."""

    average: Fraction
    phi: float
    interval: Interval


def over_matches(matches: Sequence[tuple[int, int]], level: float = OF_AVERAGES) -> OverMatches:
    """Return the t-interval on a from matches of (points, misses).

    phi = sum (S_j - a M_j)^2 / (M_j a (1+a)) / (K-1), interval a exp(+-t sqrt(max(1, phi) (1+a) / S)).
    Matches without a miss cannot tell how far they stray and add to a alone. Raises ValueError
    with fewer than two matches that have one, or no points.
    """
    from scipy.special import stdtrit

    points, misses = sum(made for made, _ in matches), sum(missed for _, missed in matches)
    told = [match for match in matches if match[1] > 0]
    if points == 0 or len(told) < 2:
        raise ValueError("two matches with misses, and a point, are needed")
    a = points / misses
    strays = sum((made - a * missed) ** 2 / (missed * a * (1.0 + a)) for made, missed in told)
    phi = strays / (len(told) - 1)
    width = float(stdtrit(len(told) - 1, tails(level)[1])) * sqrt(max(1.0, phi) * (1.0 + a) / points)
    return OverMatches(Fraction(points, misses), phi, Interval(a * exp(-width), a * exp(width), level))


def through_matches(
    matches: Sequence[tuple[int, int]], window: int, least: int = LEAST_MATCHES, level: float = OF_AVERAGES
) -> list[Interval | None]:
    """Return after each match the interval of `over_matches` over the last `window` ones with a miss among them.

    None where fewer than `least` of these had a miss, or none of them a point. All windows are
    worked out at once: a report holds thousands.
    """
    from numpy.lib.stride_tricks import sliding_window_view
    from scipy.special import stdtrit

    if not matches:
        return []
    both = np.array(matches, dtype=np.float64)
    both[both[:, 1] <= 0.0] = 0.0
    padded = np.concatenate([np.zeros((window - 1, 2)), both])
    made, missed = np.moveaxis(sliding_window_view(padded, window, axis=0), 1, 0)
    points, misses, told = made.sum(axis=1), missed.sum(axis=1), (missed > 0).sum(axis=1)
    fits = (told >= max(2, least)) & (points > 0)
    made, missed, points, told = made[fits], missed[fits], points[fits], told[fits]
    a = points / misses[fits]
    square = (made - a[:, None] * missed) ** 2
    strays = (square / (np.where(missed > 0, missed, 1.0) * (a * (1.0 + a))[:, None])).sum(axis=1)
    phi = strays / (told - 1)
    widths = stdtrit(told - 1, tails(level)[1]) * np.sqrt(np.maximum(1.0, phi) * (1.0 + a) / points)
    ends = zip((a * np.exp(-widths)).tolist(), (a * np.exp(widths)).tolist(), strict=True)
    return [Interval(*next(ends), level) if fit else None for fit in fits.tolist()]


@dataclass(frozen=True)
class Estimate:
    """The official average, points per miss, what is known of it, and the words that must stand beside.

    phi tells how much form moved from match to match; None where it could not be told.
    """

    average: Fraction | None
    points_per_miss: Fraction | None
    points: int
    innings: int
    misses: int
    matches: int
    method: Method
    interval: Interval | None
    phi: float | None
    words: Said | None


def estimate(sheets: Sequence[Sheet], level: float = OF_AVERAGES) -> Estimate:
    """Return what a player's matches tell: over matches from six on, Jeffreys below, counts under ten innings.

    The interval is on points per miss.
    """
    points = sum(sheet.points for sheet in sheets)
    innings = sum(sheet.innings for sheet in sheets)
    misses = sum(sheet.misses for sheet in sheets)
    played = [(sheet.points, sheet.misses) for sheet in sheets if sheet.innings > 0]
    method: Method = "none"
    interval: Interval | None = None
    phi: float | None = None
    words: Said | None = None
    if innings < LEAST_INNINGS:
        words = said("too few innings to say more than the average") if innings > 1 else None
    elif points and sum(missed > 0 for _, missed in played) >= LEAST_MATCHES:
        found = over_matches(played, level)
        method, interval, phi = "matches", found.interval, found.phi
    else:
        method, interval = "jeffreys", jeffreys(points, misses, level)
        words = said("if form was the same throughout")
    return Estimate(
        average(points, innings),
        average(points, misses),
        points,
        innings,
        misses,
        len(played),
        method,
        interval,
        phi,
        words,
    )


def bootstrap_innings(
    runs: ArrayLike, level: float = OF_AVERAGES, draws: int = 9_999, seed: int = 0
) -> Interval:
    """Return the percentile interval of the average of one match, its innings drawn again.

    Inside one match only: over a season it holds the truth four times in five.
    """
    made = np.asarray(runs, dtype=np.int64)
    if made.ndim != 1 or made.size == 0:
        raise ValueError("the runs of one match are needed")
    rng = seeded(seed)
    # In parts of some million innings, so that many draws need little memory.
    parts = max(1, draws * made.size // 4_000_000)
    means = [
        made[rng.integers(0, made.size, (part.size, made.size))].mean(axis=1)
        for part in np.array_split(np.arange(draws), parts)
    ]
    return of_draws(np.concatenate(means), level)


def bootstrap_matches(
    matches: Sequence[tuple[int, int]], level: float = OF_AVERAGES, draws: int = 9_999, seed: int = 0
) -> Interval:
    """Return the percentile interval of points over misses, whole matches drawn again; from 15 matches on."""
    if len(matches) < LEAST_FOR_BOOTSTRAP:
        raise ValueError(f"a bootstrap over matches needs {LEAST_FOR_BOOTSTRAP}")
    table = np.asarray(matches, dtype=float)
    sums = table[seeded(seed).integers(0, len(table), (draws, len(table)))].sum(axis=1)
    with np.errstate(divide="ignore"):
        return of_draws(np.where(sums[:, 1] > 0, sums[:, 0] / np.maximum(sums[:, 1], 1e-300), inf), level)


@dataclass(frozen=True)
class Dispersion:
    """The variance of runs beside that of geometric runs of the same average: phi is their ratio."""

    average: Fraction
    variance: float
    phi: float | None


def dispersion(runs: ArrayLike) -> Dispersion:
    """Return variance / (A (1+A)) of runs; phi is None without points. Raises ValueError below two runs."""
    made = np.asarray(runs, dtype=np.int64)
    if made.size < 2:
        raise ValueError("two runs are needed")
    mean = Fraction(int(made.sum()), made.size)
    variance = float(made.var(ddof=1))
    return Dispersion(mean, variance, variance / float(mean * (1 + mean)) if mean else None)


def _per_miss(p: float) -> float:
    return p / (1.0 - p) if p < 1.0 else inf


def _counted(points: int, misses: int) -> None:
    if points < 0 or misses < 0 or points + misses == 0:
        raise ValueError((points, misses))
