"""Points of a match by a scheme, with the working; and the points of a world ranking.

Schemes are data, because each association has its own. Everything is exact: two decimals of a
percentage are a fraction over a hundred.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from .averages import average, shown
from .handicaps import number
from .reading import a_choice, a_code, a_text, an_int, an_object
from .said import Malformed, Said, said

OUTCOMES = ("win", "draw", "loss")
# How an average is set against the own average: exactly, or as both are shown.
COMPARISONS = ("exact", "shown")

_OUTCOME_WORDS: Mapping[str, Said] = {"win": said("won"), "draw": said("drawn"), "loss": said("lost")}


@dataclass(frozen=True)
class Percentage:
    """Points by the share of the own distance: `of` x made / distance, cut to `decimals`."""

    of: int
    decimals: int
    outcomes: tuple[str, ...]


@dataclass(frozen=True)
class OwnAverage:
    """More points for an average above the own one: for a win, a draw, a loss."""

    win: int
    draw: int
    loss: int
    compare: str
    decimals: int


@dataclass(frozen=True)
class Short:
    """More points for a match in fewer than `below` innings."""

    below: int
    points: int
    outcomes: tuple[str, ...]


@dataclass(frozen=True)
class Scheme:
    """What a match brings: points for its outcome, and up to three parts more."""

    code: str
    name: str
    source: str
    win: int = 0
    draw: int = 0
    loss: int = 0
    percentage: Percentage | None = None
    own_average: OwnAverage | None = None
    short: Short | None = None

    @classmethod
    def from_json(cls, data: Any) -> Scheme:
        """Read a scheme. Raises Malformed with the field (`points.percentage.decimals`)."""
        data = an_object(data, "points", cls.__dataclass_fields__)
        for name in ("code", "name", "source"):
            if name not in data:
                raise Malformed(f"points.{name}", said("this is missing"))
        return cls(**{name: _READERS[name](value, f"points.{name}") for name, value in data.items()})

    def to_json(self) -> dict[str, Any]:
        """Return the scheme as JSON values; `from_json` reads them back."""
        data: dict[str, Any] = {name: getattr(self, name) for name in self.__dataclass_fields__}
        for name in ("percentage", "own_average", "short"):
            part = data[name]
            if part is not None:
                values = {("for" if key == "outcomes" else key): value for key, value in vars(part).items()}
                data[name] = {
                    key: list(value) if isinstance(value, tuple) else value for key, value in values.items()
                }
        return data


def _points(value: Any, field: str) -> int:
    return an_int(value, field, -100, 100)


def _decimals(value: Any, field: str) -> int:
    return an_int(value, field, 0, 6)


def _above_zero(value: Any, field: str) -> int:
    return an_int(value, field, 1, 1000)


def _outcomes(value: Any, field: str) -> tuple[str, ...]:
    if not isinstance(value, list | tuple):
        raise Malformed(field, said("a list is needed here"))
    return tuple(a_choice(one, field, OUTCOMES) for one in value)


def _part(kind: Any, readers: dict[str, Any]) -> Any:
    def read(value: Any, field: str) -> Any:
        if value is None:
            return None
        value = an_object(value, field, readers)
        for name in readers:
            if name not in value:
                raise Malformed(f"{field}.{name}", said("this is missing"))
        return kind(*(reader(value[name], f"{field}.{name}") for name, reader in readers.items()))

    return read


_READERS: dict[str, Any] = {
    "code": a_code,
    "name": a_text,
    "source": lambda value, field: a_text(value, field, 200),
    **dict.fromkeys(OUTCOMES, _points),
    "percentage": _part(Percentage, {"of": _above_zero, "decimals": _decimals, "for": _outcomes}),
    "own_average": _part(
        OwnAverage,
        dict.fromkeys(OUTCOMES, _points)
        | {
            "compare": lambda value, field: a_choice(value, field, COMPARISONS),
            "decimals": _decimals,
        },
    ),
    "short": _part(Short, {"below": _above_zero, "points": _points, "for": _outcomes}),
}

SCHEMES: Mapping[str, Scheme] = {
    scheme.code: scheme
    for scheme in map(
        Scheme.from_json,
        json.loads(Path(__file__).with_name("data").joinpath("points_schemes.json").read_text("utf-8")),
    )
}


@dataclass(frozen=True)
class Awarded:
    """The points of one player in one match, exactly, and a line for each part."""

    points: Fraction
    working: tuple[Said, ...]


def percentage_points(made: int, distance: int, decimals: int, of: int = 10) -> Fraction:
    """Return `of` x made / distance, cut to `decimals`; more than the distance counts as the distance.

    Two Dutch associations: 33 of 38 are 8.68 with two decimals, 8.8 is 8 in whole points.
    Raises ValueError for a distance below 1.
    """
    if distance < 1:
        raise ValueError(distance)
    scale = 10**decimals
    return Fraction(of * min(made, distance) * scale // distance, scale)


def award(
    scheme: Scheme,
    outcome: str,
    made: int,
    innings: int,
    distance: int | None = None,
    own_average: Fraction | None = None,
) -> Awarded:
    """Return what a match brings by a scheme.

    outcome: win, draw or loss. Parts that need a distance or an own average bring nothing without one.
    Raises ValueError for another outcome.
    """
    if outcome not in OUTCOMES:
        raise ValueError(outcome)
    base = Fraction(getattr(scheme, outcome))
    parts = [(base, said("%(outcome)s: %(points)s", outcome=_OUTCOME_WORDS[outcome], points=signed(base)))]
    parts += _by_percentage(scheme.percentage, outcome, made, distance)
    parts += _by_own_average(scheme.own_average, outcome, made, innings, own_average)
    parts += _by_length(scheme.short, outcome, innings)
    return Awarded(sum((points for points, _ in parts), Fraction(0)), tuple(line for _, line in parts))


Part = list[tuple[Fraction, Said]]


def _by_percentage(rule: Percentage | None, outcome: str, made: int, distance: int | None) -> Part:
    if rule is None or outcome not in rule.outcomes or not distance:
        return []
    points = percentage_points(made, distance, rule.decimals, rule.of)
    line = said(
        "%(of)s × %(made)s / %(distance)s: %(points)s",
        of=rule.of,
        made=made,
        distance=distance,
        points=number(points, rule.decimals),
    )
    return [(points, line)]


def _by_own_average(
    rule: OwnAverage | None, outcome: str, made: int, innings: int, own: Fraction | None
) -> Part:
    reached = average(made, innings)
    if rule is None or own is None or reached is None:
        return []
    texts = [shown(one.numerator, one.denominator, rule.decimals) or "0" for one in (reached, own)]
    if rule.compare == "shown":
        reached, own = Fraction(texts[0]), Fraction(texts[1])
    averages = {"reached": texts[0], "own": texts[1]}
    if reached <= own:
        return [(Fraction(0), said("%(reached)s is not above the own average %(own)s", **averages))]
    points = Fraction(getattr(rule, outcome))
    line = said("%(reached)s is above the own average %(own)s: %(points)s", **averages, points=signed(points))
    return [(points, line)]


def _by_length(rule: Short | None, outcome: str, innings: int) -> Part:
    if rule is None or outcome not in rule.outcomes or not 0 < innings < rule.below:
        return []
    points = Fraction(rule.points)
    line = said(
        "%(innings)s innings, fewer than %(below)s: %(points)s",
        innings=innings,
        below=rule.below,
        points=signed(points),
    )
    return [(points, line)]


def signed(value: Fraction) -> str:
    """Return a number of points as text, with a minus where it is below 0."""
    return f"−{number(-value, 2)}" if value < 0 else number(value, 2)


# An encyclopaedia: places of the main tournament, and rounds of the qualification.
WORLD_RANKING = ((1, 1, 80), (2, 2, 54), (3, 4, 36), (5, 8, 26), (9, 16, 18), (17, 24, 10), (25, 32, 8))
QUALIFYING = {"Q": 5, "PQ": 4, "PPQ": 3, "PPPQ": 2}


def ranking_points(place: int | None = None, round_left: str | None = None) -> int:
    """Return the world-ranking points of a place in the main tournament, or of a round of the
    qualification that somebody left in (Q, PQ, PPQ, PPPQ); 0 for what brings none."""
    if place is None:
        return QUALIFYING.get(round_left or "", 0)
    return next((points for first, last, points in WORLD_RANKING if first <= place <= last), 0)
