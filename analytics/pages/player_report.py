"""A player's report: what pays, how runs fall, and how well the averages are known."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_safe

from analytics.doubting import how_many_about
from analytics.played.asked import Asked
from analytics.played.reading import ids_of
from analytics.report import Report, access_report, read_report
from scoring.access import Actor
from scoring.models import Club, Player
from scoring.pages.gate import may, page

from .report_filter import Names, asked_of, choices, names_of, span_of
from .report_sections import sections_of
from .reporting import answer

# So many opponents are offered for a look at both.
BESIDE = 8


@require_safe
@page
def player_report(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show the report of a player, of what the filter lets through."""
    player = get_object_or_404(Player.objects.named(), pk=pk)
    if player.merged_into_id is not None:
        return redirect("player-report", pk=player.merged_into_id)
    club = Club.objects.the_first()
    access_report(actor, player, Asked())
    asked, wrong = asked_of(request, club)
    report = read_report(player, access_report(actor, player, asked), club)
    names = names_of(actor, report.played.matches)
    context = {
        "name": player.shown_name(actor.names_open),
        "own": player.pk in actor.own_players,
        "beside": beside(actor, player, report, names),
        **head_of(report, names, club, wrong, request.GET, actor),
    }
    return answer(request, "analytics/report.html", context, sections_of(report, names))


def beside(actor: Actor, player: Player, report: Report, names: Names) -> list[tuple[int, str]]:
    """Return the opponents whom the reader may see beside the player, the most played first."""
    if not (actor.organises_a_club() or player.pk in actor.own_players):
        return [(pk, names.of("opponent", pk)) for pk in sorted(names.opponent) if pk in actor.own_players]
    met = report.played.matches["opponent"].value_counts()
    return [(int(pk), names.of("opponent", int(pk))) for pk in met.index[:BESIDE]]


def head_of(
    report: Report, names: Names, club: Club, wrong: dict[str, str], given: Any, actor: Actor
) -> dict[str, Any]:
    """Return what stands on top of every page of a player's figures: what they are about, and when."""
    asked = report.asked
    return {
        "player": report.player,
        "report": report,
        "asked": asked,
        "given": {name: given.get(name, "") for name in ("since", "until")},
        "wrong": wrong,
        "choices": choices(ids_of(report.player), asked, names, club),
        "span": span_of(report.played.matches),
        "matches": len(report.played.matches),
        "innings": report.running.innings,
        "pending": report.form.pending,
        "flagged": flagged(report),
        "doubted": how_many_about(report.players, report.played.matches["match"].tolist()),
        "may_check": may(actor, "doubts"),
    }


def flagged(report: Report) -> int:
    """Return how many strokes carry an open flag; they stay in every figure."""
    from analytics.reports.played import FLAGGED

    return int((report.played.strokes["bits"] & FLAGGED > 0).sum())
