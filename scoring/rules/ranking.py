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
class Met:
    """What one made against one opponent, over all their matches."""

    match_points: int | Fraction = 0
    points: int = 0
    innings: int = 0


@dataclass(frozen=True)
class Row:
    """One player's sums, or a team's. key: any hashable. best: points and innings of the best single match.

    against: a Met for each opponent, by their key, or match points alone; for the direct criteria.
    distances: the own distances of the matches that `points` were made in; for the percentage.
    board_points: a team's. pending: matches not played yet, or under protest. played: those that count.
    """

    key: Any
    match_points: int | Fraction = 0
    points: int = 0
    innings: int = 0
    high_run: int = 0
    best: tuple[int, int] | None = None
    sets_won: int = 0
    sets_lost: int = 0
    against: Mapping[Any, int | Fraction | Met] | None = None
    distances: int = 0
    board_points: int | Fraction = 0
    pending: int = 0
    played: int = 0


Value = int | Fraction | None


@dataclass(frozen=True)
class Separation:
    """What put a row before the next: the criterion, and the exact value of each.

    among: the keys of those who were equal until then; what the direct criteria were counted over.
    """

    criterion: str
    better: Value
    worse: Value
    among: tuple[Any, ...]


@dataclass(frozen=True)
class Ranked:
    """A row in its rank (1, 2, 2, 4). separated_by: the criterion that put it before the next
    row; None on the last and between rows that share a rank. by: the same with both values.

    waits_for_lot: shares its rank until a lot is drawn. provisional: somebody in the table has
    matches to come or under protest, so ranks may still change.
    """

    row: Row
    rank: int
    shared: bool
    separated_by: str | None
    by: Separation | None = None
    waits_for_lot: bool = False
    provisional: bool = False


def _met(row: Row, other: Row) -> Met:
    met = (row.against or {}).get(other.key, 0)
    return met if isinstance(met, Met) else Met(met)


def _direct(row: Row, tied: Sequence[Row]) -> list[Met]:
    return [_met(row, one) for one in tied if one.key != row.key]


# What is divided by what, for criteria that are a share; 0 below means that there is none.
_RATIOS: Mapping[str, Callable[[Row, Sequence[Row]], tuple[int, int]]] = {
    "general_average": lambda row, _: (row.points, row.innings),
    "best_average": lambda row, _: row.best or (0, 0),
    "percentage": lambda row, _: (row.points, row.distances),
    "set_ratio": lambda row, _: (row.sets_won, row.sets_won + row.sets_lost),
    "direct_average": lambda row, tied: (
        sum(one.points for one in _direct(row, tied)),
        sum(one.innings for one in _direct(row, tied)),
    ),
}
_VALUES: Mapping[str, Callable[[Row, Sequence[Row]], Value]] = {
    "match_points": lambda row, _: row.match_points,
    "high_run": lambda row, _: row.high_run,
    "points": lambda row, _: row.points,
    "board_points": lambda row, _: row.board_points,
    "direct_match": lambda row, tied: sum(one.match_points for one in _direct(row, tied)),
}
Lots = Sequence[Sequence[Any]]


def ratio_of(criterion: str, row: Row, tied: Sequence[Row]) -> tuple[int, int] | None:
    """Return what is divided by what, as it was added up; None for a criterion that is no share."""
    return _RATIOS[criterion](row, tied) if criterion in _RATIOS else None


def value_of(criterion: str, row: Row, tied: Sequence[Row], lots: Lots = ()) -> Value:
    """Return what is compared of a row among those that are equal until then; None where there is nothing."""
    if criterion == "lot":
        for lot in reversed(lots):
            if all(one.key in lot for one in tied):
                return list(lot).index(row.key) + 1
        return None
    if criterion in _RATIOS:
        return average(*_RATIOS[criterion](row, tied))
    return _VALUES[criterion](row, tied)


CRITERIA: Mapping[str, Said] = {
    "match_points": said("match points"),
    "general_average": said("general average"),
    "high_run": said("high run"),
    "best_average": said("best average"),
    "points": said("points"),
    "percentage": said("percentage of the own distances"),
    "set_ratio": said("set ratio"),
    "board_points": said("board points"),
    "direct_match": said("direct match"),
    "direct_average": said("average in the direct matches"),
    "lot": said("lot"),
}


def rank(
    rows: Iterable[Row],
    order: Sequence[str] = DEFAULT_ORDER,
    *,
    restart: bool = False,
    lots: Lots = (),
) -> list[Ranked]:
    """Rank the rows, best first; rows equal in every criterion share a rank and keep their order.

    A missing value (no innings, say) stands last. The direct criteria are counted over all who are
    equal until then, at once. restart: after a split begin the order again inside each part; which
    changes only what the direct criteria are counted over.
    lots: each a list of keys as drawn, the first drawn before the next; `lot` in the order takes the
    latest that names all who are tied, and separates nobody where there is none.
    Raises ValueError for an unknown criterion.
    """
    for criterion in order:
        if criterion not in CRITERIA:
            raise ValueError(criterion)
    listed = list(rows)
    provisional = any(row.pending for row in listed)
    ranked: list[Ranked] = []
    groups = _Splitting(order, restart, lots).split(listed)
    for place, (group, found) in enumerate(groups):
        first = len(ranked) + 1
        by = found if place < len(groups) - 1 else None
        shared = len(group) > 1
        for number, row in enumerate(group, 1):
            told = by if number == len(group) else None
            name = told.criterion if told else None
            ranked.append(Ranked(row, first, shared, name, told, shared and "lot" in order, provisional))
    return ranked


Groups = list[tuple[list[Row], Separation | None]]


@dataclass(frozen=True)
class _Splitting:
    """Splits rows into groups of equals, each with what sets it before the next group."""

    order: Sequence[str]
    restart: bool
    lots: Lots

    def split(self, rows: list[Row], begin: int = 0) -> Groups:
        if not rows:
            return []
        for place in range(begin, len(self.order) if len(rows) > 1 else begin):
            values = self._values(self.order[place], rows)
            if len(values) > 1:
                return self._inside(rows, self.order[place], values, 0 if self.restart else place + 1)
        return [(rows, None)]

    def _inside(self, rows: list[Row], name: str, values: dict[Value, list[Row]], begin: int) -> Groups:
        """Split each part again, and tell what separates the parts."""
        among = tuple(row.key for row in rows)
        from_best = sorted(values, key=_lowest_first if name == "lot" else _highest_first)
        groups: Groups = []
        for place, value in enumerate(from_best):
            inner = self.split(values[value], begin)
            following = from_best[place + 1] if place + 1 < len(from_best) else None
            groups += [*inner[:-1], (inner[-1][0], Separation(name, value, following, among))]
        return groups

    def _values(self, name: str, rows: list[Row]) -> dict[Value, list[Row]]:
        by_value: dict[Value, list[Row]] = {}
        for row in rows:
            by_value.setdefault(value_of(name, row, rows, self.lots), []).append(row)
        return by_value


def _highest_first(value: Value) -> tuple[bool, Fraction]:
    return value is None, -Fraction(value or 0)


def _lowest_first(value: Value) -> Fraction:
    return Fraction(value or 0)
