"""Did the promises hold? Scores of predictions, their decomposition, and the diagram beside chance.

Predictions are written before the outcome, from strictly earlier strokes; nothing here can tell
whether they were. A score is a mean over strokes, smaller is better: Brier (p - o)^2, or log,
base e. The decomposition is CORP: score = MCB - DSC + UNC, where r is the isotonic fit of the
outcomes on p, MCB = score(p) - score(r), DSC = score(base rate) - score(r), UNC = score(base
rate). T. Dimitriadis, T. Gneiting, A. I. Jordan, PNAS 118 (8), 2021.

Even perfect promises have an MCB above 0: it is read beside what chance gives.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from .common import OF_RATES, Floats, chances, outcomes, seeded, tails
from .promises import Promise, promise

Rule = Literal["brier", "log"]

# Outcomes drawn from the predictions themselves, for the chance value of MCB and for the band.
CHANCE_DRAWS = 1_000
# Of more strokes the chance value is drawn from so many, spread evenly over the predictions, and
# carried on: the steps of the fit grow as n^(2/3), so it falls as n^(-2/3) and its relative spread as
# n^(-1/6); at 100,000 strokes that is within 3 % of drawing all of them.
DRAWN_WHOLE = 2_000
# The band is drawn at so many predictions or fewer; more are drawn in groups of neighbours.
ONE_BY_ONE = 2_000
IN_GROUPS = 250
STRIP = 20


@dataclass(frozen=True)
class Corp:
    """A score and its parts: score = mcb - dsc + unc. `skill` is 1 - score / unc, None where unc is 0.

    mcb : what the promises lose by being off; dsc : what they win by telling strokes apart;
    unc : the score of the base rate. rule : "brier" or "log".
    """

    rule: Rule
    strokes: int
    score: float
    mcb: float
    dsc: float
    unc: float

    @property
    def skill(self) -> float | None:
        """The share of the base rate's score that the promises save; below 0 they are worse than it."""
        return 1.0 - self.score / self.unc if self.unc > 0.0 else None


@dataclass(frozen=True)
class ByChance:
    """The MCB of perfect promises over as many strokes: its mean, and what 95 in 100 stay below."""

    rule: Rule
    mean: float
    most: float
    draws: int
    seed: int


@dataclass(frozen=True)
class Step:
    """One step of the diagram: promises from `start` to `end`, of which the share `rate` was made."""

    start: float
    end: float
    rate: float
    strokes: int


@dataclass(frozen=True)
class Diagram:
    """Isotonic steps, the band in which they would lie if the promises held, and where promises lie.

    at, low, high : the band, pointwise, of a level. strip : strokes promised in [k/20, (k+1)/20).
    """

    steps: tuple[Step, ...]
    at: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    level: float
    strip: tuple[int, ...]
    draws: int
    seed: int


def score(promised: ArrayLike, made: ArrayLike, rule: Rule = "brier") -> float:
    """Return the mean score of predictions (n,), each within 0 to 1 exclusive, of outcomes (n,), 0 or 1.

    Raises ValueError for other values, other lengths, or no stroke.
    """
    p, o = _checked(promised, made)
    return _loss(p, o, np.ones_like(p), rule)


def corp(promised: ArrayLike, made: ArrayLike, rule: Rule = "brier") -> Corp:
    """Return the score and its decomposition; equal predictions get one fitted value.

    Raises ValueError as `score` does.
    """
    p, o = _checked(promised, made)
    at, weight, points = pooled(p, o)
    share = points / weight
    base = np.full_like(at, points.sum() / weight.sum())
    mean, fitted, unc = (_loss(one, share, weight, rule) for one in (at, isotonic(share, weight), base))
    return Corp(rule, p.size, mean, mean - fitted, unc - fitted, unc)


def by_chance(
    promised: ArrayLike, rule: Rule = "brier", draws: int = CHANCE_DRAWS, seed: int = 0
) -> ByChance:
    """Return what MCB these predictions would show if each were true: outcomes drawn from them."""
    p = np.sort(chances(promised))
    carried = max(1.0, p.size / DRAWN_WHOLE)
    if carried > 1.0:
        p = p[((np.arange(DRAWN_WHOLE) + 0.5) * carried).astype(np.int64)]
    at, count = np.unique(p, return_counts=True)
    weight = count.astype(np.float64)
    plays = _plays(at, weight, draws, seed)
    found = _losses(at, plays, weight, rule) - _losses(_fits(plays, weight), plays, weight, rule)
    mean = float(found.mean())
    beyond = float(np.quantile(found, 0.95)) - mean
    fall = carried ** (-2.0 / 3.0)
    return ByChance(rule, mean * fall, (mean + beyond * carried ** (-1.0 / 6.0)) * fall, draws, seed)


