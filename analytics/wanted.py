"""The format of a match that is only thought of, as an address says it: `distance=30,25&equalizing=no`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from analytics.reports.races import Rules
from scoring.rules.said import Malformed, said

FARTHEST = 1_000
MOST_INNINGS = 1_000
MOST_SETS = 50
# Where a discipline agrees on no distance.
DISTANCE = 30
_YES = {"yes": True, "true": True, "1": True, "no": False, "false": False, "0": False}


@dataclass(frozen=True)
class Wanted:
    """A format: distances of the first and the second player, and what else decides a match."""

    discipline: str
    distance: tuple[int, int]
    equalizing: bool = True
    innings_limit: int | None = None
    sets_to_win: int | None = None

    @property
    def rules(self) -> Rules:
        """The race of this format, in the order of the players named."""
        return Rules(
            self.distance,
            self.equalizing,
            innings_limit=self.innings_limit,
            sets_to_win=self.sets_to_win,
        )

    @property
    def plain(self) -> bool:
        """Whether the distances alone end a match."""
        return self.innings_limit is None and self.sets_to_win is None


def default_wanted(discipline: str, agreed: Mapping[str, Any]) -> Wanted:
    """Return the format that a discipline agrees on when nothing else is said."""
    first, second = agreed.get("distance") or (None, None)
    return Wanted(
        discipline,
        (first or DISTANCE, second or DISTANCE),
        bool(agreed.get("equalizing", True)),
        agreed.get("innings_limit"),
        agreed.get("sets_to_win"),
    )


def read_wanted(values: Mapping[str, Sequence[str]], usual: Wanted) -> Wanted:
    """Return the format that an address names, as lists by name; what it leaves out is as usual.

    `distance` is "30,25", or given twice; an empty `innings_limit` or `sets_to_win` means none.
    Raises Malformed with the field and what would do.
    """
    distance = usual.distance
    told = [part.strip() for value in values.get("distance", ()) for part in value.split(",")]
    if any(told):
        if len(told) != 2:
            raise Malformed("distance", said("two distances are needed here, one for each player"))
        distance = (_number(told[0], "distance", FARTHEST), _number(told[1], "distance", FARTHEST))
    return Wanted(
        usual.discipline,
        distance,
        _yes(values, usual.equalizing),
        _optional(values, "innings_limit", MOST_INNINGS, usual.innings_limit),
        _optional(values, "sets_to_win", MOST_SETS, usual.sets_to_win),
    )


def _yes(values: Mapping[str, Sequence[str]], usual: bool) -> bool:
    text = _last(values, "equalizing")
    if not text:
        return usual
    if text not in _YES:
        raise Malformed("equalizing", said("write yes or no"))
    return _YES[text]


def _optional(values: Mapping[str, Sequence[str]], name: str, most: int, usual: int | None) -> int | None:
    if name not in values:
        return usual
    text = _last(values, name)
    return _number(text, name, most) if text else None


def _last(values: Mapping[str, Sequence[str]], name: str) -> str:
    given = values.get(name, ())
    return given[-1].strip() if given else ""


def _number(text: str, name: str, most: int) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 6 and 1 <= int(text) <= most):
        raise Malformed(name, said("write a whole number from 1 to %(most)s", most=most))
    return int(text)
