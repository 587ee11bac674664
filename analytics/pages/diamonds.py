"""Diamonds: two numbers or two balls in, the sum, the places to look at and the drawing out.

The whole question stands in the query string, so an address is a sum to keep. The page is
whole without its script; the script asks for `part=answer` and puts that in place.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext, pgettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from analytics.aim.diamonds.geometry import CORNERS, LENGTH, WIDTH, Point
from analytics.aim.diamonds.question import MOST_OFFSET, NUMBERS
from analytics.aim.diamonds.words import number
from analytics.aim.diamonds.words import place as place_words
from analytics.api.limits import VisitorDiamonds
from analytics.measuring import own_number
from analytics.tables import find_set_in_use
from scoring.access import Actor
from scoring.pages.gate import page
from scoring.pages.words import speak

from .diamond_asked import FIXED, SHORT, Asked, asked_of, fields_of, query_of
from .diamond_drawing import Drawing, diamonds_svg
from .diamond_rails import Ruler, route, rulers
from .diamond_sums import rows
from .diamond_try import stroke_query
from .limits import limited
from .stroke import table_choices

SYSTEM_WORDS = {
    "corner": (
        _("Corner system"),
        _("Three cushions, a long rail first: long, short, long. Aim = origin − arrival."),
    ),
    "plus": (_("Plus system"), _("Three cushions, a short rail first. Arrival = origin + aim.")),
    "one-rail": (
        _("One rail, no side"),
        _("By the mirror: the aim lies half-way between origin and arrival."),
    ),
    "two-rail": (_("Two rails, no side"), _("By the mirror: the last leg runs parallel to the first.")),
    "sid": (
        _("Sid"),
        _("A short rail, then a long one, without side. Aim = origin times the target's number."),
    ),
    "half": (_("Half"), _("From a long rail into the far corner of the same side. Aim = origin / 2.")),
    "base-30": (_("Base 30"), _("Aim 3 from any place on the long rail. Arrival = origin − 3.")),
}
CORNER_WORDS = {
    "bottom-left": _("bottom left"),
    "bottom-right": _("bottom right"),
    "top-left": _("top left"),
    "top-right": _("top right"),
}
READING_WORDS = {
    "through": _("through the marks, behind the nose"),
    "opposite": _("to the nose, opposite the marks"),
    "split": _("from a long rail opposite, else through"),
}
OUTER_WORDS = {
    "linear": _("one a diamond all along"),
    "european": _("European: double beyond the core"),
}


def number_names() -> dict[str, str]:
    """Return what the three numbers are called."""
    return {
        "origin": pgettext("diamonds", "origin"),
        "aim": pgettext("diamonds", "aim"),
        "arrival": pgettext("diamonds", "arrival"),
    }


@require_safe
@page
@limited(VisitorDiamonds)
def diamonds(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show the sum of the query string."""
    tables = table_choices()
    asked = asked_of(request.GET, {one["value"]: one["size"].radius / one["size"].along for one in tables})
    context = answer_context(asked, tables[0]["value"])
    if request.GET.get("part") == "answer":
        return render(request, "analytics/diamonds_answer.html", context)
    context |= {
        "asked": asked,
        "fields": fields_of(asked),
        "wrong": [(name, field_names()[name], why) for name, why in asked.wrong.items()],
        "systems": [(code, words[0]) for code, words in SYSTEM_WORDS.items()],
        "tables": tables,
        "two_first": list(SHORT),
        "corners": [(code, CORNER_WORDS[code]) for code in CORNERS],
        "readings": READING_WORDS.items(),
        "outers": OUTER_WORDS.items(),
        "most_offset": MOST_OFFSET,
        "numbers": [(name, number_names()[name]) for name in NUMBERS],
    }
    return render(request, "analytics/diamonds.html", context)


def field_names() -> dict[str, str]:
    """Return what the fields are called where something is said of one."""
    return number_names() | {
        "system": gettext("System"),
        "by": gettext("What is known"),
        "corner": gettext("Corner"),
        "first": gettext("First rail"),
        "table": gettext("Table"),
        "find": gettext("Asked for"),
        "cue": gettext("Cue ball"),
        "ball": gettext("Ball"),
        "layout": gettext("The balls"),
        "reading": gettext("How the line is drawn"),
        "outer": gettext("Outer numbers"),
        "mark": gettext("Marks behind the nose"),
        "correct": gettext("Correction"),
    }


