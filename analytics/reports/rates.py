"""A rate as it is shown: points of so many strokes, with Wilson's interval."""

from __future__ import annotations

from dataclasses import dataclass

from scoring.rules.rates import wilson as score_interval

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
    return Interval(*score_interval(points, strokes, normal_quantile(level)), level)
