"""What to practise next: what each family would add to the average, and a session of it to begin."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from typing import Any

from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.text import capfirst
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from analytics.played.asked import Asked
from analytics.practice_advice import Practise, plan_of, read_practise
from analytics.report import Report, access_report, read_report
from analytics.reports.practising import Block
from scoring.access import Actor, NotVisible
from scoring.models import Club, Player, PracticePosition
from scoring.pages.gate import page
from scoring.pages.words import family_name
from scoring.positions import name_of
from scoring.practice_rights import coaches_player, visible_positions
from scoring.practising import do_begin_session

from .player_report import head_of
from .practise_sections import sections_of
from .report_filter import asked_of, names_of
from .reporting import answer

_LARGEST_SEED = 2**31


@require_http_methods(["GET", "HEAD", "POST"])
@page
def player_practise(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show what to practise next; a player begins the proposed session."""
    player = get_object_or_404(Player.objects.named(), pk=pk)
    if player.merged_into_id is not None:
        return redirect("player-practise", pk=player.merged_into_id)
    club = Club.objects.the_first()
    access_report(actor, player, Asked())
    asked, wrong = asked_of(request, club)
    report = read_report(player, access_report(actor, player, asked), club)
    own = player.pk in actor.own_players
    # Attempts at practice are the player's, and an agreed coach's; organisers do not open them.
    practice = own or coaches_player(actor, player)
    seed = _seed(request)
    advice = read_practise(report, seed, practice)
    positions = list(_positions(actor, report))
    plan = plan_of(advice.session.blocks, positions, seed) if advice.session else []
    if request.method == "POST":
        return _begin(actor, report, advice, plan, club)
    names = names_of(actor, report.played.matches)
    context = {
        "name": player.shown_name(actor.names_open),
        "own": own,
        "practice": practice,
        "seed": seed,
        "plan": _shown(plan, positions),
        "session": advice.session,
        "reached": _reached(advice.session.blocks) if advice.session else [],
        **head_of(report, names, club, wrong, request.GET, actor),
    }
    return answer(request, "analytics/practise.html", context, sections_of(report, advice, practice))


def _seed(request: HttpRequest) -> int:
    """Return the seed of the proposal: that of the address, so that a link shows the same session."""
    text = (request.POST if request.method == "POST" else request.GET).get("seed", "")
    if text.isascii() and text.isdigit() and len(text) < 11:
        return int(text) % _LARGEST_SEED
    return secrets.randbelow(_LARGEST_SEED)


def _positions(actor: Actor, report: Report) -> Any:
    """Return the positions that may be tried in this discipline, with a family."""
    found = (
        visible_positions(actor) if actor.user is not None else PracticePosition.objects.filter(shipped=True)
    )
    return found.filter(Q(discipline_code=report.asked.discipline), family__isnull=False).order_by("pk")


def _begin(
    actor: Actor, report: Report, advice: Practise, plan: list[dict[str, Any]], club: Club
) -> HttpResponse:
    if report.player.pk not in actor.own_players:
        raise NotVisible
    if not plan or advice.session is None:
        return redirect("player-practise", pk=report.player.pk)
    families = [family_name(block.name) for block in advice.session.blocks]
    session = do_begin_session(
        club=club,
        player=report.player,
        discipline=report.asked.discipline or "",
        name=(gettext("Proposed: %(families)s") % {"families": ", ".join(families)})[:80],
        goal={
            "attempts": sum(one["repetitions"] for one in plan),
            "made": sum(one["goal"] for one in plan),
        },
        positions=plan,
        created_by=actor.user,
    )
    return redirect("practice-session", pk=session.pk)


def _reached(blocks: Sequence[Block]) -> list[str]:
    """Return of each family how often its goal is reached as things stand."""
    return [
        gettext("%(family)s: %(goal)s of %(strokes)s, reached about %(times)s times in 100 as things stand.")
        % {
            "family": capfirst(family_name(block.name)),
            "goal": block.goal,
            "strokes": block.repetitions,
            "times": round(100 * block.today),
        }
        for block in blocks
    ]


def _shown(plan: list[dict[str, Any]], positions: list[PracticePosition]) -> list[dict[str, Any]]:
    by_id = {one.pk: one for one in positions}
    return [
        {
            "name": name_of(by_id[one["position"]]),
            "family": family_name(by_id[one["position"]].family),
            "repetitions": one["repetitions"],
            "goal": one["goal"],
        }
        for one in plan
    ]
