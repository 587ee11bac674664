"""Whole sheets at once, for `scoring.importing`: the ledger's own desk, without asking for each match.

Beside `scoring.ledger` the one place where match facts are written, and by the same desk: every entry is
judged, numbered and fingerprinted as if it had been sent. Sheets are folded before the transaction that
stores them, so that a score that is written meanwhile waits for the storing alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from django.db import transaction

from scoring import following, projecting
from scoring.bulk import Rows, reserve_keys
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
from scoring.rules.match.setup import Setup
from scoring.rules.match.state import start
from scoring.rules.said import Malformed, said
from scoring.sent import Sent


class _FreshDesk(_Desk):
    """The writer of a match that nobody else knows of yet: nothing is asked of the database."""

    pen_elsewhere = None
    # Whoever brings sheets in asks once, for all of them.
    closed = False

    def __init__(self, match: Match, author: Author, setup: Setup) -> None:
        self._setup = setup
        super().__init__(match, author)

    def _begin(self) -> None:
        self.setup, self.fingerprint = self._setup, ""
        self.before = self.state = start(self.setup)

    def _known(self, wanted) -> dict[str, tuple[MatchEntry, EntryText | None]]:
        return {}

    def _refuse(self, reading: Sent | Malformed, value: Any, error: Exception) -> Outcome:
        return Outcome(getattr(reading, "uuid", None), "refused", error=error)


class Sheets:
    """Matches with their whole ledgers and every row that follows from them; none is stored yet."""

    def __init__(self, author: Author) -> None:
        self.author = author
        self.matches: list[Match] = []
        self._setup: Setup | None = None
        # In the order of storing: what is referred to comes first.
        models = (Match, MatchEntry, EntryText, MatchProjection, ColourProjection, StrokeProjection)
        self._rows = {model: Rows(model) for model in models}

    def take(self, told: Iterable[tuple[Match, Sequence[Any]]]) -> tuple[Match, Outcome] | None:
        """Fold the sheets of matches that have keys and are not saved; return the first refusal, if any."""
        told = list(told)
        keys = iter(reserve_keys(MatchEntry, sum(len(sent) for _match, sent in told)))
        for match, sent in told:
            desk = _FreshDesk(match, self.author, self._setup_of(match))
            for outcome in desk.take(sent):
                if outcome.status != "stored":
                    return match, outcome
            for row in desk.stored:
                row.pk = next(keys)
            for text in desk.texts:
                text.entry_id = text.entry.pk
            self._add(desk)
        return None

    def _setup_of(self, match: Match) -> Setup:
        """Return the setup of a match; most share discipline and regulations with the one before."""
        before = self.matches[-1] if self.matches else None
        known = self._setup
        if (
            known is None
            or before is None
            or match.discipline is not before.discipline
            or match.rule_set is not before.rule_set
        ):
            self._setup = projecting.setup_of(match)
        else:
            self._setup = replace(known, id=match.pk, entrants=match.entrant_ids, format=match.format)
        return self._setup

    def _add(self, desk: _FreshDesk) -> None:
        dated = {row.seq: row.dated_at for row in desk.stored}
        last = (desk.received, desk.fingerprint)
        head, colours = projecting.whole(desk.match, desk.setup, desk.state, dated, last)
        self._rows[Match].add([desk.match])
        self._rows[MatchEntry].add(desk.stored)
        self._rows[EntryText].add(desk.texts)
        self._rows[MatchProjection].add_columns([head])
        self._rows[ColourProjection].add_columns(colours)
        strokes = projecting.stroke_columns(desk.match, desk.state, desk.rows, dated)
        self._rows[StrokeProjection].add_columns(strokes)
        self.matches.append(desk.match)

    @transaction.atomic
    def store(self) -> None:
        """Store all of them, and tell of the matches once."""
        for rows in self._rows.values():
            rows.store()
        with following.gathered():
            for match in self.matches:
                following.tell_made(match)


@transaction.atomic
def erase_sheets(matches: Sequence[int], batch: int) -> None:
    """Erase matches that one import made, with their ledgers. Raises Refused where others wrote there since."""
    for begin_at in range(0, len(matches), 500):
        part = matches[begin_at : begin_at + 500]
        entries = MatchEntry.objects.filter(match__in=part)
        if entries.exclude(import_batch=batch).exists():
            raise Refused("written-since", said("Somebody wrote in one of its matches since."))
        # By hand, as nothing refers to these: rows by the thousand are not fetched to be erased.
        for rows in (
            EntryText.objects.filter(entry__match__in=part),
            entries,
            StrokeProjection.objects.filter(match__in=part),
        ):
            rows._raw_delete(rows.db)
        Match.objects.filter(pk__in=part).only("pk").delete()
