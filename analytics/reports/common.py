"""What several figures share: an interval, an array, a quantile of draws, the floor of a p-value."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Intervals are 90 % for players' rates and 95 % for averages; each says its level.
OF_RATES = 0.90
OF_AVERAGES = 0.95
# Draws of a permutation or of a bootstrap: p-values move in steps of 1 in 10,000.
DRAWS = 9_999
# Two probabilities this close, relatively, count as one, however they were rounded.
SAME = 1e-9
# Chances this small leave the law of a sum of many; what they come to changes no figure.
NO_CHANCE = 1e-40


@dataclass(frozen=True)
class Interval:
    """Two ends, equal-tailed, and the share of cases in which they hold the truth."""

    low: float
    high: float
    level: float

    def holds(self, value: float) -> bool:
        """Whether a value lies within, ends included."""
        return self.low <= value <= self.high


def tails(level: float) -> tuple[float, float]:
    """Return both quantiles of a level: 0.9 -> (0.05, 0.95). Raises ValueError outside 0 to 1."""
    if not 0.0 < level < 1.0:
        raise ValueError(level)
    return (1.0 - level) / 2.0, (1.0 + level) / 2.0


def normal_quantile(level: float) -> float:
    """Return the half-width of a level in standard errors: 0.95 -> 1.96."""
    from scipy.special import ndtri

    return float(ndtri(tails(level)[1]))


def of_draws(draws: ArrayLike, level: float) -> Interval:
    """Return the percentile interval of draws."""
    low, high = np.quantile(np.asarray(draws, dtype=float), tails(level))
    return Interval(float(low), float(high), level)


def beta_interval(a: float, b: float, level: float) -> Interval:
    """Return the equal-tailed interval of a Beta(a, b)."""
    from scipy.special import betaincinv

    low, high = (float(betaincinv(a, b, tail)) for tail in tails(level))
    return Interval(low, high, level)


def p_of_draws(as_far: int, draws: int) -> float:
    """Return the p-value of a permutation test or bootstrap: (1 + those as far) / (1 + draws)."""
    return (1 + as_far) / (1 + draws)


def no_likelier(law: ArrayLike, at: int) -> float:
    """Return the sum of the probabilities of a law that do not exceed the one at an index."""
    chances = np.asarray(law, dtype=float)
    return min(1.0, float(chances[chances <= chances[at] * (1.0 + SAME)].sum()))


def floats(values: ArrayLike) -> Floats:
    """Return values as an array of floats."""
    return np.asarray(values, dtype=np.float64)


def outcomes(values: ArrayLike, like: Floats) -> Floats:
    """Return outcomes, 0 or 1, beside predictions. Raises ValueError for others, or another length."""
    made = np.asarray(values, dtype=np.float64)
    if made.shape != like.shape[:1] or not np.isin(made, (0.0, 1.0)).all():
        raise ValueError("one outcome, 0 or 1, for each stroke")
    return made


def chances(values: ArrayLike) -> Floats:
    """Return predictions as an array. Raises ValueError outside 0 to 1, ends excluded."""
    promised = np.asarray(values, dtype=np.float64)
    if promised.ndim != 1 or not ((promised > 0.0) & (promised < 1.0)).all():
        raise ValueError("predictions lie between 0 and 1 and are never either")
    return promised


def seeded(seed: int | Sequence[int]) -> Any:
    """Return the generator of a seed; whoever keeps a drawn figure keeps its seed."""
    return np.random.default_rng(seed)


def together(laws: Sequence[Floats]) -> tuple[int, Floats]:
    """Return the law of a sum of independent counts: its first value, and the chances from there on.

    laws : for each count its chances of 0, 1, .... They are multiplied out two by two, and ends
    below 1e-40 leave. Raises ValueError without any.
    """
    if not laws:
        raise ValueError("a law is needed")
    summed = [_cut(0, law) for law in laws]
    while len(summed) > 1:
        pairs = zip(summed[::2], summed[1::2], strict=False)
        halved = [_cut(low + high, np.convolve(one, other)) for (low, one), (high, other) in pairs]
        summed = halved + summed[len(summed) - len(summed) % 2 :]
    return summed[0]


def _cut(start: int, law: Floats) -> tuple[int, Floats]:
    if law[0] > NO_CHANCE and law[-1] > NO_CHANCE:
        return start, law
    (some,) = (law > NO_CHANCE).nonzero()
    return start + int(some[0]), law[some[0] : some[-1] + 1]
