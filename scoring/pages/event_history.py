"""The ledger of a competition in words: what was done, when, by whom, why."""

from __future__ import annotations

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from scoring.access import Actor
from scoring.models import CompetitionEntry, Stage

from .competitions import competition_or_404
from .event_forms import Names
from .event_words import entry_words
from .gate import page

A_PAGE = 50


@require_safe
@page
def history(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """List the entries of a competition, the latest first."""
    competition = competition_or_404(actor, pk, "manage")
    rows = CompetitionEntry.objects.filter(competition=competition).select_related(
        "text", "author_user", "author_link__table", "import_batch"
    )
    found = Paginator(rows.order_by("-seq"), A_PAGE).get_page(request.GET.get("page"))
    names = Names(actor, {pk for row in found for pk in _named_in(row.data)})
    stages = dict(Stage.objects.filter(competition=competition).values_list("pk", "name"))
    context = {
        "competition": competition,
        "found": found,
        "entries": [
            {
                "row": row,
                "words": entry_words(row, names, stages),
                "texts": list(row.text.texts.values()) if hasattr(row, "text") else [],
                "author": _author(row),
            }
            for row in found
        ],
    }
    return render(request, "scoring/event_history.html", context)


def _named_in(data: dict[str, Any]) -> list[int]:
    """Return the ids of the players that an entry names."""
    several = data.get("players")
    named = list(several) if isinstance(several, list) else []
    return [pk for pk in [*named, data.get("player"), data.get("by")] if isinstance(pk, int)]


def _author(row: CompetitionEntry) -> str:
    if row.author_user is not None:
        return row.author_user.get_username()
    if row.author_link is not None:
        return gettext("the table link of %(table)s") % {"table": row.author_link.table.name}
    if row.import_batch is not None:
        return gettext("an import")
    return ""
