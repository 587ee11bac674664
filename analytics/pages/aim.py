"""Aim: a layout in, the lines that make the point out, each with how likely it is.

The question stands in the query string. The lines are found by `POST /api/aim/`, and the
two that are compared are drawn from what `POST /api/shots/` answers of their strikes.
"""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from analytics.spreads import REFERENCE, Presumed, presumed
from scoring.access import Actor
from scoring.models import Club
from scoring.pages.gate import page
from scoring.pages.words import family_name
from scoring.regulations import disciplines_of
from scoring.rules.contacts import BALLS
from scoring.rules.families import FAMILIES

from .asked import asked_of, spread_of, to_json
from .stroke import USUAL, fields_of, served, table_choices, tables_data

PARTS = (
    ("planned", _("made as planned")),
    ("luck", _("made another way: luck")),
    ("kiss", _("spoilt by a kiss")),
    ("missed", _("missed")),
)


@require_safe
@page
def aim(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show the table and the layout of the query string."""
    disciplines, tables = disciplines_of(Club.objects.the_first()), table_choices()
    sizes = {one["value"]: one["size"] for one in tables}
    asked = asked_of(request.GET, disciplines, sizes, USUAL, tables[0]["value"])
    own = presumed(actor.own_players) if actor.own_players else Presumed(REFERENCE)
    spread = spread_of(request.GET, own.spread, asked.wrong)
    context = fields_of(asked, disciplines, tables) | {
        "spread": spread,
        "spreads": _spreads(),
        "own": own if own.average is not None or own.strokes else None,
        "parts": PARTS,
        "aim_data": {
            "asked": to_json(asked) | {"spread": spread},
            "whole": not asked.wrong and all(ball in request.GET for ball in BALLS),
            "api": served("api-aim"),
            "shots": served("api-shots"),
            "stray": served("api-aim-stray"),
            "leaves": served("api-aim-leaves"),
            "stroke": served("stroke"),
            "families": {code: family_name(code) for code in FAMILIES},
            "tables": tables_data(tables),
        },
    }
    return render(request, "analytics/aim.html", context)


def _spreads() -> list[tuple[str, str]]:
    """Return spreads to choose from, each with the average it goes with on random positions."""
    from analytics.aim.lines.players import AVERAGES

    return [(f"{spread:g}", f"{average:.1f}") for spread, average in AVERAGES.items()]
