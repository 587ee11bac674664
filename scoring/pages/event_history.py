"""The ledger of a competition in words: what was done, when, by whom, why."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from scoring.access import Actor
from scoring.models import CompetitionEntry

from .competitions import competition_or_404
from .gate import page
from .history_words import Told

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
    told = Told(competition, actor, list(found))
    context = {
        "competition": competition,
        "found": found,
        "entries": [
            {
                "row": row,
                "words": told.sentence(row),
                "texts": list(row.text.texts.values()) if hasattr(row, "text") else [],
                "author": _author(row),
            }
            for row in found
        ],
    }
    return render(request, "scoring/event_history.html", context)


def _author(row: CompetitionEntry) -> str:
    if row.author_user is not None:
        return row.author_user.get_username()
    if row.author_link is not None:
        return gettext("the table link of %(table)s") % {"table": row.author_link.table.name}
    if row.import_batch is not None:
        return gettext("an import")
    return ""
