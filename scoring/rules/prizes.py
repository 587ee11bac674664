"""Prizes beside the ranking: best average, high run, shortest match. Equal ones share a prize.

Which matches may win one is a setting of the competition; by default (from memory) those that were
played to their end, for the shortest match those that reached the distance and were won.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from .averages import average
from .said import Said, said

PRIZES = ("best-average", "high-run", "shortest-match")


@dataclass(frozen=True)
class Performance:
    """What one player made in one match. finished: played to its end, neither given up nor awarded.

    reached: the own distance was reached.
    """

    key: Any
    match: Any
    points: int
    innings: int
    high_run: int
    won: bool = False
    finished: bool = True
    reached: bool = False


@dataclass(frozen=True)
class Prize:
    """A prize: who holds it and by which matches, the exact value, and how that came about.

    value: an average, a run, or a number of innings; None while nobody holds it.
    """

    name: str
    holders: tuple[Performance, ...]
    value: Fraction | int | None
    working: Said


def prize(name: str, performances: Iterable[Performance], least_innings: int = 1) -> Prize:
    """Return who holds a prize. Raises ValueError for an unknown one.

    best-average: the best single finished match of `least_innings` or more; of equal averages the match
    with more points. high-run: the highest run of any match played. shortest-match: the fewest innings
    to the distance; of equal ones the match with more points.
    """
    if name not in PRIZES:
        raise ValueError(name)
    may, value, more = _RULES[name]
    entered = [one for one in performances if one.innings >= max(1, least_innings) and may(one)]
    if not entered:
        return Prize(name, (), None, said("Nobody yet."))
    top = max((value(one), more(one)) for one in entered)
    holders = tuple(one for one in entered if (value(one), more(one)) == top)
    return Prize(name, holders, _shown_value(name, holders[0]), _working(name, holders[0]))


def _exact(one: Performance) -> Fraction:
    return average(one.points, one.innings) or Fraction(0)


_RULES: dict[str, tuple[Callable[..., bool], Callable[..., Fraction | int], Callable[..., int]]] = {
    "best-average": (lambda one: one.finished, _exact, lambda one: one.points),
    "high-run": (lambda one: one.high_run > 0, lambda one: one.high_run, lambda one: 0),
    "shortest-match": (
        lambda one: one.finished and one.won and one.reached,
        lambda one: -one.innings,
        lambda one: one.points,
    ),
}


def _shown_value(name: str, one: Performance) -> Fraction | int:
    if name == "best-average":
        return _exact(one)
    return one.high_run if name == "high-run" else one.innings


def _working(name: str, one: Performance) -> Said:
    if name == "best-average":
        return said("%(points)s points in %(innings)s innings", points=one.points, innings=one.innings)
    if name == "high-run":
        return said("a run of %(run)s", run=one.high_run)
    return said("%(points)s points in only %(innings)s innings", points=one.points, innings=one.innings)
