"""The first page: tonight's tables, what comes next, the last point described."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from scoring.access import Actor
from scoring.models import Club
from scoring.pages.gate import may, page
from scoring.pages.tonight import read_last_point, read_next, read_tables


@require_safe
@page
def home(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show what the visitor may see of this evening."""
    context = {
        "club": Club.objects.the_first(),
        "now": timezone.now(),
        "tables": read_tables(actor),
        "next": read_next(actor),
        "last_point": read_last_point(actor),
        "may_arrange": may(actor, "match-new"),
    }
    return render(request, "home.html", context)
