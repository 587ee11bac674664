"""What is too unlikely to pass without a question: long runs, high totals, sheets written twice.

A question is put to the organiser with its reason; the figure stays in every report until a person
strikes it out or corrects it. What cannot have been played at all stands in `contradictions`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, log, sqrt

import numpy as np
from numpy.typing import ArrayLike

from scoring.rules.said import Said, said

from .common import Floats, chances, outcomes

# One sheet in so many is asked about by chance: at 5,000 sheets a year, one in two years.
A_SHEET = 1e-4
# Two sheets are asked about where chance would make them equal less often than this.
TWICE = 1e-6
NODES = 4_000
DAYS = 9


@dataclass(frozen=True)
class Doubt:
    """A question about a sheet or a stroke, and its reason.

    certain : it cannot have been played so; else `chance` says how rarely it is. side : 0 or 1,
    whose part of the sheet it is about. about : keys of the sheets or strokes, as they were given.
    """

    kind: str
    reason: Said
    certain: bool = False
    chance: float | None = None
    side: int | None = None
    about: tuple[Hashable, ...] = ()


@dataclass(frozen=True)
class Past:
    """What a player's earlier matches tell; none: zeros. form_sd : of log a, between matches."""

    points: int
    misses: int
    form_sd: float = 0.0


def run_in_one(past: Past, run: int) -> float:
    """Return the chance that one inning brings a run of `run` or more, form being constant.

    B(S+1/2+k, M+1/2) / B(S+1/2, M+1/2), the posterior predictive of Jeffreys' prior.
    """
    from scipy.special import betaln

    _counted(past, run)
    a, b = past.points + 0.5, past.misses + 0.5
    return float(np.exp(betaln(a + run, b) - betaln(a, b)))


def run_on_sheet(past: Past, run: int, innings: int) -> float:
    """Return the chance of a run of `run` or more among so many innings of one match.

    The innings of a match share the player's rate, so 1 - (1 - p^k)^n is averaged over what is
    known of p. Raises ValueError for counts below 0 or no innings.
    """
    from scipy.special import log_expit

    _counted(past, run)
    if innings < 1:
        raise ValueError(innings)
    if run == 0:
        return 1.0

    def chance(x: Floats) -> Floats:
        one = np.minimum(np.exp(run * log_expit(x)), 1.0 - 1e-16)
        return np.asarray(-np.expm1(innings * np.log1p(-one)))

    return _averaged(past, run, chance)


def total_on_sheet(past: Past, points: int, innings: int) -> float:
    """Return the chance of `points` or more in so many innings: the beta-negative-binomial tail.

    The last inning may have ended by a miss or by the distance; the chance is the same.
    """
    from scipy.special import betainc, expit

    _counted(past, points)
    if innings < 1:
        raise ValueError(innings)
    if points == 0:
        return 1.0
    return _averaged(past, points, lambda x: np.asarray(betainc(points, innings, expit(x))))


def _averaged(past: Past, lift: int, chance: Callable[[Floats], Floats]) -> float:
    """Return the mean of a chance over logit p, by the trapezoid rule, which is exact enough for 1e-20.

    lift : points that the chance adds to the player's, so that the range holds where it comes from.
    """
    from scipy.special import betaln, log_expit

    a, b = past.points + 0.5, past.misses + 0.5
    reach = 10.0 * sqrt(1.0 / a + 1.0 / b)
    low, high = log(a / b) - reach, log((a + lift) / b) + reach + 40.0 / b
    x = np.linspace(low, high, NODES)
    density = np.exp(a * log_expit(x) + b * log_expit(-x) - betaln(a, b))
    if past.form_sd <= 0.0:
        mean = chance(x)
    else:
        nodes, weights = np.polynomial.hermite_e.hermegauss(DAYS)
        parts = [
            weight * chance(x + past.form_sd * node) for node, weight in zip(nodes, weights, strict=True)
        ]
        mean = np.sum(parts, axis=0) / weights.sum()
    return min(1.0, float((density * mean).sum() * (x[1] - x[0])))


