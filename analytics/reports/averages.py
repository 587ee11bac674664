"""Averages as they stand in tables: exact fractions, never floats, 0/0 last.

Shown text is cut by `scoring.rules.averages.shown`; nothing here compares what was cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from scoring.rules.averages import average


@dataclass(frozen=True)
class Sheet:
    """One player's part of one match: points, innings, and the innings a miss or foul ended."""

    points: int
    innings: int
    misses: int


def general(matches: Iterable[tuple[int, int]]) -> Fraction | None:
    """Return the sum of points over the sum of innings; None without innings."""
    points = innings = 0
    for made, played in matches:
        points, innings = points + made, innings + played
    return average(points, innings)


def best_first(matches: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return (points, innings) from the best average down; equal: more points first; 0/0 last."""
    return sorted(matches, key=_standing, reverse=True)


def best(matches: Iterable[tuple[int, int]]) -> tuple[int, int] | None:
    """Return the best single match, more points where averages are equal; None without innings."""
    played = [match for match in matches if match[1] > 0]
    return max(played, key=_standing) if played else None


def moving(matches: Sequence[tuple[int, int]], window: int) -> list[Fraction | None]:
    """Return, after each match, points over innings in the last `window` matches.

    A match of no innings takes a place in the window and adds nothing. For a window of
    innings give each inning as (run, 1). Raises ValueError for a window below 1.
    """
    if window < 1:
        raise ValueError(window)
    found: list[Fraction | None] = []
    points = innings = 0
    for at, (made, played) in enumerate(matches):
        points, innings = points + made, innings + played
        if at >= window:
            points, innings = points - matches[at - window][0], innings - matches[at - window][1]
        found.append(average(points, innings))
    return found


@dataclass(frozen=True)
class RaceBias:
    """What matches to a distance show of a player who makes a points per miss, two ways."""

    points_per_miss: float
    match_average: float
    points_over_innings: float


def race_bias(distance: int, p: float) -> RaceBias:
    """Return what averages of races that are always won tell of a player of success p.

    The mean of match averages is a N/(N-1) (1-p^(N-1)), points over expected innings
    N/(N/a+1): S/M alone is right. Raises ValueError for a distance below 2.
    """
    if distance < 2 or not 0.0 < p < 1.0:
        raise ValueError((distance, p))
    a = p / (1.0 - p)
    mean = a * distance / (distance - 1) * (1.0 - p ** (distance - 1))
    return RaceBias(a, mean, distance / (distance / a + 1.0))


def _standing(match: tuple[int, int]) -> tuple[bool, Fraction, int]:
    made = average(*match)
    return made is not None, made or Fraction(0), match[0]
