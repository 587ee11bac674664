"""The counter of a competition's day, and the list of calls for the room."""

from __future__ import annotations

import datetime
from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from scoring.access import Actor
from scoring.day_plan import read_day, tables_of
from scoring.day_shapes import Day
from scoring.ledger import Author
from scoring.models import Competition, PlayTable
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed, said
from scoring.running import do_act

from .competitions import competition_or_404
from .day_rows import Rows
from .day_timeline import draw, listed
from .day_words import clock, end_words, side_words
from .gate import page
from .words import short_name, speak

# Fields that are numbers, and those that are lists of numbers.
NUMBERS = ("match", "table", "referee", "absent")
LISTS = ("tables", "players")
TEXTS = ("why",)
# What fits on the screen of the room.
MOST_CALLED, MOST_NEXT = 8, 6


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@page
def day(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show the counter, or do what was asked at it and show it again."""
    found = competition_or_404(actor, pk, "manage")
    refused = None
    if request.method == "POST":
        refused = _act(request.POST, found, actor)
        if refused is None:
            row = request.POST.get("row", "")
            return redirect(reverse("competition-day", args=[pk]) + (f"#{row}" if row.isalnum() else ""))
    return render(
        request,
        "scoring/day.html",
        _counter(read_day(found), actor, "all" in request.GET) | {"refused": refused},
    )


def _act(sent: QueryDict, competition: Competition, actor: Actor) -> dict[str, Any] | None:
    """Do it; return what is to be mended, beside which row."""
    author = Author(user_id=actor.user.pk if actor.user is not None else None, organises=True)
    try:
        do_act(competition, sent.get("act", ""), _fields(sent), author)
    except (Refused, Malformed) as error:
        sentence = speak(error.reason)
        return {
            "row": sent.get("row", ""),
            "act": sent.get("act", ""),
            "sentence": sentence[:1].upper() + sentence[1:],
            "why": sent.get("why", ""),
        }
    return None


def _fields(sent: QueryDict) -> dict[str, Any]:
    fields: dict[str, Any] = {}
    for name in NUMBERS:
        value = sent.get(name, "")
        if value:
            fields[name] = _number(value, name)
    act = sent.get("act")
    for name, of in zip(LISTS, ("tables-in-use", "referees"), strict=True):
        if act == of:
            fields[name] = [_number(value, name) for value in sent.getlist(name)]
    for name in TEXTS:
        value = sent.get(name, "").strip()
        if value:
            fields[name] = value
    if sent.get("anyway"):
        fields["anyway"] = True
    for name in ("at", "until"):
        hour = sent.get(name, "")
        if hour:
            fields[name] = _hour(hour, name)
    if act in ("table-out", "walkover") and "why" not in fields:
        raise Malformed("why", said("Say why; everybody who asks later will read it."))
    return fields


def _number(value: str, name: str) -> int:
    if not value.isascii() or not value.isdigit() or len(value) > 9:
        raise Malformed(name, said("Choose one of the list."))
    return int(value)


def _hour(value: str, name: str) -> str:
    """Return the moment of an hour of today, "14:30"; one long past is of tomorrow."""
    try:
        hour = datetime.time.fromisoformat(value)
    except ValueError:
        raise Malformed(name, said("Write the hour as 14:30.")) from None
    now = timezone.localtime()
    at = now.replace(hour=hour.hour, minute=hour.minute, second=0, microsecond=0)
    if at < now - datetime.timedelta(hours=12):
        at += datetime.timedelta(days=1)
    return at.isoformat()


def _counter(found: Day, actor: Actor, whole: bool = False) -> dict[str, Any]:
    told = found.state["day"]
    chosen = set(told["tables"]) or {one.table.pk for one in found.tables}
    named = {pk: one.shown_name(actor.names_open) for pk, one in found.people.items()}
    in_order = sorted(named, key=lambda pk: (named[pk].casefold(), pk))
    club = tables_of(found.competition, found.state) if not told["tables"] else _all_tables(found)
    return Rows(found, actor, whole).context() | {
        "competition": found.competition,
        "day": found,
        "now": clock(found.now),
        "ends": end_words(found),
        "began": told["opened"] is not None,
        "ended": told["ended"] is not None,
        "undrawn": any(
            one["draw"] is None and one["kind"] in DRAWN for one in found.state["stages"].values()
        ),
        "drawing": draw(found, actor),
        "planned": listed(found, actor),
        "choices": [{"pk": one.pk, "name": one.name, "chosen": one.pk in chosen} for one in club],
        "players": [{"pk": pk, "name": named[pk], "chosen": pk in told["referees"]} for pk in in_order],
        "entrants_url": _address("competition-entrants", found.competition.pk),
        "wall_url": _address("competition-wall", found.competition.pk),
        "default_why": gettext("did not appear when called"),
    }


DRAWN = frozenset({"round-robin", "groups", "knockout"})


def _all_tables(found: Day) -> list[PlayTable]:
    return list(PlayTable.objects.filter(club=found.competition.club_id))


def _address(name: str, pk: int) -> str:
    try:
        return reverse(name, args=[pk])
    except NoReverseMatch:
        return ""


@require_safe
@never_cache
@page
def calls(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show the room who is called to which table, and who comes next.

    It hangs where everybody sees it: names are as outsiders see them, whoever opened the page.
    """
    competition = competition_or_404(actor, pk, "read")
    actor = Actor()
    found = read_day(competition)
    called = [
        _room(line, found, actor) for one in found.tables for line in one.lines if line.state == "called"
    ]
    next_up = [
        {
            "sides": side_words(slot.what, actor, found.people),
            "table": slot.table.name if slot.table else "",
            "when": clock(max(slot.start, found.now), found.now),
        }
        for slot in found.slots
        if not slot.locked
    ]
    context = {
        "competition": competition,
        "called": called[:MOST_CALLED],
        "next": next_up[: max(2, MOST_NEXT - len(called))],
        "more": max(0, len(called) - MOST_CALLED),
        "now": clock(found.now),
    }
    return render(request, "scoring/calls.html", context)


def _room(line: Any, found: Day, actor: Actor) -> dict[str, Any]:
    names = {one.table.pk: one.table.name for one in found.tables}
    return {
        "sides": side_words(line, actor, found.people),
        "table": names.get(line.table, ""),
        "referee": "" if line.referee is None else short_name(line.referee, actor),
        "when": clock(line.called_at, found.now),
        "at": line.called_at,
    }
