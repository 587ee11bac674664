"""Averages: exact fractions inside, text outside.

Published championship tables truncate (331 points in 676 innings stand as 0.489); Garno,
*Modern Billiards* (1908), "How to figure averages", rounds half up. Ranking compares the fractions.
"""

from __future__ import annotations

from fractions import Fraction

from .formats import ROUNDINGS


def average(points: int, innings: int) -> Fraction | None:
    """Return points per inning, exactly; None without innings."""
    return Fraction(points, innings) if innings > 0 else None


def shown(points: int, innings: int, decimals: int = 3, rounding: str = "truncate") -> str | None:
    """Return the average as text with `decimals` places; None without innings.

    Whole-number arithmetic throughout. Raises ValueError for an unknown rounding or points below 0.
    """
    if rounding not in ROUNDINGS or points < 0:
        raise ValueError(rounding if points >= 0 else points)
    if innings <= 0:
        return None
    scaled = points * 10**decimals
    units = (2 * scaled + innings) // (2 * innings) if rounding == "half-up" else scaled // innings
    whole, part = divmod(units, 10**decimals)
    return f"{whole}.{part:0{decimals}d}" if decimals else str(whole)
