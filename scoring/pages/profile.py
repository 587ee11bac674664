"""You: who is signed in, in which role, as which player."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from scoring.access import Actor
from scoring.models import ApiToken, Player, Role, Team

from .desk import desk_of
from .gate import page


@require_safe
@page
def profile(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show the roles, the player and the tokens of whoever is signed in."""
    roles = Role.objects.current(actor.user).select_related("club", "competition").order_by("pk")
    context = {
        "roles": roles,
        "player": Player.objects.named().filter(user=actor.user).first(),
        "teams": Team.objects.filter(captain__in=actor.own_players)
        .select_related("competition")
        .order_by("-competition", "name"),
        "desk": desk_of(actor),
        "tokens": ApiToken.objects.usable().filter(user=actor.user).order_by("pk"),
    }
    return render(request, "scoring/profile.html", context)
