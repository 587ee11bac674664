"""How much better than promised, in log-odds: one offset a family, logit q = logit p + d.

Families are then drawn together, towards 0, as far as their spread allows; and a family is only
called better or worse where that holds among all families looked at: Y. Benjamini, Y. Hochberg,
J. Royal Statist. Soc. B 57 (1995) 289-300 (from memory). The rest derived here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt
from typing import Any

import numpy as np
from numpy.polynomial import Chebyshev
from numpy.typing import ArrayLike

from .common import OF_RATES, Floats, Interval, chances, floats, outcomes, tails

# An offset beyond this is not told from one here: .05 against .5.
FARTHEST = 3.0
# Finer than the spread of an offset after some hundred thousand strokes.
GRID = np.linspace(-FARTHEST, FARTHEST, 6001)
# So many terms leave of a stroke's log-likelihood less than rounding does.
TERMS = 40
# The spread of offsets between families: half-normal with this scale.
SPREAD_SCALE = 0.5
SPREADS = np.arange(301) * 0.005
# The share of false alarms that is accepted among those raised.
FALSE_ALARMS = 0.10


@dataclass(frozen=True)
class Offset:
    """How far success stands from what was promised, in log-odds, of one family.

    mode, se : the likeliest offset and its error; None with no points, or nothing but points, or
    beyond -3 to 3. mean, sd, interval, positive : of the posterior on -3 to 3, uniform before;
    positive : P(d > 0). gained : points gained on these strokes at both ends of the interval.
    """

    strokes: int
    points: int
    mode: float | None
    se: float | None
    mean: float
    sd: float
    interval: Interval
    positive: float
    gained: Interval


def offset(promised: ArrayLike, made: ArrayLike, level: float = OF_RATES) -> Offset:
    """Return the offset of strokes: promised (n,) between 0 and 1, made (n,) of 0 and 1.

    Raises ValueError for others, or without strokes.
    """
    p = chances(promised)
    points = int(outcomes(made, p).sum())
    if p.size == 0:
        raise ValueError("strokes are needed")
    lost = _lost(p / (1.0 - p))
    expected = lost.deriv()
    logs = points * GRID - lost(GRID)
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    mean = float(weights @ GRID)
    sd = sqrt(float(weights @ (GRID - mean) ** 2))
    ends = np.interp(tails(level), np.cumsum(weights) - weights / 2.0, GRID)
    mode = _mode(expected, points)
    gained = expected(ends) - p.sum()
    return Offset(
        p.size,
        points,
        mode,
        None if mode is None else 1.0 / sqrt(float(expected.deriv()(mode))),
        mean,
        sd,
        Interval(float(ends[0]), float(ends[1]), level),
        float(weights[GRID > 0.0].sum() + weights[GRID == 0.0].sum() / 2.0),
        Interval(float(gained[0]), float(gained[1]), level),
    )


@dataclass(frozen=True)
class Drawn:
    """An offset after shrinking: its mean, sd and interval, and P(d > 0)."""

    mean: float
    sd: float
    interval: Interval
    positive: float


@dataclass(frozen=True)
class Shrinkage:
    """Offsets of all families drawn together; tau : the mean of their spread, in log-odds."""

    tau: float
    drawn: tuple[Drawn, ...]


def shrink(offsets: ArrayLike, errors: ArrayLike, level: float = OF_RATES) -> Shrinkage:
    """Return offsets shrunk to 0 across families.

    offsets, errors : (families,) in log-odds, errors above 0. The spread between families is
    averaged out over 0 to 1.5, half-normal(0.5) before. Raises ValueError for other shapes.
    """
    d, se = floats(offsets), floats(errors)
    if d.ndim != 1 or d.shape != se.shape or d.size == 0 or not (se > 0.0).all():
        raise ValueError("an error above 0 for each offset")
    from scipy.special import ndtr

    tau2 = SPREADS[:, None] ** 2
    total = se**2 + tau2
    logs = -0.5 * (np.log(total) + d**2 / total).sum(axis=1) - 0.5 * (SPREADS / SPREAD_SCALE) ** 2
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    means, sds = d * tau2 / total, np.sqrt(se**2 * tau2 / total)
    mean = weights @ means
    sd = np.sqrt(weights @ (sds**2 + means**2) - mean**2)
    # Where the spread is 0 so is every offset: a step of the law, half of it on either side.
    safe = np.maximum(sds, 1e-12)

    def under(at: Floats) -> Floats:
        """The chance of an offset under `at`, (ends, families)."""
        return np.einsum("t,tek->ek", weights, ndtr((at[None] - means[:, None, :]) / safe[:, None, :]))

    ends = _inverted(under, np.array(tails(level))[:, None] * np.ones(d.size))
    positive = 1.0 - under(np.zeros((1, d.size)))[0]
    return Shrinkage(
        float(weights @ SPREADS),
        tuple(
            Drawn(float(mean[k]), float(sd[k]), Interval(float(low), float(high), level), float(positive[k]))
            for k, (low, high) in enumerate(ends.T)
        ),
    )


def adjusted(p_values: ArrayLike) -> Floats:
    """Return p-values as Benjamini and Hochberg adjust them: the share of false alarms if all up to each are told.

    p_values : (tests,) between 0 and 1. Raises ValueError for others.
    """
    p = floats(p_values)
    if p.ndim != 1 or not ((p >= 0.0) & (p <= 1.0)).all():
        raise ValueError("chances between 0 and 1")
    order = np.argsort(p)[::-1]
    scaled = p[order] * (p.size / np.arange(p.size, 0, -1))
    found = np.empty(p.size)
    found[order] = np.minimum(1.0, np.minimum.accumulate(scaled))
    return found


def _lost(odds: Floats) -> Any:
    """Sum over strokes of log(1 + odds exp(d)), as a polynomial in d; its slope is the points expected."""

    # One logarithm for eight strokes: of odds below 1e16 no product leaves what a float holds.
    eights = np.append(odds, np.zeros(-odds.size % 8)).reshape(8, -1)

    def at(nodes: Floats) -> Floats:
        return np.array([np.log((1.0 + eights * factor).prod(axis=0)).sum() for factor in np.exp(nodes)])

    return Chebyshev.interpolate(at, TERMS, domain=[-FARTHEST, FARTHEST])


def _mode(expected: Any, points: int) -> float | None:
    """The offset at which the points made are those expected."""
    from scipy.optimize import brentq

    if not expected(-FARTHEST) < points < expected(FARTHEST):
        return None
    return float(brentq(lambda d: expected(d) - points, -FARTHEST, FARTHEST))


def _inverted(rising: Callable[[Floats], Floats], asked: Floats) -> Floats:
    """Where a rising function reaches what is asked, by halving; offsets lie within 12 of 0."""
    low, high = np.full(asked.shape, -12.0), np.full(asked.shape, 12.0)
    for _ in range(45):
        middle = (low + high) / 2.0
        under = rising(middle) < asked
        low, high = np.where(under, middle, low), np.where(under, high, middle)
    return (low + high) / 2.0
