"""How long a match is likely to take, from the players' own averages and seconds a stroke.

Every stroke of a player makes a point with the same chance p = average / (1 + average), so the innings to a
distance follow a negative binomial law. An expectation for planning, no promise.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

LONGEST_INNINGS = 2000


@dataclass(frozen=True)
class Pace:
    """average: points per inning, 0 or more. seconds: of one stroke, with everything around it [s]."""

    average: Fraction | float
    seconds: float = 25.0


def expected_innings(
    averages: tuple[Fraction | float, Fraction | float],
    distances: tuple[int | None, int | None],
    innings_limit: int | None = None,
) -> float:
    """Return the expected innings until one of two reaches the own distance, or the limit comes.

    The sum over k of the chance that neither has got there within k innings.
    Raises ValueError without any distance or limit, for averages below 0 or distances below 1.
    """
    if innings_limit is None and distances == (None, None):
        raise ValueError(distances)
    chances = [_still_playing(float(one), far) for one, far in zip(averages, distances, strict=True)]
    total = 0.0
    for _ in range(min(innings_limit or LONGEST_INNINGS, LONGEST_INNINGS)):
        both = next(chances[0]) * next(chances[1])
        total += both
        if both < 1e-9:
            break
    return total


def _still_playing(average: float, distance: int | None) -> Iterator[float]:
    """Yield the chance of not being there after 0, 1, 2 ... innings."""
    if average < 0 or (distance is not None and distance < 1):
        raise ValueError(average, distance)
    left = 1.0
    if distance is None or average == 0:
        while True:
            yield left
    # Logarithms, because p to the power of a long distance is too small for a float.
    made, missed = math.log(average / (1 + average)), -math.log1p(average)
    term = distance * made
    for misses in range(LONGEST_INNINGS + 1):
        yield left
        left = max(0.0, left - math.exp(term))
        term += missed + math.log((distance + misses) / (misses + 1))


def expected_minutes(
    paces: tuple[Pace, Pace],
    distances: tuple[int | None, int | None],
    innings_limit: int | None = None,
    around: int = 10,
) -> int:
    """Return the expected minutes of a match, rounded up: an inning is a miss and, on average, the average.

    around: minutes for warming up, the lag and the signatures (common practice). Errors as above.
    """
    innings = expected_innings((paces[0].average, paces[1].average), distances, innings_limit)
    seconds = sum(innings * (1 + float(one.average)) * one.seconds for one in paces)
    return math.ceil(seconds / 60) + around
