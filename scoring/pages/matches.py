"""The list of matches, and the page of one."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from scoring import ledger
from scoring.access import Actor, organises_match, visible_matches, writes_match
from scoring.models import Match
from scoring.undecided import awaits_extra

from .gate import match_or_404, may, page
from .reading import OVER, UNDER_WAY, Status, last_rows, show_match
from .standings import match_points
from .words import ended_words, short_name

A_PAGE = 30


@require_safe
@page
def match_list(request: HttpRequest, actor: Actor) -> HttpResponse:
    """List the matches that the reader may see, newest first."""
    seen = visible_matches(actor).shown().prefetch_related("colour_projections")
    choices = [("", gettext("All")), ("now", gettext("Now")), ("next", gettext("Next"))]
    choices.append(("finished", gettext("Finished")))
    if actor.own_players:
        choices.append(("mine", gettext("Mine")))
    chosen = request.GET.get("show", "")
    if chosen not in dict(choices):
        chosen = ""
    found = Paginator(narrowed(seen, chosen, actor).order_by("-pk"), A_PAGE).get_page(request.GET.get("page"))
    context = {
        "choices": choices,
        "chosen": chosen,
        "found": found,
        "matches": [show_match(one, actor) for one in found],
        "may_arrange": may(actor, "match-new"),
    }
    return render(request, "scoring/matches.html", context)


def narrowed(matches: QuerySet[Match], chosen: str, actor: Actor) -> QuerySet[Match]:
    """Return the matches of one of the choices."""
    return {
        "now": lambda: matches.filter(projection__status__in=UNDER_WAY),
        "next": lambda: matches.filter(projection__status=Status.PLANNED),
        "finished": lambda: matches.filter(projection__status__in=OVER),
        "mine": lambda: matches.filter(
            Q(entrant_a__in=actor.own_players) | Q(entrant_b__in=actor.own_players)
        ),
    }.get(chosen, matches.all)()


@require_safe
@never_cache
@page
def match(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show one match; a script keeps it up to date while the match goes on."""
    found = match_or_404(actor, pk)
    shown = show_match(found, actor)
    state = ledger.read_state(found)
    may_write = writes_match(actor, found)
    follow = {
        "match_id": found.pk,
        "api_url": "/api/",
        "seq": state["seq"],
        "names": {str(one.pk): short_name(one, actor) for one in (found.entrant_a, found.entrant_b)},
    }
    context = {
        "match": found,
        "shown": shown,
        "state": state,
        "rows": last_rows(shown),
        "ended": ended_words(state["ended_by"]),
        "may_write": may_write,
        "may_correct": organises_match(actor, found),
        "follow": follow,
        "awarded": match_points(found, actor),
        "awaits_extra": awaits_extra(found),
    }
    return render(request, "scoring/match.html", context)
