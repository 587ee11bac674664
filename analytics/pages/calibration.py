"""Calibration: did the promises hold? Of a player, of a table, of the club."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from analytics.calibration import Calibration, of_club, of_player, practice_open
from analytics.played.asked import Asked
from analytics.report import access_report, read_report
from scoring.access import Actor
from scoring.models import Club, Competition, Player, PlayTable
from scoring.pages.gate import page
from scoring.regulations import disciplines_of

from .calibration_sections import deserved, sections_of
from .player_report import head_of
from .report_filter import Choice, asked_of, names_of
from .reporting import answer

TEMPLATE = "analytics/calibration.html"


@require_safe
@page
def player_calibration(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show what came of the promises of a player's strokes."""
    player = get_object_or_404(Player.objects.named(), pk=pk)
    if player.merged_into_id is not None:
        return redirect("player-calibration", pk=player.merged_into_id)
    club = Club.objects.the_first()
    access_report(actor, player, Asked())
    asked, wrong = asked_of(request, club)
    report = read_report(player, access_report(actor, player, asked), club)
    names = names_of(actor, report.played.matches)
    found = of_player(report, actor)
    context = {
        "name": player.shown_name(actor.names_open),
        **head_of(report, names, club, wrong, request.GET, actor),
        **words_of(found),
        "practice_left_out": found.practice is None and practice_open(actor, player),
    }
    return answer(request, TEMPLATE, context, sections_of(found))


@require_safe
@page
def table_calibration(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show what came of the promises of all strokes at a table."""
    table = get_object_or_404(PlayTable, pk=pk)
    return _of_many(request, Club.objects.the_first(), table)


@require_safe
@page
def calibration(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show what came of the promises of all strokes of the club."""
    return _of_many(request, Club.objects.the_first(), None)


def _of_many(request: HttpRequest, club: Club, table: PlayTable | None) -> HttpResponse:
    asked, wrong = asked_of(request, club)
    if table is not None:
        asked = replace(asked, table=table.pk)
    found, codes = of_club(asked, club)
    context = {
        "table": table,
        "found": found,
        # The table is the page's own: it narrows nothing.
        "asked": found.asked if table is None else replace(found.asked, table=None),
        "given": {name: request.GET.get(name, "") for name in ("since", "until")},
        "wrong": wrong,
        "choices": _choices(found, codes, club, table),
        **words_of(found),
    }
    return answer(request, TEMPLATE, context, sections_of(found))


def words_of(found: Calibration) -> dict[str, Any]:
    """Return what leads the page."""
    return {"deserved": deserved(found), "strokes": found.strokes}


def _choices(found: Calibration, codes: list[str], club: Club, table: PlayTable | None) -> list[Choice]:
    games, asked = disciplines_of(club), found.asked
    if asked.discipline is not None and asked.discipline not in codes:
        codes = [*codes, asked.discipline]
    listed = [
        (code, gettext(games[code].name) if code in games else code, code == asked.discipline)
        for code in codes
    ]
    cups = Competition.objects.filter(matches__predictions_followed__kept__gt=0).distinct()
    found_cups = sorted(cups.values_list("pk", "name"), key=lambda one: one[1])
    fields = [
        Choice("discipline", gettext("Discipline"), listed),
        Choice("competition", gettext("Competition"), _with_all(found_cups, asked.competition)),
    ]
    if table is None:
        tables = [(one.pk, one.name) for one in PlayTable.objects.order_by("name")]
        fields.append(Choice("table", gettext("Table"), _with_all(tables, asked.table)))
    return fields


def _with_all(options: list[tuple[int, str]], chosen: int | None) -> list[tuple[str, str, bool]]:
    return [("", gettext("all"), False), *((str(pk), name, pk == chosen) for pk, name in options)]
