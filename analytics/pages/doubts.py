"""Entries that can hardly be right, for organisers: each with its reason, and the way to the sheet."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from itertools import groupby
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.formats import number_format
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from analytics.doubting import FLAGS, do_ask_again, do_say_right, looks_at, read_doubts, read_show, reason_of
from analytics.models import Doubt, LookedAt
from analytics.reports.plausible import one_in
from scoring.access import Actor
from scoring.models import Club, Competition
from scoring.pages.gate import page
from scoring.pages.words import speak
from scoring.rules.said import Malformed

from .report_filter import Choice, asked_of

A_PAGE = 50
COLUMNS = (
    "id",
    "match",
    "date",
    "players",
    "about",
    "kind",
    "certain",
    "chance",
    "reason",
    "other",
    "looked_at",
    "looked_by",
)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@page
def doubts(request: HttpRequest, actor: Actor) -> HttpResponse:
    """List the questions, the latest match first; `act` of a form: right, or again."""
    if request.method == "POST":
        return _told(request, actor)
    club = Club.objects.the_first()
    asked, wrong = asked_of(request, club)
    try:
        answered = read_show(request.GET)
    except Malformed as fault:
        answered, wrong = False, wrong | {fault.field: speak(fault.reason)}
    found = read_doubts(asked, club, answered)
    if request.GET.get("csv") == "doubts":
        return _csv(found.rows)
    listed = Paginator(found.rows, A_PAGE).get_page(request.GET.get("page"))
    context = {
        "found": listed,
        "doubts": found,
        "answered": answered,
        "matches": _by_match(list(listed)),
        "asked": asked,
        "given": {name: request.GET.get(name, "") for name in ("since", "until")},
        "wrong": wrong,
        "choices": _choices(asked, answered),
    }
    return render(request, "analytics/doubts.html", context)


def _told(request: HttpRequest, actor: Actor) -> HttpResponse:
    number = request.POST.get("doubt", "")
    if number.isascii() and number.isdigit() and len(number) < 19:
        doubt = get_object_or_404(Doubt, pk=number)
        if request.POST.get("act") == "right":
            do_say_right(doubt, actor.user)
        elif request.POST.get("act") == "again":
            do_ask_again(doubt)
    query = request.GET.urlencode()
    return redirect(reverse("doubts") + (f"?{query}" if query else ""))


def _by_match(rows: Sequence[Doubt]) -> list[dict[str, Any]]:
    looks = looks_at(rows)
    return [
        {"match": group[0].match, "doubts": [_shown(one, looks.get(one.pk)) for one in group]}
        for group in (list(each) for _, each in groupby(rows, key=lambda one: one.match_id))
    ]


def _shown(one: Doubt, look: LookedAt | None) -> dict[str, Any]:
    return {
        "pk": one.pk,
        "who": one.player.full_name if one.player is not None else "",
        "reason": speak(reason_of(one)),
        "certain": one.certain,
        "times": number_format(one_in(one.chance or 0.0), force_grouping=True)
        if one.kind == "twice"
        else None,
        # Flags are settled on the score sheet.
        "answers": one.kind != FLAGS,
        "other": one.other,
        "look": look,
    }


def _choices(asked: Any, answered: bool) -> list[Choice]:
    rows = Competition.objects.order_by("name").values_list("pk", "name")
    cups = [("", gettext("all"), False), *((str(pk), name, pk == asked.competition) for pk, name in rows)]
    shown = [("", gettext("open"), not answered), ("all", gettext("open and answered"), answered)]
    found = [Choice("competition", gettext("Competition"), cups)] if len(cups) > 1 else []
    return [*found, Choice("show", gettext("Questions"), shown)]


def _csv(rows: Any) -> HttpResponse:
    answer = HttpResponse(content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="doubts.csv"'
    writer = csv.writer(answer)
    writer.writerow(COLUMNS)
    for row in rows_of(list(rows)):
        writer.writerow([_harmless(row[name]) for name in COLUMNS])
    return answer


def _harmless(value: Any) -> Any:
    # A spreadsheet must not take a name for a formula.
    return "'" + value if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r") else value


def rows_of(rows: Sequence[Doubt]) -> list[dict[str, Any]]:
    """Return a row a question, as it is answered to programs."""
    looks = looks_at(rows)
    return [
        {
            "id": one.pk,
            "match": one.match_id,
            "date": one.match.projection.started_at or one.match.projection.ended_at,
            "players": ", ".join(player.full_name for player in (one.match.entrant_a, one.match.entrant_b)),
            "about": one.player_id,
            "kind": one.kind,
            "certain": one.certain,
            "chance": one.chance,
            "reason": speak(reason_of(one)),
            "other": one.other_id,
            "looked_at": looks[one.pk].at if one.pk in looks else None,
            "looked_by": _name(looks[one.pk].by) if one.pk in looks else None,
        }
        for one in rows
    ]


def _name(user: Any) -> str | None:
    return None if user is None else user.get_username()
