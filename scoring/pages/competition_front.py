"""The front page of a competition: for visitors what is published, for organisers what is to do now."""

from __future__ import annotations

import uuid as uuids
from typing import Any

from django.db.models import Count, Q, Sum
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_safe

from scoring.access import Actor, NotVisible, access_competition, runs_competition
from scoring.conducting import read_state
from scoring.models import Competition, MatchProjection
from scoring.programme import TO_COME, in_time, last_first, matches_of
from scoring.publishing import read_notice, whys
from scoring.regulations import disciplines_of, find_rule_set
from scoring.rules.event.entrants import IN
from scoring.rules.event.entry import State
from scoring.rules.formats import complete_format
from scoring.standing import read_standings

from .competition_parts import address_of, parts_of
from .competitions import competition_or_404, game_name
from .gate import may, page
from .reading import OVER, Status, show_match
from .regulations import format_words

MOST_STANDINGS = 5
MOST_MATCHES = 6


@require_safe
@page
def front(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show a competition: what the reader may see of it, and to organisers what is to do."""
    found = competition_or_404(actor, pk, "read")
    state = read_state(found)
    game = disciplines_of(found.club).get(found.discipline)
    agreed = complete_format(None, found.format_defaults, game) if game else {}
    manages = actor.organises(found.club_id, found.pk)
    sees = visible_parts(actor, found)
    context = {
        "competition": found,
        "discipline": game_name(disciplines_of(found.club), found),
        "format": format_words(agreed) if agreed else [],
        "rule_set": gettext(find_rule_set(found.club, found.rule_set or None).name),
        "sees": sees,
        "manages": manages,
        "may_arrange": may(actor, "match-new"),
        "parts": parts_of(found, actor),
        "to_do": to_do(found, state) if manages else [],
        "notice": read_notice(found, state),
        "reopened": reopened(found, state),
        "permanent": request.build_absolute_uri(reverse("competition-permanent", args=[found.uuid])),
        **_shown(found, actor, sees),
    }
    return render(request, "scoring/competition.html", context)


def visible_parts(actor: Actor, competition: Competition) -> dict[str, bool]:
    """Return for each part whether `actor` sees it."""
    runs = runs_competition(actor, competition)
    names = ("standings", "schedule", "bracket", "results", "sheets", "prizes")
    return {name: runs or competition.shows(name) for name in names}


def _shown(competition: Competition, actor: Actor, sees: dict[str, bool]) -> dict[str, Any]:
    """Return the top of the standings, what comes next and what was played last, as far as it is seen."""
    found: dict[str, Any] = {"standings": [], "coming": [], "last": []}
    if sees["standings"]:
        standings = read_standings(competition)
        found |= {
            "standings": standings.to_json(actor)[:MOST_STANDINGS],
            "provisional": standings.provisional,
        }
    if sees["schedule"]:
        coming = in_time(matches_of(competition).filter(projection__status__in=TO_COME), playing_first=True)
        found["coming"] = [show_match(one, actor) for one in coming[:MOST_MATCHES]]
    if sees["results"]:
        last = last_first(matches_of(competition).filter(projection__status__in=OVER))
        found["last"] = [show_match(one, actor) for one in last[:MOST_MATCHES]]
    return found


def reopened(competition: Competition, state: State) -> list[dict[str, Any]]:
    """Return when and why a competition was opened again; it is told to everybody from then on."""
    times = state["publication"]["reopened"]
    if not times:
        return []
    reasons = whys(competition, "reopen")
    return [{"at": parse_datetime(one["at"]), "why": reasons.get(one["seq"], "")} for one in times]


def to_do(competition: Competition, state: State) -> list[dict[str, str]]:
    """Return what an organiser does next, the most pressing first: sentence, button, address."""
    count = MatchProjection.objects.filter(match__competition=competition).aggregate(
        all=Count("pk"),
        planned=Count("pk", filter=Q(status=Status.PLANNED)),
        playing=Count("pk", filter=Q(status__in=(Status.PLAYING, Status.SUSPENDED))),
        over=Count("pk", filter=Q(status=Status.OVER)),
        flags=Sum("flag_count"),
    )
    pk = competition.pk
    entrants = sum(one["status"] in IN for one in state["entrants"].values())
    found: list[tuple[str, str, str]] = []
    if competition.closed_at is not None:
        return []
    if not count["all"] and not entrants:
        found.append((gettext("Nobody is entered yet."), gettext("Enter players"), "competition-entrants"))
    elif not count["all"]:
        words = ngettext("%(n)s player is entered.", "%(n)s players are entered.", entrants)
        found.append((words % {"n": entrants}, gettext("Draw"), "competition-stages"))
    if count["playing"] or count["planned"]:
        words = gettext("%(playing)s being played, %(planned)s to come.") % count
        found.append((words, gettext("Run the day"), "competition-day"))
    if count["over"]:
        words = ngettext(
            "%(n)s match is over and to be confirmed.", "%(n)s matches are over and to be confirmed.",
            count["over"],
        )  # fmt: skip
        found.append((words % {"n": count["over"]}, gettext("To the results"), "competition-results"))
    if count["flags"]:
        words = ngettext("%(n)s open flag.", "%(n)s open flags.", count["flags"])
        found.append((words % {"n": count["flags"]}, gettext("To the results"), "competition-results"))
    if not competition.published:
        words = gettext("Not published: its organisers and referees read it, and players their own matches.")
        found.append((words, gettext("Publish"), "competition-publish"))
    elif competition.withheld:
        words = gettext("Published in part.")
        found.append((words, gettext("Publish more"), "competition-publish"))
    if count["all"] and not (count["planned"] or count["playing"] or count["over"]):
        words = gettext("Every match is confirmed.")
        found.append((words, gettext("Close the competition"), "competition-close"))
    ways = [{"words": words, "button": button, "url": address_of(name, pk)} for words, button, name in found]
    return [one for one in ways if one["url"]]


PERMANENT = {
    "standings": "competition-standings",
    "schedule": "competition-schedule",
    "results": "competition-results",
    "bracket": "competition-bracket",
    "groups": "competition-groups",
    "prizes": "competition-prizes",
    "wall": "competition-wall",
    "verify": "competition-verify",
}


@require_safe
@page
def permanent(request: HttpRequest, actor: Actor, uuid: uuids.UUID, part: str = "") -> HttpResponse:
    """Lead from the address that never changes to the page it is about."""
    found = Competition.objects.filter(uuid=uuid).first()
    if found is None:
        raise NotVisible
    access_competition(actor, found, "read")
    url = address_of(PERMANENT.get(part, ""), found.pk) if part else reverse("competition", args=[found.pk])
    if not url:
        raise NotVisible
    return redirect(url)