def unlikely(
    past: Past, high_run: int, points: int, innings: int, side: int | None = None, below: float = A_SHEET
) -> list[Doubt]:
    """Return the questions that one player's part of a sheet raises, from earlier matches alone."""
    if innings < 1:
        return []
    found = []
    run, total = run_on_sheet(past, high_run, innings), total_on_sheet(past, points, innings)
    if run < below:
        reason = said(
            "A run of %(run)s: after the earlier matches, about one sheet in %(times)s has such a run. Please check.",
            run=high_run,
            times=one_in(run),
        )
        found.append(Doubt("run", reason, chance=run, side=side))
    if total < below:
        reason = said(
            "%(points)s points in %(innings)s innings: after the earlier matches, about one sheet in %(times)s"
            " has so many. Please check.",
            points=points,
            innings=innings,
            times=one_in(total),
        )
        found.append(Doubt("total", reason, chance=total, side=side))
    return found


def one_in(chance: float) -> int:
    """Return a chance as "one in so many", to two figures, and never more than a billion."""
    times = min(1e9, 1.0 / max(chance, 1e-9))
    size = 10 ** max(0, len(str(int(times))) - 2)
    return int(round(times / size) * size)


def same_sheet(p: tuple[float, float], innings: tuple[int, int]) -> float:
    """Return the chance that all runs of two sheets are equal, ((1-p)/(1+p))^n for each player.

    Raises ValueError for rates outside 0 to 1.
    """
    if not all(0.0 <= rate < 1.0 for rate in p):
        raise ValueError(p)
    return float(np.prod([((1.0 - rate) / (1.0 + rate)) ** n for rate, n in zip(p, innings, strict=True)]))


@dataclass(frozen=True)
class Runs:
    """A sheet to be compared with others: its key, and both players' runs in order."""

    key: Hashable
    first: tuple[int, ...]
    second: tuple[int, ...]


def doubled(sheets: Sequence[Runs], below: float = TWICE) -> list[Doubt]:
    """Return the sheets that hold the same runs as an earlier one, colours changed about or not.

    Success rates are taken from the sheets themselves. What few innings make equal by chance is not
    asked about.
    """
    alike: dict[tuple[tuple[int, ...], ...], list[Runs]] = defaultdict(list)
    for sheet in sheets:
        alike[tuple(sorted((sheet.first, sheet.second)))].append(sheet)
    found = []
    for both, group in alike.items():
        p = [(sum(runs) + 0.5) / (sum(runs) + len(runs) + 1.0) for runs in both]
        chance = same_sheet((p[0], p[1]), (len(both[0]), len(both[1])))
        if chance >= below:
            continue
        for earlier, later in pairwise(group):
            reason = said(
                "Every run of this sheet stands on another one as well, in the same order. Was it written twice?"
            )
            found.append(Doubt("twice", reason, chance=chance, about=(earlier.key, later.key)))
    return found


@dataclass(frozen=True)
class Drift:
    """The sum of outcomes less predictions where it strays furthest, in standard errors of the whole.

    at : strokes until there. p_value : how often chance alone strays as far.
    """

    furthest: float
    at: int
    strokes: int
    p_value: float


def drift(made: ArrayLike, promised: ArrayLike) -> Drift | None:
    """Return how far the outcomes of a player, or on a table, drift from what was predicted.

    A table that drifts alone points at its cloth or its fit, not at its players. The p-value is that
    of the largest stray of a Brownian motion, by its reflections; None without strokes. Raises
    ValueError for predictions of 0 or 1, or another number of outcomes.
    """
    p = chances(promised)
    strays = np.cumsum(outcomes(made, p) - p)
    if not len(strays):
        return None
    strays /= sqrt(float((p * (1.0 - p)).sum()))
    at = int(np.abs(strays).argmax())
    return Drift(float(strays[at]), at + 1, len(strays), _stray(abs(float(strays[at]))))


def _stray(furthest: float) -> float:
    """Return the chance that a Brownian motion of time 1 leaves +-x: a series that ends quickly."""
    if furthest < 0.2:
        return 1.0
    terms = [(-1) ** k / (2 * k + 1) * exp(-(((2 * k + 1) * np.pi / furthest) ** 2) / 8.0) for k in range(60)]
    return float(min(1.0, max(0.0, 1.0 - 4.0 / np.pi * sum(terms))))


def _counted(past: Past, more: int) -> None:
    if min(past.points, past.misses, more) < 0:
        raise ValueError((past, more))
