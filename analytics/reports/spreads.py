"""The execution spread: one number for the hand, from strokes made and missed.

The reference player has spread 1; smaller is steadier. For each stroke its line's success at
twelve spreads is known (`spread_learning.NODES`); between them logit p runs over log s by monotone cubics
(`scipy.interpolate.PchipInterpolator`; Fritsch and Butland 1984). The posterior stands on 241
points even in log s, prior log s normal(0, 0.5) on the range.

The calculator errs too: the log-odds of a layout may be off by a normal error, whose sd is a
second unknown with six values, averaged over. Form may drift: before a stroke the density is
blurred by a normal of sd q sqrt(weeks). Derived here, by simulation: without the error of layouts
a 90 % interval would hold the truth in 70 to 86 of 100 cases after 400 strokes.

Where the line is the one the calculator chose, and not the player's, a poor choice of line counts
as an unsteady hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise
from math import ceil, exp, log, sqrt

import numpy as np
from numpy.typing import ArrayLike

from .common import OF_RATES, Floats, Interval, floats, tails
from .spread_learning import LAYOUT_ERRORS, LOG_S, STEP, WEIGHTS, checked, filtered, likelihood, steps

# Drifts a club may have, sd of log s per sqrt(week).
DRIFTS = (0.0, 0.01, 0.02, 0.05, 0.1)
# Shown from so many strokes, settled where both ends are so near the median.
LEAST_STROKES = 25
SETTLED = 0.15
# More than this within NEAR_EDGE (in log s) of an end of the range: it cannot be told.
EDGE_MASS, NEAR_EDGE = 0.05, 0.05


class Stage(Enum):
    """What may be made of a fit."""

    FEW = "too few strokes"
    SHOWN = "not yet settled"
    SETTLED = "settled"
    OUTSIDE = "outside the range that can be told"


@dataclass(frozen=True)
class Spread:
    """What strokes tell of a spread.

    interval : equal-tailed. mode : the likeliest value, a point of the grid. mean_log, sd_log : of
    log s. edges : mass within 0.05 (in log s) of the range's ends, 0.4 and 3. layout_error : mean sd
    of the calculator's error in log-odds. density : over log s at LOG_S. to_settle : strokes more, in
    all likelihood, until settled at form that stands still; 0 where it is, None where no number can be named.
    """

    strokes: int
    points: int
    median: float
    mode: float
    interval: Interval
    mean_log: float
    sd_log: float
    edges: tuple[float, float]
    layout_error: float
    drift: float
    density: tuple[float, ...]
    stage: Stage
    to_settle: int | None


@dataclass(frozen=True)
class Record:
    """One player's strokes in order: as `fit` takes them.

    weeks[0] counts from the prior and is not looked at.
    """

    success: ArrayLike
    made: ArrayLike
    weeks: ArrayLike


def fit(
    success: ArrayLike,
    made: ArrayLike,
    weeks: ArrayLike | None = None,
    drift: float = 0.0,
    *,
    until: float = 0.0,
    layout_errors: Sequence[float] = LAYOUT_ERRORS,
    level: float = OF_RATES,
) -> Spread:
    """Return the posterior of the spread after all strokes.

    Parameters
    ----------
    success : (n, 12), each line's success at NODES, within 0 to 1 exclusive, as kept by predictions.
    made : (n,), 0 or 1. weeks : (n,), since the stroke before; needed where drift is above 0 [weeks].
    drift : sd of log s per sqrt(week). until : since the last stroke [weeks]. layout_errors : sds.

    Raises ValueError for other shapes or values, a drift below 0, or one without weeks.
    """
    found = _followed(success, made, weeks, drift, layout_errors, until)
    return _told(found, floats(layout_errors), drift, level)


def through(
    success: ArrayLike,
    made: ArrayLike,
    after: Sequence[int],
    weeks: ArrayLike | None = None,
    drift: float = 0.0,
    *,
    layout_errors: Sequence[float] = LAYOUT_ERRORS,
    level: float = OF_RATES,
) -> list[Spread]:
    """Return the posterior after each of some numbers of strokes, as `fit` does for all of them.

    after : rising, within 0 to n. The strokes are gone through once, in little memory.
    """
    rows, o = checked(success, made)
    apart = np.zeros(o.size) if weeks is None else floats(weeks)
    if apart.shape != o.shape or (apart < 0.0).any() or drift < 0.0 or (drift > 0.0 and weeks is None):
        raise ValueError("weeks, 0 or more, for each stroke, and a drift of 0 or more")
    if any(b < a for a, b in pairwise((0, *after, o.size))):
        raise ValueError("rising numbers of strokes, no more than there are")
    blurs = steps(apart, drift, o.size)
    joint: Floats | None = None
    seen: list[Floats] = []
    found = []
    for begin, end in pairwise((0, *after)):
        own = [(at - begin, sd) for at, sd in blurs if begin <= at < end]
        chances = likelihood(rows[begin:end], o[begin:end], layout_errors)
        joint, more = filtered(chances, own, start=joint)
        seen.append(more)
        followed = _Followed(joint, np.concatenate(seen), o[:end])
        found.append(_told(followed, floats(layout_errors), drift, level))
    return found


def one_step(
    success: ArrayLike,
    made: ArrayLike,
    weeks: ArrayLike | None = None,
    drift: float = 0.0,
    *,
    layout_errors: Sequence[float] = LAYOUT_ERRORS,
) -> Floats:
    """Return (n,) the success promised before each stroke from the strokes before it; see `fit`."""
    found = _followed(success, made, weeks, drift, layout_errors, 0.0)
    return np.where(found.made == 1.0, found.seen, 1.0 - found.seen)


@dataclass(frozen=True)
class Drift:
    """The drift of a club, and for each of DRIFTS the mean log score of one-step predictions (more is better)."""

    drift: float
    scores: tuple[float, ...]


def choose_drift(
    records: Sequence[Record],
    layout_errors: Sequence[float] = LAYOUT_ERRORS,
    drifts: Sequence[float] = DRIFTS,
) -> Drift:
    """Return the drift whose one-step predictions fared best over all players; the smaller where equal.

    Raises ValueError without strokes.
    """
    total, sums = 0, np.zeros(len(drifts))
    for record in records:
        chances = likelihood(*checked(record.success, record.made), layout_errors)
        weeks = floats(record.weeks)
        total += len(chances)
        for at, drift in enumerate(drifts):
            sums[at] += np.log(filtered(chances, steps(weeks, drift, len(chances)))[1]).sum()
    if not total:
        raise ValueError("strokes are needed")
    scores = tuple((sums / total).tolist())
    return Drift(drifts[int(np.argmax(sums))], scores)


@dataclass(frozen=True)
class _Followed:
    """joint : (sds, 241), the density over both unknowns; seen : (n,) chance of each outcome before it."""

    joint: Floats
    seen: Floats
    made: Floats


def _followed(
    success: ArrayLike,
    made: ArrayLike,
    weeks: ArrayLike | None,
    drift: float,
    layout_errors: Sequence[float],
    until: float,
) -> _Followed:
    rows, o = checked(success, made)
    if drift < 0.0 or until < 0.0 or (drift > 0.0 and weeks is None):
        raise ValueError("a drift of 0 or more, and the weeks between strokes")
    apart = np.zeros(o.size) if weeks is None else floats(weeks)
    if apart.shape != o.shape or (apart < 0.0).any():
        raise ValueError("weeks, 0 or more, for each stroke")
    chances = likelihood(rows, o, layout_errors)
    joint, seen = filtered(chances, steps(apart, drift, o.size), drift * sqrt(until))
    return _Followed(joint, seen, o)


def _told(found: _Followed, sds: Floats, drift: float, level: float) -> Spread:
    density = found.joint.sum(axis=0)
    # Once more, so that many small steps cannot add up.
    mass = density @ WEIGHTS
    density = density / mass
    reached = np.r_[0.0, np.cumsum((density[1:] + density[:-1]) * (STEP / 2.0))]
    low, middle, high = (
        exp(float(np.interp(q, reached, LOG_S))) for q in (tails(level)[0], 0.5, tails(level)[1])
    )
    mean = float((density * LOG_S) @ WEIGHTS)
    sd = sqrt(max(0.0, float((density * (LOG_S - mean) ** 2) @ WEIGHTS)))
    edges = (
        float(np.interp(LOG_S[0] + NEAR_EDGE, LOG_S, reached)),
        float(reached[-1] - np.interp(LOG_S[-1] - NEAR_EDGE, LOG_S, reached)),
    )
    interval = Interval(low, high, level)
    stage = _stage(found.made.size, middle, interval, edges)
    return Spread(
        strokes=found.made.size,
        points=int(found.made.sum()),
        median=middle,
        mode=exp(float(LOG_S[int(np.argmax(density))])),
        interval=interval,
        mean_log=mean,
        sd_log=sd,
        edges=edges,
        layout_error=float((found.joint @ WEIGHTS / mass) @ sds),
        drift=drift,
        density=tuple(density.tolist()),
        stage=stage,
        to_settle=_to_settle(stage, found.made.size, middle, interval),
    )


def _stage(strokes: int, median: float, interval: Interval, edges: tuple[float, float]) -> Stage:
    if strokes < LEAST_STROKES:
        return Stage.FEW
    if max(edges) > EDGE_MASS:
        return Stage.OUTSIDE
    near = interval.low >= median * (1.0 - SETTLED) and interval.high <= median * (1.0 + SETTLED)
    return Stage.SETTLED if near else Stage.SHOWN


def _to_settle(stage: Stage, strokes: int, median: float, interval: Interval) -> int | None:
    """What strokes tell grows as their number; the rest of the width's square goes with its inverse."""
    if stage is Stage.SETTLED:
        return 0
    if stage is not Stage.SHOWN:
        return None
    wide = max(
        log(interval.high / median) / log(1.0 + SETTLED), log(interval.low / median) / log(1.0 - SETTLED)
    )
    return ceil(strokes * (wide**2 - 1.0)) or 1
