"""Entries that can hardly be right, for organisers: each with its reason and the way to the sheet."""

from __future__ import annotations

import csv
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from analytics.doubting import Doubted, Doubts, read_doubts
from analytics.played.asked import Asked
from scoring.access import Actor
from scoring.models import Club, Competition
from scoring.pages.gate import page
from scoring.pages.words import speak

from .report_filter import Choice, asked_of

A_PAGE = 50
COLUMNS = ("match", "date", "players", "about", "kind", "certain", "chance", "reason")


@require_safe
@page
def doubts(request: HttpRequest, actor: Actor) -> HttpResponse:
    """List the matches that are to be asked about, the latest first."""
    club = Club.objects.the_first()
    asked, wrong = asked_of(request, club)
    found = read_doubts(asked, club)
    if request.GET.get("csv") == "doubts":
        return _csv(found)
    listed = Paginator(found.matches, A_PAGE).get_page(request.GET.get("page"))
    context = {
        "found": listed,
        "doubts": found,
        "matches": [_shown(one) for one in listed],
        "asked": found.asked,
        "given": {
            "since": found.asked.since.isoformat() if found.asked.since else "",
            "until": found.asked.until.isoformat() if found.asked.until else "",
        },
        "wrong": wrong,
        "choices": _choices(asked),
    }
    return render(request, "analytics/doubts.html", context)


def _shown(one: Doubted) -> dict[str, Any]:
    names = {player.pk: player.full_name for player in (one.match.entrant_a, one.match.entrant_b)}
    return {
        "match": one.match,
        "names": [*names.values()],
        "doubts": [
            {"who": names.get(player or 0, ""), "reason": speak(doubt.reason), "certain": doubt.certain}
            for player, doubt in one.doubts
        ],
    }


def _choices(asked: Asked) -> list[Choice]:
    rows = Competition.objects.order_by("name").values_list("pk", "name")
    options = [("", "–", False), *((str(pk), name, pk == asked.competition) for pk, name in rows)]
    return [Choice("competition", speak("Competition"), options)] if len(options) > 1 else []


def _csv(found: Doubts) -> HttpResponse:
    answer = HttpResponse(content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="doubts.csv"'
    writer = csv.writer(answer)
    writer.writerow(COLUMNS)
    for row in rows_of(found):
        writer.writerow([row[name] for name in COLUMNS])
    return answer


def rows_of(found: Doubts) -> list[dict[str, Any]]:
    """Return a row a question, as it is answered to programs."""
    return [
        {
            "match": one.match.pk,
            "date": one.match.played_at,
            "players": ", ".join(player.full_name for player in (one.match.entrant_a, one.match.entrant_b)),
            "about": player,
            "kind": doubt.kind,
            "certain": doubt.certain,
            "chance": doubt.chance,
            "reason": speak(doubt.reason),
        }
        for one in found.matches
        for player, doubt in one.doubts
    ]
