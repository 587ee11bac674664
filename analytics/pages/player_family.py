"""A family of a player: how it went in matches, what was promised, how it missed at practice, stroke by stroke."""

from __future__ import annotations

from typing import Any

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_safe

from analytics.family import Listed, list_strokes, read_family_report, strokes_of
from analytics.played.asked import Asked
from analytics.report import access_report, read_report
from analytics.reports.played import FAMILY_NAMES
from scoring.access import Actor
from scoring.models import Club, Player
from scoring.pages.gate import page
from scoring.pages.words import family_name, speak

from .family_sections import sections_of
from .player_report import head_of
from .positions import OUTCOMES, addresses
from .report_families import LINES, TOLD
from .report_filter import Names, asked_of, names_of
from .reporting import answer

A_PAGE = 50


@require_safe
@page
def player_family(request: HttpRequest, actor: Actor, pk: int, family: str) -> HttpResponse:
    """Show one family of a player's report."""
    player = get_object_or_404(Player.objects.named(), pk=pk)
    access_report(actor, player, Asked())
    if family not in FAMILY_NAMES:
        raise Http404
    if player.merged_into_id is not None:
        return redirect("player-family", pk=player.merged_into_id, family=family)
    club = Club.objects.the_first()
    asked, wrong = asked_of(request, club)
    report = read_report(player, access_report(actor, player, asked), club)
    names = names_of(actor, report.played.matches)
    found = read_family_report(actor, report, family, club)
    listed = Paginator(range(strokes_of(found)), A_PAGE).get_page(request.GET.get("page"))
    strokes = list_strokes(actor, found, listed.start_index() - 1, A_PAGE) if listed.object_list else []
    context = {
        "name": player.shown_name(actor.names_open),
        "family": family_name(family),
        "found": listed,
        "strokes": [_shown(one, names) for one in strokes],
        **head_of(report, names, club, wrong, request.GET, actor),
    }
    return answer(request, "analytics/family.html", context, sections_of(found))


def _shown(one: Listed, names: Names) -> dict[str, Any]:
    aim, planned = ("", "") if one.stroke is None or one.match is None else addresses(one.stroke, one.match)
    return {
        "match": one.match_id,
        "readable": one.readable,
        "date": one.date,
        "opponent": names.of("opponent", one.opponent),
        "inning": one.inning,
        "outcome": OUTCOMES.get(one.outcome, one.outcome),
        "times": None if one.promised is None else round(100 * one.promised),
        "when": speak(TOLD[one.told]) if one.told else "",
        "line": speak(LINES[one.source]) if one.source else "",
        "aim": aim,
        "planned": planned,
    }
