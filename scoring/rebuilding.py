"""Rebuilding the projections of a match from its ledger, and proving that nothing differs."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.forms.models import model_to_dict

from scoring import projecting, records
from scoring.ledger import lock
from scoring.models import Match
from scoring.rules.match.book import Book
from scoring.rules.match.play import fold_rows


def columns_of(match: Match) -> dict[str, Any]:
    """Return every column of a match's projections but their own keys."""
    projection = type(match.projection).objects.get(pk=match.pk)
    return {
        "match": model_to_dict(projection),
        "colours": {row.colour: model_to_dict(row, exclude=["id"]) for row in match.colour_projections.all()},
        "strokes": [model_to_dict(row, exclude=["id"]) for row in match.stroke_projections.order_by("order")],
    }


@transaction.atomic
def do_rebuild(match_id: int) -> list[str]:
    """Write the projections of a match anew; return what was not as the ledger has it.

    An empty list means: the rows were right, bit for bit, and every entry is proved by
    its fingerprint.
    """
    match = lock(match_id)
    before = columns_of(match)
    rows = list(match.entries.order_by("seq"))
    found = []
    broken = records.broken_at(rows)
    if broken is not None:
        found.append(f"entry {broken} is not the one that was written")
    setup = projecting.setup_of(match)
    book = Book(records.entry_of(row) for row in rows)
    state, strokes = fold_rows(setup, book)
    dated = {row.seq: row.dated_at for row in rows}
    last = (rows[-1].received_at, rows[-1].fingerprint) if rows else (None, "")
    projecting.store_strokes(match, state, strokes, dated, anew=True)
    projecting.store(match, setup, state, dated, last)
    after = columns_of(match)
    found += [f"{part} rows differed" for part in before if before[part] != after[part]]
    return found