def diagram(
    promised: ArrayLike,
    made: ArrayLike,
    level: float = OF_RATES,
    draws: int = CHANCE_DRAWS,
    seed: int = 0,
) -> Diagram:
    """Return the reliability diagram: isotonic steps beside the consistency band.

    The band holds, at each prediction, the middle `level` of isotonic fits to outcomes drawn from
    the predictions themselves. Raises ValueError as `score` does.
    """
    p, o = _checked(promised, made)
    at, weight, points = pooled(p, o)
    places, strokes = neighbours(p)
    fits = _fits(_plays(places, strokes, draws, seed), strokes)
    # Two of the drawn values themselves, not a value between: the fits of few strokes are discrete.
    low, high = np.quantile(fits, tails(level), axis=0, method="inverted_cdf")
    strip = np.histogram(p, bins=STRIP, range=(0.0, 1.0))[0]
    return Diagram(
        steps=_steps(at, isotonic(points / weight, weight), weight),
        at=tuple(places.tolist()),
        low=tuple(low.tolist()),
        high=tuple(high.tolist()),
        level=level,
        strip=tuple(strip.tolist()),
        draws=draws,
        seed=seed,
    )


def by_tenths(promised: ArrayLike, made: ArrayLike, level: float = OF_RATES) -> dict[int, Promise]:
    """Return strokes promised "about k in 10", for each k of 0 to 10 that was: made, and what chance gives.

    The nearest tenth, in rising order. Raises ValueError as `score` does.
    """
    p, o = _checked(promised, made)
    tenths = np.rint(10.0 * p).astype(np.int64)
    return {k: promise(p[tenths == k], o[tenths == k], level) for k in np.unique(tenths).tolist()}


def isotonic(shares: Floats, weights: Floats) -> Floats:
    """Return the rising fit of least squares to shares in order of prediction (pool adjacent violators)."""
    from scipy.optimize import isotonic_regression

    fitted: Floats = isotonic_regression(shares, weights=weights).x
    return fitted


def pooled(promised: Floats, made: Floats) -> tuple[Floats, Floats, Floats]:
    """Return different predictions in rising order, the strokes of each, and the points of each."""
    at, where, count = np.unique(promised, return_inverse=True, return_counts=True)
    points = np.bincount(where, weights=made, minlength=at.size).astype(np.float64)
    return at, count.astype(np.float64), points


def neighbours(promised: Floats) -> tuple[Floats, Floats]:
    """Return predictions in rising order and the strokes of each; very many as means of neighbours."""
    at, count = np.unique(promised, return_counts=True)
    if at.size > ONE_BY_ONE:
        parts = np.array_split(np.sort(promised), IN_GROUPS)
        at = np.array([part.mean() for part in parts])
        count = np.array([part.size for part in parts])
    return at, count.astype(np.float64)


def _plays(at: Floats, weight: Floats, draws: int, seed: int) -> Floats:
    """Shares made at each prediction if the predictions are true, a row for each play of all strokes."""
    rng = seeded(seed)
    if (weight == 1.0).all():
        return (rng.random((draws, at.size)) < at).astype(np.float64)
    shares: Floats = rng.binomial(weight.astype(np.int64), at, (draws, at.size)) / weight
    return shares


def _fits(plays: Floats, weight: Floats) -> Floats:
    return np.array([isotonic(share, weight) for share in plays])


def _losses(p: Floats, share: Floats, weight: Floats, rule: Rule) -> Floats:
    """Mean scores, over the last axis, of predictions p of whose `weight` strokes a share was made."""
    if rule == "brier":
        each = share * (1.0 - 2.0 * p) + p * p
    else:
        from scipy.special import xlog1py, xlogy

        each = -xlogy(share, p) - xlog1py(1.0 - share, -p)
    losses: Floats = each @ weight / weight.sum()
    return losses


def _loss(p: Floats, share: Floats, weight: Floats, rule: Rule) -> float:
    return float(_losses(p, share, weight, rule))


def _steps(at: Floats, fitted: Floats, weight: Floats) -> tuple[Step, ...]:
    starts = np.flatnonzero(np.r_[True, np.diff(fitted) > 0.0])
    ends = np.r_[starts[1:], fitted.size]
    return tuple(
        Step(float(at[start]), float(at[end - 1]), float(fitted[start]), round(weight[start:end].sum()))
        for start, end in zip(starts.tolist(), ends.tolist(), strict=True)
    )


def _checked(promised: ArrayLike, made: ArrayLike) -> tuple[Floats, Floats]:
    p = chances(promised)
    if p.size == 0:
        raise ValueError("strokes are needed")
    return p, outcomes(made, p)
