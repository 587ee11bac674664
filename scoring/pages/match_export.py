"""The matches of a competition for a federation: which columns, and the file. What is chosen stands in the address."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.text import slugify
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from scoring.access import Actor, access_competition
from scoring.match_csv import COLUMNS, MARKS, SEPARATORS, Shape, write_csv
from scoring.models import Competition, ExternalNumber, MatchProjection

from .gate import page
from .words import speak

MOST_SIGNS = 60


@require_safe
@page
def competition_export(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Offer the columns, or answer the file where `file` is asked for."""
    competition = get_object_or_404(Competition, pk=pk)
    access_competition(actor, competition, "manage")
    shape = _shape(request.GET)
    if "file" in request.GET:
        answer = HttpResponse(
            write_csv(competition, shape).encode("utf-8-sig"), content_type="text/csv; charset=utf-8"
        )
        name = slugify(competition.name) or "matches"
        answer["Content-Disposition"] = f'attachment; filename="{name}.csv"'
        return answer
    order = {name: place for place, name in enumerate(shape.columns, 1)}
    columns = [
        {
            "name": name,
            "label": speak(label).capitalize(),
            "place": order.get(name, ""),
            "head": (shape.heads or {}).get(name, ""),
        }
        for name, (label, _cell) in COLUMNS.items()
    ]
    signs = {"semicolon": gettext("semicolon"), "comma": gettext("comma"), "tab": gettext("tab")}
    marks = {"comma": gettext("comma: 1,250"), "point": gettext("point: 1.250")}
    context = {
        "competition": competition,
        "columns": columns,
        "separators": [(one, signs[one], one == shape.separator) for one in SEPARATORS],
        "marks": [(one, marks[one], one == shape.mark) for one in MARKS],
        "issuer": shape.issuer,
        "issuers": ExternalNumber.objects.order_by("issuer").values_list("issuer", flat=True).distinct(),
        "count": competition.matches.filter(projection__status=MatchProjection.Status.CONFIRMED).count(),
    }
    return render(request, "scoring/match_export.html", context)


def _shape(asked: Any) -> Shape:
    """Return what an address asks for; without a place for any column, all of them."""
    places = {}
    heads = {}
    for name in COLUMNS:
        place = asked.get(f"place-{name}", "")
        if place.isascii() and place.isdigit() and 0 < int(place[:4]) < 1000:
            places[name] = int(place[:4])
        head = " ".join(asked.get(f"head-{name}", "").replace("\0", "").split())[:MOST_SIGNS]
        if head:
            heads[name] = head
    order = {name: place for place, name in enumerate(COLUMNS)}
    columns = tuple(sorted(places, key=lambda name: (places[name], order[name]))) or tuple(COLUMNS)
    separator, mark = asked.get("separator"), asked.get("mark")
    return Shape(
        columns,
        heads,
        separator if separator in SEPARATORS else "semicolon",
        mark if mark in MARKS else "comma",
        asked.get("issuer", "").replace("\0", "")[:MOST_SIGNS],
    )
