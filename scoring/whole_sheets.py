"""Whole sheets at once, for `scoring.importing`: the ledger's own desk, without asking for each match.

Beside `scoring.ledger` the one place where match facts are written, and by the same desk: every entry is
judged, numbered and fingerprinted as if it had been sent.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.db import transaction

from scoring import following, projecting
from scoring.ledger import Author, Outcome, _Desk
from scoring.models import (
    ColourProjection,
    EntryText,
    Match,
    MatchEntry,
    MatchProjection,
    StrokeProjection,
)
from scoring.rules.match.checks import Refused
from scoring.rules.match.state import start
from scoring.rules.said import Malformed, said
from scoring.sent import Sent


class _FreshDesk(_Desk):
    """The writer of a match that nobody else knows of yet: nothing is asked of the database."""

    pen_elsewhere = None
    # Whoever brings sheets in asks once, for all of them.
    closed = False

    def __init__(self, match: Match, author: Author) -> None:
        match.projection = MatchProjection(match=match, state={})
        super().__init__(match, author)
        self.before = self.state = start(self.setup)

    def _known(self, wanted) -> dict[str, tuple[MatchEntry, EntryText | None]]:
        return {}

    def _refuse(self, reading: Sent | Malformed, value: Any, error: Exception) -> Outcome:
        return Outcome(getattr(reading, "uuid", None), "refused", error=error)


@transaction.atomic
def write_sheets(
    sheets: Iterable[tuple[Match, Sequence[Any]]], author: Author
) -> list[tuple[Match, Outcome]]:
    """Write whole sheets into matches that were just created, many at once: what an import brings.

    Returns what was refused, by match; whoever calls then takes all of it back.
    """
    desks, refused = [], []
    for match, sent in sheets:
        desk = _FreshDesk(match, author)
        refused += [(match, one) for one in desk.take(sent) if one.status != "stored"][:1]
        desks.append(desk)
    MatchEntry.objects.bulk_create([row for desk in desks for row in desk.stored], batch_size=500)
    EntryText.objects.bulk_create([text for desk in desks for text in desk.texts], batch_size=500)
    rows: dict[type, list[Any]] = {MatchProjection: [], ColourProjection: [], StrokeProjection: []}
    for desk in desks:
        dated = {row.seq: row.dated_at for row in desk.stored}
        last = (desk.received, desk.fingerprint)
        for row in projecting.whole(desk.match, desk.setup, desk.state, dated, last):
            rows[type(row)].append(row)
        rows[StrokeProjection] += projecting.stroke_rows(desk.match, desk.state, desk.rows, dated)
    for model, made in rows.items():
        model._default_manager.bulk_create(made, batch_size=200)
    for desk in desks:
        following.tell_made(desk.match)
    return refused


@transaction.atomic
def erase_sheets(matches: Sequence[int], batch: int) -> None:
    """Erase matches that one import made, with their ledgers. Raises Refused where others wrote there since."""
    for begin_at in range(0, len(matches), 500):
        part = matches[begin_at : begin_at + 500]
        entries = MatchEntry.objects.filter(match__in=part)
        if entries.exclude(import_batch=batch).exists():
            raise Refused("written-since", said("Somebody wrote in one of its matches since."))
        entries.delete()
        Match.objects.filter(pk__in=part).delete()
