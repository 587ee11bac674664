"""Learning a spread stroke by stroke: the likelihood over a grid, Bayes' rule, and the drift between.

The density stands on GRID points even in log s, LOG_S, once for each sd of the layouts' errors. Derived here.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import ceil, pi, sqrt

import numpy as np
from numpy.typing import ArrayLike

from .common import Floats, floats, outcomes

# The spreads at which predictions keep a line's success.
NODES: tuple[float, ...] = tuple(np.geomspace(0.4, 3.0, 12).tolist())
GRID = 241
PRIOR_SD = 0.5
# Standard deviations of a layout's error in log-odds, alike likely beforehand.
LAYOUT_ERRORS = (0.0, 0.25, 0.5, 0.75, 1.0, 1.5)
HERMITE = 15
# Log-odds -14 to 14 at which the averaged likelihood is computed, and at how many it is looked up:
# the nearest is off by less than 3e-5, to either side alike.
REACH, COMPUTED, LOOKED_UP = 14.0, 5_601, 140_001
# Strokes multiplied up at a time: no product falls below what a float can hold.
AT_A_TIME = 48

_LOG_NODES: Floats = np.log(np.asarray(NODES))
LOG_S: Floats = np.linspace(_LOG_NODES[0], _LOG_NODES[-1], GRID)
STEP = float(LOG_S[1] - LOG_S[0])
# Trapezoid weights over log s.
WEIGHTS: Floats = np.r_[0.5, np.ones(GRID - 2), 0.5] * STEP


def prior() -> Floats:
    """Return the density over log s before any stroke, at LOG_S."""
    density = np.exp(-0.5 * (LOG_S / PRIOR_SD) ** 2)
    whole: Floats = density / (density @ WEIGHTS)
    return whole


def checked(success: ArrayLike, made: ArrayLike) -> tuple[Floats, Floats]:
    """Return success (n, 12) and outcomes (n,) as arrays. Raises ValueError for other shapes or values."""
    rows = floats(success)
    if rows.size == 0:
        rows = rows.reshape(0, len(NODES))
    if rows.ndim != 2 or rows.shape[1] != len(NODES) or not ((rows > 0.0) & (rows < 1.0)).all():
        raise ValueError(f"success at {len(NODES)} spreads for each stroke, never 0 or 1")
    return rows, outcomes(made, rows)


def likelihood(success: Floats, made: Floats, layout_errors: Sequence[float]) -> Floats:
    """Return (n, sds, 241): the chance of each outcome at each spread, the layout's error averaged out."""
    from scipy.interpolate import PchipInterpolator

    logits = np.log(success) - np.log1p(-success)
    # A miss is as likely as a point at the opposite log-odds.
    signed = np.where(made[:, None] == 1.0, logits, -logits)
    if not len(signed):
        return np.ones((0, len(layout_errors), GRID))
    along = PchipInterpolator(_LOG_NODES, signed, axis=1)(LOG_S)
    at = np.rint((along + REACH) * ((LOOKED_UP - 1) / (2.0 * REACH)))
    at = np.clip(at, 0, LOOKED_UP - 1).astype(np.int32)
    return np.stack([_averaged(float(sd)).take(at) for sd in layout_errors], axis=1)


@lru_cache(maxsize=16)
def _averaged(sd: float) -> Floats:
    """The mean of 1 / (1 + exp(-(x + e))) over errors e normal(0, sd), at LOOKED_UP places of x."""
    x = np.linspace(-REACH, REACH, COMPUTED)
    nodes, weights = np.polynomial.hermite_e.hermegauss(HERMITE)
    mean = (1.0 / (1.0 + np.exp(-(x[:, None] + sd * nodes)))) @ (weights / sqrt(2.0 * pi))
    table: Floats = np.interp(np.linspace(-REACH, REACH, LOOKED_UP), x, mean)
    table.setflags(write=False)
    return table


def steps(weeks: Floats, drift: float, strokes: int) -> list[tuple[int, float]]:
    """Return the strokes before which the density is blurred, and by what sd; tiny steps wait until they come to one of the grid."""
    if drift == 0.0 or strokes < 2:
        return []
    found: list[tuple[int, float]] = []
    pending = 0.0
    variances = drift**2 * weeks
    for at in (np.flatnonzero(variances[1:strokes]) + 1).tolist():
        pending += float(variances[at])
        if pending >= STEP**2:
            found.append((at, sqrt(pending)))
            pending = 0.0
    return found


def filtered(
    chances: Floats,
    blurs: Sequence[tuple[int, float]],
    last: float = 0.0,
    start: Floats | None = None,
) -> tuple[Floats, Floats]:
    """Return the joint density after all strokes, and the chance of each outcome before it was seen.

    chances : (n, sds, 241) of `likelihood`. blurs : those of `steps`. last : sd of the one at the end.
    start : the joint density before the first stroke, the prior without it.
    """
    strokes, sds = chances.shape[:2]
    joint = np.tile(prior() / sds, (sds, 1)) if start is None else start
    seen = np.empty(strokes)
    begin = 0
    for end, blur in [*blurs, (strokes, 0.0)]:
        if end > begin:
            joint, seen[begin:end] = _learned(joint, chances[begin:end])
            begin = end
        if blur:
            joint = _blurred(joint, blur)
    if last >= STEP:
        joint = _blurred(joint, last)
    return joint, seen


def _learned(joint: Floats, chances: Floats) -> tuple[Floats, Floats]:
    """Bayes' rule over strokes between which nothing drifts, a few at a time."""
    seen = []
    for part in np.array_split(chances, max(1, ceil(len(chances) / AT_A_TIME))):
        reached = joint * np.cumprod(part, axis=0)
        mass = (reached @ WEIGHTS).sum(axis=1)
        seen.append(mass / np.r_[1.0, mass[:-1]])
        joint = reached[-1] / mass[-1]
    return joint, np.concatenate(seen)


def _blurred(joint: Floats, sd: float) -> Floats:
    """Move the mass of each point along a normal of an sd in log s; what would leave the range stays in it."""
    kernel = np.exp(-0.5 * ((LOG_S[:, None] - LOG_S) / sd) ** 2)
    kernel /= WEIGHTS @ kernel
    moved: Floats = (joint * WEIGHTS) @ kernel.T
    return moved
