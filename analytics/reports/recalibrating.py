"""Too bold, too timid, too high, too low: how promises would have to be moved, and what may be said.

The outcome's log-odds are fitted as intercept + slope * logit(p) (D. R. Cox 1958; described by
L. Dalton 2012): promises that hold have intercept 0 and slope 1. In the large: the intercept alone,
slope 1. Both together are tested by the likelihood ratio, 2 degrees of freedom.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike

from scoring.rules.said import Said, said

from .common import OF_RATES, Floats, Interval, chances, normal_quantile, of_draws, outcomes, seeded

# Below, only totals are told; from the second on the diagram and the slope too. A slope of 0.7 or a
# shift of 0.25 is found about one time in seven at 100 strokes, one in two at 400, four in five at 800.
LEAST_IN_THE_LARGE = 100
LEAST_DIAGRAM = 400
NEWTON = 50
CLOSE = 1e-10
# Log-odds of promises in a club are read at so many places.
PLACES = 100
CLUB_DRAWS = 999


class Shows(Enum):
    """What so many strokes allow to be shown of calibration."""

    TOTALS = "totals"
    IN_THE_LARGE = "in the large"
    DIAGRAM = "diagram"


def shows(strokes: int) -> Shows:
    """Return what may be shown of a number of strokes."""
    if strokes < LEAST_IN_THE_LARGE:
        return Shows.TOTALS
    return Shows.IN_THE_LARGE if strokes < LEAST_DIAGRAM else Shows.DIAGRAM


@dataclass(frozen=True)
class InTheLarge:
    """The shift in log-odds that would have made promises true on average; above 0 more was made."""

    shift: float
    stderr: float
    interval: Interval


@dataclass(frozen=True)
class Recalibration:
    """Intercept and slope with errors and intervals, and the chance p of so much if promises hold.

    slope below 1 : the high promises were too high and the low ones too low.
    """

    intercept: float
    slope: float
    stderr: tuple[float, float]
    of_intercept: Interval
    of_slope: Interval
    ratio: float
    p: float


def in_the_large(promised: ArrayLike, made: ArrayLike, level: float = OF_RATES) -> InTheLarge | None:
    """Return the intercept with slope 1; None where nothing or everything was made.

    promised : (n,) within 0 to 1 exclusive; made : (n,) 0 or 1. Raises ValueError otherwise.
    """
    p = chances(promised)
    o = outcomes(made, p)
    if not 0.0 < o.sum() < o.size:
        return None
    logits, weight = _logit(p), np.ones((1, p.size))
    shift = float(_shifts(logits, weight, np.array([o.sum()]))[0])
    expected = 1.0 / (1.0 + np.exp(-logits - shift))
    stderr = 1.0 / sqrt(float((expected * (1.0 - expected)).sum()))
    width = normal_quantile(level) * stderr
    return InTheLarge(shift, stderr, Interval(shift - width, shift + width, level))


def recalibrate(promised: ArrayLike, made: ArrayLike, level: float = OF_RATES) -> Recalibration | None:
    """Return intercept and slope; None where no line fits.

    That is where all predictions are equal, or where one prediction parts points from misses.
    Raises ValueError as `in_the_large` does.
    """
    p = chances(promised)
    o = outcomes(made, p)
    logits = _logit(p)
    if o.size < 3 or np.ptp(logits) < CLOSE or _parted(logits, o):
        return None
    fitted = _newton(logits, o)
    if fitted is None:
        return None
    (intercept, slope), cover = fitted
    ratio = max(0.0, 2.0 * (_loglik(intercept + slope * logits, o) - _loglik(logits, o)))
    one, two = sqrt(cover[0, 0]), sqrt(cover[1, 1])
    wide = normal_quantile(level)
    return Recalibration(
        intercept,
        slope,
        (one, two),
        Interval(intercept - wide * one, intercept + wide * one, level),
        Interval(slope - wide * two, slope + wide * two, level),
        ratio,
        float(np.exp(-ratio / 2.0)),  # chi-square of 2 degrees of freedom
    )


class Verdict(Enum):
    """What may be said of promises in words."""

    FEW = "too few strokes"
    AS_PROMISED = "nothing against the promises"
    MORE = "more was made than promised"
    FEWER = "fewer were made than promised"
    BOLD = "high promises too high, low ones too low"
    TIMID = "high promises too low, low ones too high"


def verdict(promised: ArrayLike, made: ArrayLike, level: float = OF_RATES) -> Verdict:
    """Return the one thing that may be said; wrong of true promises one time in ten.

    Below 100 strokes nothing; to 399 from the interval in the large; from 400 the joint test decides
    whether anything is said, and the stronger of shift and slope what.
    """
    p = chances(promised)
    o = outcomes(made, p)
    shown = shows(p.size)
    if shown is Shows.TOTALS:
        return Verdict.FEW
    large = in_the_large(p, o, level)
    if large is None:
        likely = float(np.exp((np.log(p) if o.all() else np.log1p(-p)).sum()))
        if likely >= (1.0 - level) / 2.0:
            return Verdict.AS_PROMISED
        return Verdict.MORE if o.all() else Verdict.FEWER
    both = recalibrate(p, o, level) if shown is Shows.DIAGRAM else None
    if both is None:
        held = large.interval.holds(0.0)
    else:
        held = both.p >= 1.0 - level
        tilt = (both.slope - 1.0) / both.stderr[1]
        if not held and abs(tilt) > abs(large.shift / large.stderr):
            return Verdict.BOLD if tilt < 0.0 else Verdict.TIMID
    if held:
        return Verdict.AS_PROMISED
    return Verdict.MORE if large.shift > 0.0 else Verdict.FEWER


def told(promised: ArrayLike, made: ArrayLike, found: Verdict) -> Said:
    """Return the sentence of a verdict, frequencies first: points promised, points made, strokes."""
    p = chances(promised)
    counts = {
        "strokes": p.size,
        "promised": round(float(p.sum())),
        "made": round(float(outcomes(made, p).sum())),
    }
    sentences = {
        Verdict.FEW: said("Strokes: %(strokes)s. Points promised: %(promised)s, made: %(made)s.", **counts),
        Verdict.AS_PROMISED: said(
            "Of %(strokes)s strokes %(promised)s points were promised and %(made)s made: "
            "nothing here speaks against the promises.",
            **counts,
        ),
        Verdict.MORE: said(
            "Of %(strokes)s strokes %(promised)s points were promised and %(made)s made: more than promised.",
            **counts,
        ),
        Verdict.FEWER: said(
            "Of %(strokes)s strokes %(promised)s points were promised and %(made)s made: fewer than promised.",
            **counts,
        ),
        Verdict.BOLD: said(
            "Over %(strokes)s strokes the high promises were too high and the low ones too low.", **counts
        ),
        Verdict.TIMID: said(
            "Over %(strokes)s strokes the high promises were too low and the low ones too high.", **counts
        ),
    }
    return sentences[found]


@dataclass(frozen=True)
class Club:
    """Promises of all players together; the intervals come of drawing players, not strokes, again.

    gained : points beyond the promised, per 100 strokes. shift : in the large, in log-odds.
    brier : mean Brier score. `seed` goes with the draws.
    """

    players: int
    strokes: int
    gained: float
    of_gained: Interval
    shift: float
    of_shift: Interval
    brier: float
    of_brier: Interval
    draws: int
    seed: int


def club(
    promised: ArrayLike,
    made: ArrayLike,
    players: ArrayLike,
    level: float = OF_RATES,
    draws: int = CLUB_DRAWS,
    seed: int = 0,
) -> Club:
    """Return how promises held in a club; players : (n,) whose stroke each is, any labels.

    Raises ValueError with fewer than two players, or nothing or everything made.
    """
    p = chances(promised)
    o = outcomes(made, p)
    names, who = np.unique(np.asarray(players), return_inverse=True)
    if who.shape != p.shape or names.size < 2:
        raise ValueError("strokes of two players or more are needed")
    if not 0.0 < o.sum() < o.size:
        raise ValueError("points and misses are needed")
    sums = np.stack([np.bincount(who, weights=one) for one in (np.ones_like(p), p, o, (p - o) ** 2)], axis=1)
    places, of_place = _places(p)
    table = np.zeros((names.size, places.size))
    np.add.at(table, (who, of_place), 1.0)
    times = seeded(seed).multinomial(names.size, np.full(names.size, 1.0 / names.size), size=draws)
    times = np.vstack([np.ones((1, names.size)), times]).astype(np.float64)
    strokes, said, points, brier = (times @ sums).T
    # Half a point beside all or nothing, so that every drawn club has a shift.
    inside = np.clip(points, 0.5, strokes - 0.5)
    shifts = _shifts(places, times @ table, inside)
    gained = 100.0 * (points - said) / strokes
    mean = brier / strokes
    return Club(
        names.size,
        p.size,
        float(gained[0]),
        of_draws(gained[1:], level),
        float(shifts[0]),
        of_draws(shifts[1:], level),
        float(mean[0]),
        of_draws(mean[1:], level),
        draws,
        seed,
    )


def _places(p: Floats) -> tuple[Floats, np.ndarray]:
    """Mean log-odds of some hundred neighbourhoods of equal size, and the one each prediction is in."""
    where = np.unique(p, return_inverse=True)[1]
    rank = np.cumsum(np.bincount(where))[where] - 1
    of_place = np.unique(rank * PLACES // p.size, return_inverse=True)[1]
    logits = np.bincount(of_place, weights=_logit(p)) / np.bincount(of_place)
    return logits, of_place


def _shifts(logits: Floats, weights: Floats, points: Floats) -> Floats:
    """The shifts with which expected points meet those made; weights : (draws, places)."""
    strokes = weights.sum(axis=1)
    share = points / strokes
    # From where the mean promise would stand: Newton's steps from there stay small.
    found = np.log(share / (1.0 - share)) - weights @ logits / strokes
    low, high = found - 20.0, found + 20.0
    for _ in range(NEWTON):
        expected = 1.0 / (1.0 + np.exp(-logits - found[:, None]))
        off = points - (weights * expected).sum(axis=1)
        low, high = np.where(off > 0.0, found, low), np.where(off < 0.0, found, high)
        step = off / (weights * expected * (1.0 - expected)).sum(axis=1)
        went = found + step
        moved = np.where((went > low) & (went < high), went, (low + high) / 2.0)
        done = float(np.abs(moved - found).max()) < CLOSE
        found = moved
        if done:
            break
    shifts: Floats = found
    return shifts


def _newton(logits: Floats, o: Floats) -> tuple[tuple[float, float], Floats] | None:
    design = np.stack([np.ones_like(logits), logits], axis=1)
    at = np.array([0.0, 1.0])
    best = _loglik(design @ at, o)
    for _ in range(NEWTON):
        expected = 1.0 / (1.0 + np.exp(-design @ at))
        cover = np.linalg.inv(design.T @ (design * (expected * (1.0 - expected))[:, None]))
        step = cover @ (design.T @ (o - expected))
        while (reached := _loglik(design @ (at + step), o)) < best - CLOSE and np.abs(step).max() > CLOSE:
            step = step / 2.0
        at, best = at + step, reached
        if np.abs(step).max() < CLOSE:
            return (float(at[0]), float(at[1])), cover
    return None


def _loglik(logits: Floats, o: Floats) -> float:
    return float((o * logits - np.logaddexp(0.0, logits)).sum())


def _parted(logits: Floats, o: Floats) -> bool:
    """Whether some prediction has all points on one side and all misses on the other: no finite fit."""
    points, misses = logits[o == 1.0], logits[o == 0.0]
    if not points.size or not misses.size:
        return True
    return bool(points.min() >= misses.max() or points.max() <= misses.min())


def _logit(p: Floats) -> Floats:
    logits: Floats = np.log(p) - np.log1p(-p)
    return logits
