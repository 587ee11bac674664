"""A stroke that somebody asks about, as the query string of an address tells it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from math import hypot, isfinite
from typing import Any

from django.http import QueryDict
from django.utils.translation import gettext

from scoring.pages.words import ball_name
from scoring.rules.contacts import BALLS, CUE_BALLS

# A layout that three cushions bring home, so that a first look shows something.
LAYOUT = {"white": (0.7, 1.1), "yellow": (3.0, 1.9), "red": (1.3, 3.6)}
STRIKE = {"direction": 17.3, "speed": 3.6, "side": 0.2, "height": 0.0}
MOST_SPEED, MISCUE = 12.0, 0.5
LEAST_SPREAD, MOST_SPREAD = 0.2, 5.0
WIDTH, LENGTH = 4.0, 8.0  # [diamonds]
SLACK = 1e-6  # what writing a number with six decimals may lose


@dataclass(frozen=True)
class Size:
    """What a layout must know of a table: metres a diamond, both ways, and the balls' radius [m]."""

    across: float
    along: float
    radius: float

    def inside(self, at: tuple[float, float]) -> bool:
        """Whether a ball lies within the noses."""
        x, y = at[0] * self.across, at[1] * self.along
        least = self.radius - SLACK
        return least <= x <= WIDTH * self.across - least and least <= y <= LENGTH * self.along - least

    def apart(self, one: tuple[float, float], other: tuple[float, float]) -> bool:
        """Whether two balls do not overlap."""
        gap = hypot((one[0] - other[0]) * self.across, (one[1] - other[1]) * self.along)
        return gap >= 2 * self.radius - SLACK


@dataclass
class Asked:
    """The stroke; `wrong` says of each field that could not be read why its usual value stands."""

    layout: dict[str, tuple[float, float]]
    cue: str
    strike: dict[str, float]
    discipline: str
    table: str
    whole: bool = False
    wrong: dict[str, str] = field(default_factory=dict)


def asked_of(
    query: QueryDict, disciplines: Collection[str], sizes: Mapping[str, Size], usual: str, usual_table: str
) -> Asked:
    """Return what a query string asks; what cannot be played gives way to the usual, and is explained."""
    wrong: dict[str, str] = {}
    table = _one_of(query, "table", sizes, usual_table, wrong)
    asked = Asked(
        layout=_layout(query, sizes[table], wrong),
        cue=_one_of(query, "cue", CUE_BALLS, "white", wrong),
        strike=_strike(query, wrong),
        discipline=_one_of(query, "discipline", disciplines, usual, wrong),
        table=table,
        wrong=wrong,
    )
    asked.whole = not wrong and all(name in query for name in (*BALLS, "direction", "speed"))
    return asked


def spread_of(query: QueryDict, usual: float, wrong: dict[str, str]) -> float:
    """Return the spread of a query string; one that cannot be read gives way to the usual, and is explained."""
    if "spread" not in query:
        return usual
    value = _number(query.get("spread"))
    if value is None or not LEAST_SPREAD <= value <= MOST_SPREAD:
        wrong["spread"] = gettext("From %(least)s to %(most)s.") % {
            "least": LEAST_SPREAD,
            "most": MOST_SPREAD,
        }
        return usual
    return value


def to_json(asked: Asked) -> dict[str, Any]:
    """Return the stroke as the page's script reads it."""
    return {
        "layout": {ball: list(at) for ball, at in asked.layout.items()},
        "cue": asked.cue,
        **asked.strike,
        "discipline": asked.discipline,
        "table": asked.table,
    }


def _one_of(query: QueryDict, name: str, choices: Collection[str], usual: str, wrong: dict[str, str]) -> str:
    value = query.get(name)
    if value is None or value in choices:
        return value or usual
    wrong[name] = gettext("“%(value)s” is not known here.") % {"value": _short(value)}
    return usual


def _number(text: str | None) -> float | None:
    try:
        value = float(text) if text is not None and len(text) <= 40 else None
    except ValueError:
        return None
    return value if value is not None and isfinite(value) else None


def _layout(query: QueryDict, size: Size, wrong: dict[str, str]) -> dict[str, tuple[float, float]]:
    """Return where the balls lie; a layout that cannot be laid gives way as a whole."""
    found = dict(LAYOUT)
    for ball in BALLS:
        text = query.get(ball)
        if text is None:
            continue
        parts = [_number(part) for part in text[:90].split(",")]
        x, y = (*parts, None, None)[:2]
        if x is None or y is None or len(parts) != 2:
            wrong[ball] = gettext("Two numbers are needed, across and up: 1.2,3.4.")
        elif not size.inside((x, y)):
            wrong[ball] = gettext("The ball lies outside the noses.")
        else:
            found[ball] = (x, y)
    for place, ball in enumerate(BALLS):
        for other in BALLS[:place]:
            if not size.apart(found[ball], found[other]) and ball not in wrong:
                wrong[ball] = gettext("The ball overlaps %(other)s.") % {"other": ball_name(other)}
    return dict(LAYOUT) if any(ball in wrong for ball in BALLS) else found


def _strike(query: QueryDict, wrong: dict[str, str]) -> dict[str, float]:
    found = dict(STRIKE)
    for name in STRIKE:
        if name not in query:
            continue
        value = _number(query.get(name))
        if value is None:
            wrong[name] = gettext("A number is needed.")
        elif name == "speed" and not 0 < value <= MOST_SPEED:
            wrong[name] = gettext("Above 0 and at most %(most)s m/s.") % {"most": MOST_SPEED}
        else:
            found[name] = value
    if hypot(found["side"], found["height"]) > MISCUE + SLACK:
        wrong["side"] = gettext("The tip would slip: at most %(most)s off the centre.") % {"most": MISCUE}
        found["side"], found["height"] = STRIKE["side"], STRIKE["height"]
    found["direction"] %= 360
    return found


def _short(text: str) -> str:
    return text[:40] + "…" if len(text) > 40 else text
