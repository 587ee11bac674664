"""Is a player streaky? The exact law of scoring innings, match by match, and streaks of k points.

Given S points and M misses in one match under a constant p, the number of innings with a point has
an exact law; few of them is clustering. The law is multiplied out over matches, never pooled:
form that moves between matches looks like streaks. A rate after an own point is biased even for
a constant p, and the bias is added back: J. Miller, A. Sanjurjo, Econometrica 86 (2018) 2019-2047.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import sqrt
from typing import Literal, NamedTuple

import numpy as np

from scoring.rules.said import Said, said

from .common import OF_RATES, Floats, Interval, no_likelier, normal_quantile, together

Last = Literal["miss", "point"]

# With fewer innings the text says what could not be shown.
LEAST_INNINGS = 300


class Strokes(NamedTuple):
    """One match of one player: misses, points, innings with a point, and what the last stroke was."""

    misses: int
    points: int
    scoring: int
    last: Last


@dataclass(frozen=True)
class ScoringInnings:
    """Innings with a point in one match, against chance; rates after a miss and after an own point.

    bias : what the difference is expected at under a constant p; corrected = raw - bias. The four
    figures of the difference are None where one of the rates has no strokes.
    """

    scoring: int
    expected: Fraction
    p_low: float
    p_high: float
    p_two: float
    success_first: Fraction | None
    success_after_point: Fraction | None
    raw_difference: Fraction | None
    bias: Fraction | None
    corrected_difference: Fraction | None


def law(misses: int, points: int, last: Last) -> Floats:
    """Return P(g innings with a point), g = 0, 1, ..., given points and misses in one match.

    Ended by a miss C(M,g) C(S-1,g-1) / C(S+M-1,S); by a point C(M,g-1) C(S-1,g-1) / C(S+M-1,M).
    Raises ValueError for counts that cannot end so.
    """
    _could_end(misses, points, last)
    if points == 0:
        return np.ones(1)
    if last == "miss":
        return _hypergeometric(misses, points - 1, points)
    return np.concatenate([[0.0], _hypergeometric(points - 1, misses, misses)])


def expected(misses: int, points: int, last: Last) -> Fraction:
    """Return the expected number of innings with a point, exactly."""
    _could_end(misses, points, last)
    if points == 0 or points + misses == 1:
        return Fraction(min(points, 1))
    if last == "miss":
        return Fraction(misses * points, points + misses - 1)
    return 1 + Fraction(misses * (points - 1), points + misses - 1)


def bias_after_point(misses: int, points: int, last: Last) -> Fraction | None:
    """Return what success after a point minus success of first strokes is expected at, p constant.

    Ended by a miss -1/(S+M-1), by a point -M/((M+1)(S+M-1)); None where one has no strokes.
    """
    first, after = _opportunities(misses, points, last)
    if first == 0 or after == 0:
        return None
    if last == "miss":
        return Fraction(-1, points + misses - 1)
    return Fraction(-misses, (misses + 1) * (points + misses - 1))


def scoring_innings(points: int, misses: int, scoring: int, last: Last = "miss") -> ScoringInnings:
    """Return the exact test on innings with a point in one match, and the corrected difference."""
    chances = law(misses, points, last)
    if not 0 <= scoring < len(chances) or chances[scoring] == 0.0:
        raise ValueError(scoring)
    first, after = _opportunities(misses, points, last)
    at_first = Fraction(scoring, first) if first else None
    after_point = Fraction(points - scoring, after) if after else None
    raw = after_point - at_first if after_point is not None and at_first is not None else None
    bias = bias_after_point(misses, points, last)
    return ScoringInnings(
        scoring,
        expected(misses, points, last),
        float(chances[: scoring + 1].sum()),
        min(1.0, float(chances[scoring:].sum())),
        no_likelier(chances, scoring),
        at_first,
        after_point,
        raw,
        bias,
        raw - bias if raw is not None and bias is not None else None,
    )


@dataclass(frozen=True)
class Streakiness:
    """All matches together, each against its own law.

    after_point : how much more often a stroke scores after an own point than at first in an
    inning, bias added back, matches weighted by what they can tell; None where none can.
    The interval is what chance alone leaves open at a constant p within each match.
    """

    innings: int
    scoring: int
    expected: float
    p_low: float
    p_two: float
    after_point: float | None
    interval: Interval | None
    words: Said


def stratified(matches: Sequence[Strokes], level: float = OF_RATES) -> Streakiness:
    """Return the exact test over matches, their laws multiplied out. Raises ValueError without any."""
    if not matches:
        raise ValueError("a match is needed")
    # Many matches of a season share their law.
    told = {key: law(*key) for key in {(match.misses, match.points, match.last) for match in matches}}
    start, chances = together([told[match.misses, match.points, match.last] for match in matches])
    scoring = sum(match.scoring for match in matches)
    at = scoring - start
    inside = 0 <= at < len(chances)
    p_low = min(1.0, float(chances[: max(0, at + 1)].sum()))
    p_two = no_likelier(chances, at) if inside else 0.0
    means, spreads = _moments(matches)
    mean = float(means.sum())
    innings = sum(match.misses + (match.last == "point") for match in matches)
    difference, interval = _difference(matches, means, spreads, level)
    few = scoring < mean
    return Streakiness(
        innings, scoring, mean, p_low, p_two, difference, interval, _words(innings, p_two, few)
    )


def _hypergeometric(good: int, bad: int, drawn: int) -> Floats:
    """P(x of the good are drawn), x = 0, 1, ...; from logarithms, as a report holds thousands of matches."""
    from scipy.special import gammaln

    x = np.arange(min(good, drawn) + 1.0)
    # gammaln is infinite where more would be left than there are: such x have no chance.
    logs = -(gammaln(x + 1) + gammaln(good - x + 1) + gammaln(drawn - x + 1) + gammaln(bad - drawn + x + 1))
    weights = np.exp(logs - logs.max())
    return np.asarray(weights / weights.sum())


def _moments(matches: Sequence[Strokes]) -> tuple[Floats, Floats]:
    """Mean and variance of the innings with a point, one of each for each match."""
    misses = np.array([match.misses for match in matches], dtype=float)
    points = np.array([match.points for match in matches], dtype=float)
    won = np.array([match.last == "point" for match in matches], dtype=float)
    total = points + misses - 1.0
    drawn, good = points - won, misses
    some = np.where((points > 0) & (total > 0), drawn * good / np.maximum(total, 1.0), 0.0)
    left = (total - good) * (total - drawn) / np.maximum(total * (total - 1.0), 1.0)
    return some + won, np.where(total > 1.0, some * left, 0.0)


def _difference(
    matches: Sequence[Strokes], means: Floats, spreads: Floats, level: float
) -> tuple[float | None, Interval | None]:
    """The corrected differences, weighted; their variance is that of the exact law.

    Of first and later strokes in a match, scoring innings G tell S/later - G (1/first + 1/later);
    its mean under chance is the bias, so what is left is how far G lies under its own mean.
    """
    counts = [_opportunities(match.misses, match.points, match.last) for match in matches]
    first, after = np.maximum(np.array(counts, dtype=float).T, 0.0)
    told = (first > 0) & (after > 0)
    if not told.any():
        return None, None
    fewer = (means - np.array([match.scoring for match in matches]))[told]
    # A weight of first * after / (first + after) leaves of each difference what G lacks.
    weights = float((first[told] * after[told] / (first[told] + after[told])).sum())
    middle = float(fewer.sum()) / weights
    width = normal_quantile(level) * sqrt(float(spreads[told].sum())) / weights
    return middle, Interval(middle - width, middle + width, level)


def _words(innings: int, p_two: float, few: bool) -> Said:
    if p_two > 0.1:
        if innings < LEAST_INNINGS:
            return said(
                "The runs look like those of a player without streaks. "
                "%(innings)s innings could not show a small effect.",
                innings=innings,
            )
        return said("The runs look like those of a player without streaks.")
    if few:
        return said("The points come in fewer and longer runs than chance alone gives.")
    return said("The points are spread over more innings than chance alone gives.")


def expected_proportion(strokes: int, after: int, p: float) -> float:
    """Return the expected share of points on strokes after `after` points in a row, in a short record.

    Records without such a stroke are left out. It lies under p: Miller & Sanjurjo (2018). E[S/O]
    is summed from the joint law of opportunities O and the mean of successes S given O.
    """
    if after < 1 or strokes <= after or not 0.0 < p < 1.0:
        raise ValueError((strokes, after, p))
    # Rows: points in a row so far, `after` or more last. Columns: opportunities so far.
    chance = np.zeros((after + 1, strokes + 1))
    successes = np.zeros_like(chance)
    chance[0, 0] = 1.0
    for _ in range(strokes):
        there, made = np.zeros_like(chance), np.zeros_like(chance)
        there[0] += (1 - p) * chance[:after].sum(axis=0)
        made[0] += (1 - p) * successes[:after].sum(axis=0)
        there[1:] += p * chance[:after]
        made[1:] += p * successes[:after]
        there[0, 1:] += (1 - p) * chance[after, :-1]
        made[0, 1:] += (1 - p) * successes[after, :-1]
        there[after, 1:] += p * chance[after, :-1]
        made[after, 1:] += p * (successes[after, :-1] + chance[after, :-1])
        chance, successes = there, made
    opportunities = np.arange(1, strokes + 1)
    share = (successes[:, 1:].sum(axis=0) / opportunities).sum()
    return float(share / chance[:, 1:].sum())


def _opportunities(misses: int, points: int, last: Last) -> tuple[int, int]:
    """First strokes of an inning, and strokes after an own point."""
    won = last == "point"
    return misses + won, points - won


def _could_end(misses: int, points: int, last: Last) -> None:
    if min(misses, points) < 0 or (misses if last == "miss" else points) < 1 or last not in ("miss", "point"):
        raise ValueError((misses, points, last))
