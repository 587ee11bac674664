"""How far a share is known: Wilson's score interval.

E. B. Wilson, Journal of the American Statistical Association 22 (1927) 209-212.
"""

from __future__ import annotations

from math import sqrt

# Of the normal law: nine times in ten it lies within so many standard deviations.
NINE_TENTHS = 1.6448536269514722


def wilson(made: int, tried: int, z: float = NINE_TENTHS) -> tuple[float, float]:
    """Return both ends of the interval of made / tried; z: its half-width in standard errors.

    Raises ValueError unless 0 <= made <= tried and 0 < tried.
    """
    if not 0 <= made <= tried or tried < 1:
        raise ValueError((made, tried))
    share, weight = made / tried, z * z / tried
    middle = (share + weight / 2) / (1 + weight)
    half = z / (1 + weight) * sqrt(share * (1 - share) / tried + weight / (4 * tried))
    return max(0.0, middle - half), min(1.0, middle + half)
