"""A rate as it is shown: points of so many strokes, with Wilson's interval.

E. B. Wilson, Journal of the American Statistical Association 22 (1927) 209-212.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from .common import OF_RATES, Interval, normal_quantile


@dataclass(frozen=True)
class Rate:
    """Points of so many strokes, and the interval; None where there was no stroke."""

    points: int
    strokes: int
    interval: Interval | None

    @property
    def success(self) -> float | None:
        """The raw rate; None without a stroke."""
        return self.points / self.strokes if self.strokes else None


def rate(points: int, strokes: int, level: float = OF_RATES) -> Rate:
    """Return a rate with its interval. Raises ValueError unless 0 <= points <= strokes."""
    return Rate(points, strokes, wilson(points, strokes, level) if strokes else None)


def wilson(points: int, strokes: int, level: float = OF_RATES) -> Interval:
    """Return Wilson's score interval. Raises ValueError without a stroke, or with more points than strokes."""
    if not 0 <= points <= strokes or strokes < 1:
        raise ValueError((points, strokes))
    z = normal_quantile(level)
    p, weight = points / strokes, z * z / strokes
    middle = (p + weight / 2.0) / (1.0 + weight)
    half = z / (1.0 + weight) * sqrt(p * (1.0 - p) / strokes + weight / (4.0 * strokes))
    return Interval(max(0.0, middle - half), min(1.0, middle + half), level)
