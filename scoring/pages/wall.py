"""The wall screen of a competition: tables now, who is called, the standings; read from eight metres.

It hangs where everybody sees it: the standings stand there once they are published, whoever opened
the page. What does not fit on one screen becomes further screens, which the page turns by itself.
"""

from __future__ import annotations

import datetime
from typing import Any

from django.db.models import Max
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from scoring.access import Actor, NotVisible, visible_competitions
from scoring.conducting import read_state
from scoring.models import Competition, Match
from scoring.programme import in_time, matches_of
from scoring.rules.event.entry import State
from scoring.standing import read_standings

from .competition_front import visible_parts
from .competitions import competition_or_404
from .gate import page
from .reading import Shown, Status, show_match
from .words import short_name

# What fits on a screen in letters that are read from eight metres.
TABLES_A_SCREEN = 6
ROWS_A_SCREEN = 7
MOST_CALLS = 2
MOST_TABLES = 24
MOST_ROWS = 35
# A match stays on the screen so long after its last entry.
STAYS = datetime.timedelta(minutes=20)
AN_EVENING = datetime.timedelta(hours=14)


@require_safe
@never_cache
@page
def competition_wall(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show what goes on in a competition."""
    found = competition_or_404(actor, pk, "read")
    sees = visible_parts(actor, found)
    if not (sees["schedule"] or sees["results"] or sees["standings"]):
        raise NotVisible
    return _screen(request, actor, found, sees)


@require_safe
@never_cache
@page
def wall(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show the competition that runs now: the one in which somebody wrote last."""
    since = timezone.now() - AN_EVENING
    running = (
        visible_competitions(actor)
        .select_related("club")
        .filter(matches__projection__last_at__gt=since)
        .annotate(latest=Max("matches__projection__last_at"))
        .order_by("-latest", "-pk")
    )
    for found in running[:10]:
        sees = visible_parts(actor, found)
        if sees["schedule"] or sees["results"] or sees["standings"]:
            return _screen(request, actor, found, sees)
    return render(request, "scoring/wall.html", {"screens": [], "now": timezone.localtime()})


def _screen(request: HttpRequest, actor: Actor, found: Competition, sees: dict[str, bool]) -> HttpResponse:
    screens = [*_tables(found, actor, sees), *_standings(found, actor)]
    context = {
        "competition": found,
        "screens": [one | {"number": at} for at, one in enumerate(screens, 1)],
        "light": request.GET.get("light") == "1",
        "now": timezone.localtime(),
    }
    return render(request, "scoring/wall.html", context)


def _tables(found: Competition, actor: Actor, sees: dict[str, bool]) -> list[dict[str, Any]]:
    """Return the screens of the tables, with who is called below each."""
    playing: list[Shown] = []
    if sees["results"]:
        playing = [show_match(one, actor) for one in _on_tables(found)]
    calls = _calls(found, actor, read_state(found)) if sees["schedule"] else []
    if not playing and not calls:
        return []
    most = TABLES_A_SCREEN
    parts = [playing[at : at + most] for at in range(0, len(playing), most)] or [[]]
    return [
        {
            "kind": "tables",
            "title": gettext("Tables"),
            "tables": [_table(one) for one in part],
            "few": len(part) <= 2,
            "calls": calls,
        }
        for part in parts
    ]


def _on_tables(found: Competition) -> list[Match]:
    """Return what is played now, and what has just ended, by table."""
    under_way = matches_of(found).filter(projection__status__in=(Status.PLAYING, Status.SUSPENDED))
    # What nobody began, a walkover say, was on no table.
    ended = matches_of(found).filter(
        projection__status__in=(Status.OVER, Status.CONFIRMED),
        projection__started_at__isnull=False,
        projection__last_at__gt=timezone.now() - STAYS,
    )
    latest: dict[int | None, Match] = {}
    for one in [
        *under_way.order_by("pk")[:MOST_TABLES],
        *ended.order_by("-projection__last_at")[:MOST_TABLES],
    ]:
        table = one.projection.table_id
        # Two without a table are two; on a table what is played comes before what was.
        latest.setdefault(table if table is not None else -one.pk, one)
    return sorted(latest.values(), key=_by_table)[:MOST_TABLES]


def _by_table(match: Match) -> tuple[bool, int, str, int]:
    table = match.projection.table
    if table is None:
        return (True, 0, "", match.pk)
    return (False, table.number or 0, table.name, match.pk)


def _table(one: Shown) -> dict[str, Any]:
    return {
        "name": one.table or gettext("Match %(number)s") % {"number": one.match.pk},
        "state": one.state_words,
        "over": one.over,
        "sides": one.sides,
        "sets": bool(one.match.format.get("sets_to_win")),
    }


def _calls(found: Competition, actor: Actor, state: State) -> list[dict[str, str]]:
    """Return who is called to a table, the last call first, then who comes next by the schedule."""
    called = state.get("day", {}).get("calls", {})
    order = sorted(called, key=lambda key: -called[key].get("seq", 0))
    waiting = matches_of(found).filter(projection__status=Status.PLANNED)
    if order:
        by_key = {str(one.pk): one for one in waiting.filter(pk__in=[int(key) for key in order[:50]])}
        first = [by_key[key] for key in order[:50] if key in by_key]
    else:
        first = []
    chosen = first[:MOST_CALLS]
    if len(chosen) < MOST_CALLS:
        since = timezone.now() - AN_EVENING
        rest = in_time(waiting.exclude(pk__in=[one.pk for one in chosen]).filter(scheduled_at__gt=since))
        chosen += rest[: MOST_CALLS - len(chosen)]
    names = dict(found.club.tables.values_list("pk", "name")) if first else {}
    return [_call(one, actor, called.get(str(one.pk)), names) for one in chosen]


def _call(match: Match, actor: Actor, call: dict[str, Any] | None, names: dict[int, str]) -> dict[str, str]:
    table = names.get(call["table"], "") if call else (match.table_now.name if match.table_now else "")
    when = match.scheduled_at and timezone.localtime(match.scheduled_at)
    return {
        "to": table,
        "word": gettext("called") if call else "",
        "time": "" if call or when is None else when.strftime("%H:%M"),
        "players": f"{short_name(match.entrant_a, actor)} – {short_name(match.entrant_b, actor)}",
    }


def _standings(found: Competition, actor: Actor) -> list[dict[str, Any]]:
    """Return the screens of the standings, once they are published."""
    if not found.shows("standings"):
        return []
    standings = read_standings(found)
    rows = standings.to_json(actor)[:MOST_ROWS]
    for row in rows:
        row["short"] = short_name(standings.players[row["player"]], actor)
    return [
        {
            "kind": "standings",
            "title": gettext("Standings"),
            "rows": rows[at : at + ROWS_A_SCREEN],
            "provisional": standings.provisional,
        }
        for at in range(0, len(rows), ROWS_A_SCREEN)
    ]
