"""How a competition is ranked, pointed, handicapped and run, where it departs from the defaults.

Stored as JSON that holds the departures alone, so that a default may still be changed for whoever
never chose. `OTHERS` are settings that another module reads itself; they pass through as they are.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from functools import cached_property
from typing import Any

from scoring.rules.points import SCHEMES, Scheme
from scoring.rules.prizes import PRIZES
from scoring.rules.ranking import CRITERIA, DEFAULT_ORDER
from scoring.rules.reading import a_bool, a_choice, a_code, an_int, an_object, int_or_none
from scoring.rules.said import Malformed, said
from scoring.rules.standings import COUNTS, OUTCOMES, PLAIN, WITHDRAWALS, Counting

# What somebody who did not turn up is credited with in a walkover (a club's rules).
ABSENT = ("nothing", "own-average")
# Settings that are read by the module they belong to.
OTHERS: frozenset[str] = frozenset({"season", "teams", "publication", "day"})
MOST_POINTS = 100


@dataclass(frozen=True)
class PrizeRule:
    """A prize that is given, and the fewest innings of a match that may win it."""

    name: str
    least_innings: int = 1


@dataclass(frozen=True)
class Regulations:
    """The settings of a competition.

    order, restart: as `scoring.rules.ranking.rank` takes them. win, draw, loss: match points, unless
    a points scheme gives them. counts: what an outcome brings, by its name. absent: what who did not turn
    up is credited with; `own-average` counts the walkover in full. rest_minutes: between two matches
    of a player. seconds_a_stroke: for planning, None: as the players' own matches say.
    """

    order: tuple[str, ...] = DEFAULT_ORDER
    restart: bool = False
    win: int = PLAIN.win
    draw: int = PLAIN.draw
    loss: int = PLAIN.loss
    counts: Mapping[str, str] = field(default_factory=lambda: dict(PLAIN.counts))
    absent: str = "nothing"
    points_scheme: Scheme | None = None
    withdrawals: str = "keep"
    prizes: tuple[PrizeRule, ...] = tuple(PrizeRule(name) for name in PRIZES)
    rest_minutes: int = 10
    seconds_a_stroke: int | None = None
    third_place: bool = False
    handicapped: bool = False
    handicap_method: str | None = None
    upwards_only: bool = False
    others: Mapping[str, Any] = field(default_factory=dict)

    @cached_property
    def counting(self) -> Counting:
        """What a match brings to the sums."""
        credited = {"walkover": "all"} if self.absent == "own-average" else {}
        return Counting(self.win, self.draw, self.loss, dict(self.counts) | credited)

    @classmethod
    def from_json(cls, data: Any) -> Regulations:
        """Read settings. Raises Malformed with the field (`regulations.order.0`)."""
        data = an_object(data, "regulations", {*_READERS, *OTHERS})
        read = {
            name: reader(data[name], f"regulations.{name}")
            for name, reader in _READERS.items()
            if name in data
        }
        return cls(**read, others={name: data[name] for name in sorted(OTHERS & data.keys())})

    @classmethod
    def stored(cls, data: Mapping[str, Any]) -> Regulations:
        """Return the settings of a competition's row; a name that nobody knows any more is passed over."""
        return cls.from_json(
            {name: value for name, value in data.items() if name in _READERS or name in OTHERS}
        )

    def to_json(self) -> dict[str, Any]:
        """Return what departs from the defaults, as JSON values; `from_json` reads them back."""
        plain = Regulations()
        told = {
            one.name: _plain(getattr(self, one.name))
            for one in fields(self)
            if one.name != "others" and getattr(self, one.name) != getattr(plain, one.name)
        }
        return told | dict(self.others)

    def complete(self) -> dict[str, Any]:
        """Return every setting as JSON values, chosen or not."""
        return {one.name: _plain(getattr(self, one.name)) for one in fields(self) if one.name != "others"}


def changed(stored: Mapping[str, Any], settings: Any) -> dict[str, Any]:
    """Return what a competition's row holds once some settings were changed; null: the default again.

    What belongs to other modules stays. Raises Malformed with the field.
    """
    given = an_object(settings, "regulations", _READERS)
    kept = {name: value for name, value in stored.items() if name not in given}
    wanted = {name: value for name, value in given.items() if value is not None}
    foreign = {name: value for name, value in kept.items() if name not in _READERS}
    own = {name: value for name, value in kept.items() if name in _READERS}
    return foreign | Regulations.from_json(own | wanted).to_json()


def _plain(value: Any) -> Any:
    if isinstance(value, Scheme):
        return value.to_json()
    if isinstance(value, PrizeRule):
        return {"name": value.name, "least_innings": value.least_innings}
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    return dict(value) if isinstance(value, Mapping) else value


def _listed(value: Any, name: str) -> list[Any]:
    if not isinstance(value, list | tuple) or len(value) > 20:
        raise Malformed(name, said("a list is needed here"))
    return list(value)


def _order(value: Any, name: str) -> tuple[str, ...]:
    read = tuple(a_choice(one, f"{name}.{at}", CRITERIA) for at, one in enumerate(_listed(value, name)))
    if not read:
        raise Malformed(name, said("one criterion at least is needed here"))
    if len(set(read)) < len(read):
        raise Malformed(name, said("a criterion stands here twice"))
    return read


def _counts(value: Any, name: str) -> dict[str, str]:
    data = an_object(value, name, OUTCOMES)
    return dict(PLAIN.counts) | {key: a_choice(one, f"{name}.{key}", COUNTS) for key, one in data.items()}


def _scheme(value: Any, name: str) -> Scheme | None:
    """Return a scheme: a whole one, or the code of one that ships."""
    if value is None:
        return None
    return SCHEMES[a_choice(value, name, SCHEMES)] if isinstance(value, str) else Scheme.from_json(value)


def _prizes(value: Any, name: str) -> tuple[PrizeRule, ...]:
    read = []
    for at, one in enumerate(_listed(value, name)):
        where = f"{name}.{at}"
        data = an_object({"name": one} if isinstance(one, str) else one, where, ("name", "least_innings"))
        least = an_int(data.get("least_innings", 1), f"{where}.least_innings", 1, 1000)
        read.append(PrizeRule(a_choice(data.get("name"), f"{where}.name", PRIZES), least))
    if len({one.name for one in read}) < len(read):
        raise Malformed(name, said("a prize stands here twice"))
    return tuple(read)


def _points(value: Any, name: str) -> int:
    return an_int(value, name, 0, MOST_POINTS)


_READERS: dict[str, Any] = {
    "order": _order,
    "restart": a_bool,
    "win": _points,
    "draw": _points,
    "loss": _points,
    "counts": _counts,
    "absent": lambda value, name: a_choice(value, name, ABSENT),
    "points_scheme": _scheme,
    "withdrawals": lambda value, name: a_choice(value, name, WITHDRAWALS),
    "prizes": _prizes,
    "rest_minutes": lambda value, name: an_int(value, name, 0, 600),
    "seconds_a_stroke": lambda value, name: int_or_none(value, name, 1, 600),
    "third_place": a_bool,
    "handicapped": a_bool,
    "handicap_method": lambda value, name: None if value is None else a_code(value, name),
    "upwards_only": a_bool,
}
