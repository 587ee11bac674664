"""Documentation for players and referees; the texts stand in clubsite/docs."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from scoring.access import Actor
from scoring.pages.gate import page
from scoring.pages.words import speak
from scoring.rules.families import FAMILIES
from scoring.rules.fouls import FOUL_REASONS


@require_safe
@page
def docs(request: HttpRequest, actor: Actor) -> HttpResponse:
    """List what can be read."""
    return render(request, "docs/index.html")


@require_safe
@page
def docs_rulings(request: HttpRequest, actor: Actor) -> HttpResponse:
    """How a described stroke is judged, by which sources, and where they differ."""
    families = [
        {"name": speak(family.trade_name), "sequence": speak(family.sequence)} for family in FAMILIES.values()
    ]
    return render(request, "docs/rulings.html", {"families": families})


@require_safe
@page
def docs_record(request: HttpRequest, actor: Actor) -> HttpResponse:
    """How a match is written down and corrected."""
    reasons = [speak(reason) for reason in FOUL_REASONS.values()]
    return render(request, "docs/record.html", {"foul_reasons": reasons})


@require_safe
@page
def docs_keys(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The keys of the scoring page."""
    return render(request, "docs/keys.html")


@require_safe
@page
def docs_diamonds(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The diamond systems: what they are, by which sources, and where they end."""
    return render(request, "docs/diamonds.html")


@require_safe
@page
def docs_predictions(request: HttpRequest, actor: Actor) -> HttpResponse:
    """How predictions are made and kept, and why their kinds are never added up."""
    return render(request, "docs/predictions.html")
