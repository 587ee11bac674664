"""From an average to a spread: a first guess, until a player's own strokes tell better.

Measured with our own search on 100 random layouts (three-cushion): the mean success p of the
best line at five spreads, read as the average p / (1 - p). Position play, and that easy
positions follow easy ones, are not in it: a yardstick, nothing else.
"""

from __future__ import annotations

from itertools import pairwise
from math import exp, log

# Spread -> mean success of the best line (standard error over layouts at most 0.015).
MEAN_BEST = {0.5: 0.825, 0.75: 0.649, 1.0: 0.506, 1.5: 0.334, 2.0: 0.232}
AVERAGES = {spread: p / (1 - p) for spread, p in MEAN_BEST.items()}
LEAST, MOST = min(MEAN_BEST), max(MEAN_BEST)


def usual_spread(average: float) -> float:
    """Return the spread of a player of an average, to two decimals, within what was measured."""
    known = sorted(AVERAGES.items())
    if average >= known[0][1]:
        return LEAST
    if average <= known[-1][1]:
        return MOST
    for (near, high), (far, low) in pairwise(known):
        if average >= low:
            share = (log(high) - log(average)) / (log(high) - log(low))
            return round(exp(log(near) + share * (log(far) - log(near))), 2)
    raise AssertionError(average)
