"""The club's season in numbers: for organisers everything, for anybody else what is published."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from analytics.season import ClubSeason, read_club_season
from scoring.access import Actor
from scoring.models import Club
from scoring.pages.gate import page

from .report_filter import Names, asked_of, choices
from .reporting import answer, csv_file
from .season_sections import averages_listed, high_runs_listed, sections_of


@require_safe
@page
def season(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show what everybody played, of what the filter lets through."""
    club = Club.objects.the_first()
    asked, wrong = asked_of(request, club)
    found = read_club_season(actor, asked, club)
    listed = [one for one in (high_runs_listed(found), averages_listed(found)) if one.rows]
    for one in listed:
        if request.GET.get("csv") == one.name:
            return csv_file(one)
    names = Names(found.competitions, {}, {})
    context = {
        "club": club,
        "found": found,
        "asked": found.asked,
        "given": {name: request.GET.get(name, "") for name in ("since", "until")},
        "wrong": wrong,
        "choices": choices(frozenset(), found.asked, names, club, found.disciplines),
        "high_runs": _rows(found, found.season.high_runs),
        "best_averages": _rows(found, found.season.best_averages),
    }
    return answer(request, "analytics/season.html", context, sections_of(found, actor))


def _rows(found: ClubSeason, rows: Any) -> list[dict[str, Any]]:
    return [
        {
            "player": one.player,
            "name": found.names[one.player],
            "match": one.match,
            "date": one.date,
            "points": one.points,
            "innings": one.innings,
            "high_run": one.high_run,
            "average": found.game.cut(one.points, one.innings),
        }
        for one in rows
    ]