def answer_context(asked: Asked, usual_table: str = "") -> dict[str, Any]:
    """Return what the answer shows, drawing and all."""
    way, first = asked.turned()
    own = rulers(asked.system, first, asked.outer)
    seen = asked.seen
    places = {
        name: _place(own[name], value, way)
        for name, value in seen.items()
        if value is not None and own[name].carries(value)
    }
    names = number_names()
    found = asked.answer
    steps = [] if found is None else [(speak(one.text), one.status == "D") for one in found.steps]
    # The stroke stands in its own place, not again as the last step.
    if found is not None and steps and steps[-1][0] == speak(found.stroke):
        steps.pop()
    return {
        "svg": diamonds_svg(_drawing(asked, own, seen, names, places)),
        "found": found is not None,
        "refusal": "" if found is not None else " ".join(asked.wrong.values()),
        "about": SYSTEM_WORDS[asked.system][1],
        "rows": rows(asked, names),
        "places": [
            (name, names[name], number(seen[name]), places[name]) for name in NUMBERS if name in places
        ],
        "steps": steps,
        "second_drawn": found is not None and asked.system in ("corner", "plus", "base-30"),
        "derived": sum(derived for _, derived in steps),
        "stroke": "" if found is None else speak(found.stroke),
        "window": None if found is None or found.window is None else [number(edge) for edge in found.window],
        "check_query": urlencode({"system": asked.system} | ({"table": asked.table} if asked.table else {})),
        "by_balls": asked.by == "balls" and asked.balls["ball"] is not None,
        "warnings": [] if found is None else [speak(one) for one in found.warnings],
        "mirror": None if found is None or found.mirror is None else number(found.mirror),
        "try_query": stroke_query(asked, _route(asked)),
        "own": _own(asked),
        "keep": query_of(asked, usual_table),
        "told": {
            "fields": fields_of(asked),
            "free": asked.free,
            "wrong": asked.wrong,
            "query": query_of(asked, usual_table),
            "spoken": _spoken(asked, names, places),
        },
    }


def _own(asked: Asked) -> dict[str, str] | None:
    """Return the measured table's own numbers beside the answer's, as they are shown."""
    found = asked.answer
    if found is None or not asked.table.isdigit():
        return None
    one = find_set_in_use(int(asked.table))
    own = own_number(one, found, asked.reading)
    if one is None or own is None or found.arrival is None or found.aim is None:
        return None
    return {
        "book": number(found.arrival),
        "book_aim": number(found.aim),
        "arrival": number(own.arrival),
        "low": number(own.low),
        "high": number(own.high),
        "aim": "" if own.aim is None else number(own.aim),
        "address": reverse("table-measured", kwargs={"pk": one.table_id}),
    }


def _place(ruler: Ruler, value: float, way: Any) -> str:
    rail = ruler.rail(value)
    return speak(place_words(way, rail, ruler.point(value), ruler.end(rail)))


def _spoken(asked: Asked, names: dict[str, str], places: dict[str, str]) -> str:
    if asked.answer is None:
        return gettext("No answer: %(why)s") % {"why": " ".join(asked.wrong.values())}
    name = asked.find if asked.by == "numbers" else "aim"
    if name in FIXED.get(asked.system, ""):
        name = "arrival"
    value = asked.seen[name]
    if value is None:
        return ""
    told = {"name": names[name].capitalize(), "value": number(value), "place": places.get(name, "")}
    return (
        gettext("%(name)s %(value)s: %(place)s.") if told["place"] else gettext("%(name)s %(value)s.")
    ) % told


def _route(asked: Asked) -> list[Point]:
    """Return the way of the answer as the player sees it; empty without one."""
    found = asked.answer
    if found is None:
        return []
    way, _first = asked.turned()
    points = {name: None if at is None else way.turn(at) for name, at in found.points.items()}
    cue = asked.balls["cue"] if asked.by == "balls" else None
    own_line = (way.turn(found.line[0]), way.turn(found.line[1]))
    drawn = route(asked.system, points, asked.seen, own_line, None if cue is None else way.turn(cue))
    return [way.turn(at) for at in drawn]


def _on_cloth(at: Point) -> bool:
    return 0 <= at[0] <= WIDTH and 0 <= at[1] <= LENGTH


def _drawing(
    asked: Asked,
    own: Any,
    seen: dict[str, float | None],
    names: dict[str, str],
    places: dict[str, str],
) -> Drawing:
    way, _first = asked.turned()
    found = asked.answer
    by_balls = asked.by == "balls"
    told = [gettext("Table.")]
    told += [
        f"{names[name].capitalize()} {number(seen[name] or 0.0)}: {words}." for name, words in places.items()
    ]
    ball_words = {"cue": gettext("Cue ball"), "ball": gettext("Ball")}
    if by_balls:
        told += [f"{ball_words[ball]}: {at[0]:g}, {at[1]:g}." for ball, at in asked.balls.items() if at]
    return Drawing(
        way=way,
        rulers=own,
        numbers={name: value if own[name].carries(value) else None for name, value in seen.items()},
        names=names,
        places=places,
        held=() if by_balls else asked.free,
        balls={ball: at for ball, at in asked.balls.items() if at and _on_cloth(at)} if by_balls else None,
        ball_names=ball_words,
        marks=None if found is None else found.marks,
        line=None if found is None else found.line,
        route=_route(asked),
        window=None if found is None else found.window,
        label=" ".join(told),
    )
