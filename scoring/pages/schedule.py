"""Who plays when and where, and what came of it: a competition's schedule and its results."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from scoring.access import Actor
from scoring.conducting import read_state
from scoring.models import Match
from scoring.programme import ENDED, in_time, is_disputed, last_first, matches_of, read_schedule, whole
from scoring.undecided import awaits_extra

from .competition_front import reopened, visible_parts
from .competitions import competition_or_404
from .gate import page
from .reading import Shown, Side, is_result_only, known_sums, show_match
from .words import ended_words, short_name

# A page of a printed schedule holds about forty lines.
A_PAGE = 200


@require_safe
@page
def schedule(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show who plays when: by time, by table, or by player."""
    found = competition_or_404(actor, pk, "read")
    choices = [("", gettext("By time")), ("table", gettext("By table")), ("player", gettext("By player"))]
    chosen = request.GET.get("by", "")
    if chosen not in dict(choices):
        chosen = ""
    sees = visible_parts(actor, found)
    if chosen == "player":
        listed = _by_player(read_schedule(found), actor)
        players = Paginator(listed, A_PAGE // 5).get_page(request.GET.get("page"))
        blocks = [_block(name, rows, actor, sees) for name, rows in players]
    else:
        matches = in_time(matches_of(found))
        if chosen == "table":
            matches = matches.order_by(
                "projection__table__number", "projection__table__name", "scheduled_at", "pk"
            )
        pages = Paginator(matches, A_PAGE).get_page(request.GET.get("page"))
        heading = _table_of if chosen == "table" else _day_of
        blocks = [_block(name, list(rows), actor, sees) for name, rows in groupby(pages, key=heading)]
    context = {
        "competition": found,
        "choices": choices,
        "chosen": chosen,
        "blocks": blocks,
        "found": players if chosen == "player" else pages,
        "with_table": chosen != "table",
        "sees": sees,
        "reopened": reopened(found, read_state(found)),
    }
    return render(request, "scoring/competition_schedule.html", context)


def _day_of(match: Match) -> str:
    if match.scheduled_at is None:
        return gettext("Without a time")
    return date_format(timezone.localtime(match.scheduled_at), "DATE_FORMAT")


def _table_of(match: Match) -> str:
    table = match.table_now
    return gettext("Without a table") if table is None else table.name


def _by_player(matches: list[Match], actor: Actor) -> list[tuple[str, list[Match]]]:
    """Return everybody with the matches they are in; a match stands with both."""
    own: dict[int, tuple[str, list[Match]]] = {}
    for match in matches:
        for player in (whole(match.entrant_a), whole(match.entrant_b)):
            own.setdefault(player.pk, (player.shown_name(actor.names_open), []))[1].append(match)
    return sorted(own.values(), key=lambda pair: pair[0].casefold())


def _block(name: str, matches: list[Match], actor: Actor, sees: dict[str, bool]) -> dict[str, Any]:
    return {"name": name, "rows": [_row(one, actor, sees) for one in matches]}


def _row(match: Match, actor: Actor, sees: dict[str, bool]) -> dict[str, Any]:
    one = show_match(match, actor)
    when = match.scheduled_at and timezone.localtime(match.scheduled_at)
    return {
        "one": one,
        "names": [short_name(whole(side.player), actor) for side in one.sides],
        "time": "" if when is None else date_format(when, "TIME_FORMAT"),
        "where": _where(match),
        "score": sees["results"] and (one.over or (one.under_way and sees["sheets"])),
        "state": one.state_words if sees["results"] or not one.over else gettext("over"),
    }


def _where(match: Match) -> str:
    """Return the stage and the group of a match, where it has them."""
    if match.group is None:
        return ""
    names = [match.group.stage.name, match.group.name]
    return ", ".join(dict.fromkeys(one for one in names if one))


@require_safe
@page
def results(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show the matches that are over, the last one first, each with the way to its sheet."""
    found = competition_or_404(actor, pk, "read")
    over = last_first(matches_of(found).filter(projection__status__in=ENDED))
    pages = Paginator(over, A_PAGE).get_page(request.GET.get("page"))
    context = {
        "competition": found,
        "found": pages,
        "rows": [_result(show_match(one, actor), actor) for one in pages],
        "sees": visible_parts(actor, found),
        "reopened": reopened(found, read_state(found)),
    }
    return render(request, "scoring/competition_results.html", context)


def _result(one: Shown, actor: Actor) -> dict[str, Any]:
    ended = one.match.projection.ended_at
    with_sets = bool(one.match.format.get("sets_to_win"))
    innings = max((side.figures.innings for side in one.sides if side.figures), default=0)
    ended_by = one.match.projection.state.get("ended_by")
    how = "" if ended_by == "limit" else ended_words(ended_by)
    if is_result_only(one.match.projection):
        how = gettext("result only") if innings else gettext("result only, innings unknown")
    if awaits_extra(one.match):
        how = gettext("drawn, needs extra innings")
    return {
        "one": one,
        "ended": ended and timezone.localtime(ended),
        "where": _where(one.match),
        "innings": innings,
        "provisional": one.status != "confirmed",
        "protested": is_disputed(one.match),
        "how": how,
        "sides": [_result_side(one, side, with_sets, actor) for side in one.sides],
    }


def _result_side(one: Shown, side: Side, with_sets: bool, actor: Actor) -> dict[str, Any]:
    made = side.figures
    points, high_run = known_sums(one.match, made.score, made.points, made.high_run) if made else (None, None)
    return {
        "name": short_name(whole(side.player), actor),
        "full": whole(side.player).shown_name(actor.names_open),
        "won": side.won,
        "points": points,
        "sets": made.sets if with_sets and made else None,
        "average": side.average,
        "high_run": high_run,
    }
