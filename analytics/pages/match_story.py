"""The story of a match: its runs, the lead, and the chance to win through it."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from analytics.match_story import read_story
from scoring.access import Actor
from scoring.pages.gate import match_or_404, page
from scoring.pages.reading import show_match

from .reporting import answer
from .story_sections import sections_of


@require_safe
@page
def match_story(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show the story of a match, as the reader may know its players."""
    match = match_or_404(actor, pk)
    told = read_story(match, actor)
    context = {
        "match": match,
        "shown": show_match(match, actor),
        "players": [one.player for one in told.known],
        "compares": actor.organises_a_club() or not actor.own_players.isdisjoint(match.entrant_ids),
    }
    return answer(request, "analytics/story.html", context, sections_of(told))
