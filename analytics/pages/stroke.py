"""Try a stroke: lay the balls, aim, strike, and see it run.

The whole question stands in the query string, so an address is a stroke to keep. The
stroke is worked out by `POST /api/shots/`; the page's script draws what it is answered.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from analytics.tables import parameters_of, play_tables
from scoring.access import Actor
from scoring.models import Club
from scoring.pages.gate import page
from scoring.pages.words import ball_name, family_name
from scoring.regulations import disciplines_of, rule_sets_of
from scoring.rules.contacts import BALLS, CUE_BALLS
from scoring.rules.families import FAMILIES
from scoring.rules.rulesets import DEFAULT
from scoring.rules.said import Malformed

from .asked import LENGTH, WIDTH, Asked, Size, asked_of, to_json

if TYPE_CHECKING:
    from analytics.table.parameters import TableParameters
    from scoring.rules.disciplines import Discipline

USUAL = "three-cushion"
MOST_TABLES = 200
# How hard, in the trade's words [m/s] (Alciatore's page on typical shot speeds).
SPEEDS = (("1.3", _("slow")), ("3.1", _("medium")), ("5.4", _("fast")), ("7.5", _("power")))


# What may be chosen beside the tables of the club, by preset.
SIZES = {
    "match-heated": _("any match table, 2.84 by 1.42 m, heated"),
    "club": _("any match table, not heated"),
    "small-230": _("any table of 2.30 by 1.15 m"),
    "small-210": _("any table of 2.10 by 1.05 m"),
}


def table_choices() -> list[dict[str, Any]]:
    """Return the tables one may choose: value, label, what the API is sent, and the size.

    A table whose size is not known, or whose own values cannot be used, is left out.
    """
    from analytics.table.parameters import PRESETS

    usual = asdict(PRESETS["match-heated"])
    found = [
        {
            "value": code,
            "label": label,
            "send": {"overrides": {k: v for k, v in asdict(PRESETS[code]).items() if v != usual[k]}},
            "size": _size(PRESETS[code]),
        }
        for code, label in SIZES.items()
    ]
    for row in play_tables()[:MOST_TABLES]:
        try:
            size = _size(parameters_of(row))
        except Malformed:
            continue
        found.append({"value": str(row.pk), "label": row.name, "send": row.pk, "size": size})
    return found


def _size(table: TableParameters) -> Size:
    return Size(table.table_width / WIDTH, table.table_length / LENGTH, table.radius)


@require_safe
@page
def stroke(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show the table and the stroke of the query string."""
    club = Club.objects.the_first()
    disciplines, rule_sets = disciplines_of(club), rule_sets_of(club)
    tables = table_choices()
    sizes = {one["value"]: one["size"] for one in tables}
    asked = asked_of(request.GET, disciplines, sizes, USUAL, tables[0]["value"])
    context = fields_of(asked, disciplines, tables) | {
        "speeds": SPEEDS,
        "stroke_data": {
            "asked": to_json(asked),
            "whole": asked.whole,
            "api": served("api-shots"),
            "disciplines": {code: one.to_json() for code, one in disciplines.items()},
            "rule_set": rule_sets[DEFAULT].to_json(),
            "families": {code: family_name(code) for code in FAMILIES},
            "tables": tables_data(tables),
        },
    }
    return render(request, "analytics/stroke.html", context)


def fields_of(
    asked: Asked, disciplines: Mapping[str, Discipline], tables: list[dict[str, Any]]
) -> dict[str, Any]:
    """Return what the fields of a layout, a discipline and a table need to be drawn."""
    names = _field_names()
    return {
        "asked": asked,
        "wrong": [(field, names[field], why) for field, why in asked.wrong.items()],
        "balls": [(ball, ball_name(ball), *asked.layout[ball]) for ball in BALLS],
        "cue_balls": [(code, ball_name(code)) for code in CUE_BALLS],
        "disciplines": [(code, gettext(one.name)) for code, one in disciplines.items()],
        "tables": tables,
        "notes_url": served("docs-simulator"),
    }


def tables_data(tables: list[dict[str, Any]]) -> dict[str, Any]:
    """Return of each table what a page's script sends and must know of its size."""
    return {one["value"]: {"send": one["send"], **vars(one["size"])} for one in tables}


def _field_names() -> dict[str, str]:
    return {ball: ball_name(ball) for ball in BALLS} | {
        "cue": gettext("Cue ball"),
        "direction": gettext("Direction"),
        "speed": gettext("Speed"),
        "side": gettext("Side"),
        "height": gettext("Height"),
        "discipline": gettext("Discipline"),
        "table": gettext("Table"),
        "spread": gettext("Spread"),
    }


def served(name: str) -> str:
    """Return the address of a name, empty where it is not served."""
    try:
        return reverse(name)
    except NoReverseMatch:
        return ""
