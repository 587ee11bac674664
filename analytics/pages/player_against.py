"""Two players: head-to-head, how strong both are, and the chance of a match between them."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from analytics.between import Between, Meeting, read_between, read_pair, usual_between
from analytics.known import access_both
from analytics.played.asked import Asked
from analytics.played.reading import ids_of
from analytics.report import disciplines_played
from analytics.wanted import Wanted, read_wanted
from scoring.access import Actor
from scoring.models import Club
from scoring.pages.gate import page
from scoring.pages.reading import show_match
from scoring.pages.words import speak
from scoring.regulations import disciplines_of
from scoring.rules.said import Malformed

from .against_sections import sections_of
from .report_filter import asked_of
from .reporting import answer

# So many matches of the two are listed.
LISTED = 30


@require_safe
@page
def player_against(request: HttpRequest, actor: Actor, pk: int, other: int) -> HttpResponse:
    """Show two players beside one another, and a match between them in a format of the reader's choice."""
    one, two = read_pair(pk, other)
    if (one.pk, two.pk) != (pk, other):
        return redirect("player-against", one.pk, two.pk)
    club = Club.objects.the_first()
    access_both(actor, one, two, Asked())
    asked, wrong = asked_of(request, club)
    asked = Asked(asked.discipline, asked.since, asked.until)
    usual = usual_between(one, two, asked, club)
    try:
        wanted = read_wanted(dict(request.GET.lists()), usual)
    except Malformed as fault:
        wanted, wrong = usual, wrong | {fault.field: speak(fault.reason)}
    between = read_between(actor, one, two, asked, wanted, club)
    context = {
        "between": between,
        "wrong": wrong,
        "given": {name: request.GET.get(name, "") for name in ("since", "until")},
        "disciplines": _disciplines(between, club),
        "meetings": [_listed(met, actor, between) for met in between.met.meetings[:LISTED]],
        "listed": LISTED,
        "totals": [
            (name, total, between.cut(total.points, total.innings))
            for name, total in zip(between.names, between.met.totals, strict=True)
        ],
        "asked": _asked(wanted),
    }
    return answer(request, "analytics/against.html", context, sections_of(between))


def _asked(wanted: Wanted) -> dict[str, Any]:
    """Return the format as the form holds it."""
    return {
        "distance": wanted.distance,
        "equalizing": wanted.equalizing,
        "innings_limit": wanted.innings_limit or "",
        "sets_to_win": wanted.sets_to_win or "",
    }


def _disciplines(between: Between, club: Club) -> list[tuple[str, str, bool]]:
    """Return the disciplines that either has played, and the one shown."""
    games = disciplines_of(club)
    codes = {code: None for player in between.players for code in disciplines_played(ids_of(player))}
    codes |= {between.discipline: None}
    return [
        (code, gettext(games[code].name) if code in games else code, code == between.discipline)
        for code in codes
    ]


def _listed(meeting: Meeting, actor: Actor, between: Between) -> dict[str, Any]:
    """Return a match of the two as the list shows it, the first player's figures first."""
    return {
        "match": meeting.match,
        "shown": show_match(meeting.match, actor),
        "first": meeting.first,
        "second": meeting.second,
        "averages": [
            between.cut(one.points, one.innings) if one.counted else None
            for one in (meeting.first, meeting.second)
        ],
    }
