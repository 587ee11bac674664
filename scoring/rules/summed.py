"""Rows of a ranking as JSON, and several rows read as one: a merged record, a stage of groups."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from typing import Any

from .ranking import Met, Row
from .standings import better_match

# Plain sums; what else a row has is kept otherwise.
SUMS = ("points", "innings", "sets_won", "sets_lost", "distances", "pending", "played")


def to_json(row: Row) -> dict[str, Any]:
    """Return a row of a player as JSON; keys of opponents become texts, points of matches too."""
    told: dict[str, Any] = {name: getattr(row, name) for name in SUMS}
    told |= {
        "match_points": _text(row.match_points),
        "high_run": row.high_run,
        "best": None if row.best is None else list(row.best),
        "against": {},
    }
    for key, met in sorted((row.against or {}).items()):
        one = met if isinstance(met, Met) else Met(met)
        told["against"][str(key)] = [_text(one.match_points), one.points, one.innings]
    return told


def from_json(key: int, data: Mapping[str, Any], whole: Callable[[int], int] = lambda one: one) -> Row:
    """Return the row that `to_json` told. whole: the id under which an opponent is read."""
    against: dict[int, Met] = {}
    for name, (match_points, points, innings) in data.get("against", {}).items():
        other = whole(int(name))
        against[other] = _met(against.get(other, Met()), Met(_number(match_points), points, innings))
    best = data.get("best")
    return Row(
        key=key,
        match_points=_number(data.get("match_points", 0)),
        high_run=data.get("high_run", 0),
        best=None if best is None else (best[0], best[1]),
        against=against,
        **{name: data.get(name, 0) for name in SUMS},
    )


def together(rows: Sequence[Row]) -> Row:
    """Return several rows of one key as one. Raises ValueError for none."""
    if not rows:
        raise ValueError(rows)
    if len(rows) == 1:
        return rows[0]
    against: dict[Any, Met] = {}
    best: tuple[int, int] | None = None
    for row in rows:
        best = best if row.best is None else better_match(best, row.best)
        for key, met in (row.against or {}).items():
            against[key] = _met(against.get(key, Met()), met if isinstance(met, Met) else Met(met))
    return Row(
        key=rows[0].key,
        match_points=sum(row.match_points for row in rows),
        high_run=max(row.high_run for row in rows),
        best=best,
        against=against,
        **{name: sum(getattr(row, name) for row in rows) for name in SUMS},
    )


def _met(one: Met, other: Met) -> Met:
    return Met(one.match_points + other.match_points, one.points + other.points, one.innings + other.innings)


def _text(value: int | Fraction) -> int | str:
    exact = Fraction(value)
    return exact.numerator if exact.denominator == 1 else str(exact)


def _number(value: int | str) -> int | Fraction:
    return value if isinstance(value, int) else Fraction(value)
