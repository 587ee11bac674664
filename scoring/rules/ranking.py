"""Ranking by an ordered list of criteria, on exact fractions.

Default order: match points, general average, high run (federation pages). A championship of
1954 was decided by 0.00004, so nothing is compared as shown.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from .averages import average
from .said import Said, said

DEFAULT_ORDER = ("match_points", "general_average", "high_run")


@dataclass(frozen=True)
class Row:
    """One player's sums. key: any hashable. best: points and innings of the best single match.

    against: match points won against each opponent, by their key; for the criterion `direct_match`.
    """

    key: Any
    match_points: int | Fraction = 0
    points: int = 0
    innings: int = 0
    high_run: int = 0
    best: tuple[int, int] | None = None
    sets_won: int = 0
    sets_lost: int = 0
    against: Mapping[Any, int | Fraction] | None = None


@dataclass(frozen=True)
class Ranked:
    """A row in its rank (1, 2, 2, 4). separated_by: the criterion that put it before the next
    row; None on the last and between rows that share a rank."""

    row: Row
    rank: int
    shared: bool
    separated_by: str | None


def _best_average(row: Row) -> Fraction | None:
    return average(*row.best) if row.best else None


def _set_ratio(row: Row) -> Fraction | None:
    played = row.sets_won + row.sets_lost
    return Fraction(row.sets_won, played) if played else None


Value = int | Fraction | None

_VALUES: Mapping[str, Callable[[Row, Sequence[Row]], Value]] = {
    "match_points": lambda row, _: row.match_points,
    "general_average": lambda row, _: average(row.points, row.innings),
    "high_run": lambda row, _: row.high_run,
    "best_average": lambda row, _: _best_average(row),
    "points": lambda row, _: row.points,
    "set_ratio": lambda row, _: _set_ratio(row),
    "direct_match": lambda row, tied: sum((row.against or {}).get(one.key, 0) for one in tied),
}

CRITERIA: Mapping[str, Said] = {
    "match_points": said("match points"),
    "general_average": said("general average"),
    "high_run": said("high run"),
    "best_average": said("best average"),
    "points": said("points"),
    "set_ratio": said("set ratio"),
    "direct_match": said("direct match"),
}


def rank(rows: Iterable[Row], order: Sequence[str] = DEFAULT_ORDER) -> list[Ranked]:
    """Rank the rows, best first; rows equal in every criterion share a rank and keep their order.

    A missing value (no innings, say) stands last. Raises ValueError for an unknown criterion.
    """
    for criterion in order:
        if criterion not in _VALUES:
            raise ValueError(criterion)
    ranked: list[Ranked] = []
    groups = _split(list(rows), list(order))
    for place, (group, name) in enumerate(groups):
        first = len(ranked) + 1
        separated_by = name if place < len(groups) - 1 else None
        for number, row in enumerate(group, 1):
            last = number == len(group)
            ranked.append(Ranked(row, first, len(group) > 1, separated_by if last else None))
    return ranked


def _split(rows: list[Row], order: list[str]) -> list[tuple[list[Row], str | None]]:
    """Split rows into groups of equals, each with the criterion that sets it before the next."""
    if not order or len(rows) < 2:
        return [(rows, None)] if rows else []
    name, *rest = order
    by_value: dict[Value, list[Row]] = {}
    for row in rows:
        by_value.setdefault(_VALUES[name](row, rows), []).append(row)
    groups: list[tuple[list[Row], str | None]] = []
    for value in sorted(by_value, key=_from_best):
        inner = _split(by_value[value], rest)
        groups += [*inner[:-1], (inner[-1][0], name)]
    return groups


def _from_best(value: Value) -> tuple[bool, Fraction]:
    return value is None, -Fraction(value or 0)
