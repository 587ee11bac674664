"""The ledger: the only writer of match facts.

Entries are appended, never changed. Each append locks its match, judges the entry
against the state, stores it with the next seq, and brings the projections forward in
the same transaction: an entry at the end in constant time, a correction by folding
that one match again.
"""

from __future__ import annotations

import datetime
import uuid as uuids
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from django.db import IntegrityError, OperationalError, transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.functional import cached_property

from scoring import following, projecting, records
from scoring.access import Forbidden
from scoring.models import (
    Competition,
    EntryText,
    Match,
    MatchEntry,
    MatchProjection,
    Pen,
    PlayTable,
    RefusedEntry,
)
from scoring.rules.match.book import Book
from scoring.rules.match.checks import Refused, check_fresh, prepare
from scoring.rules.match.entry import QUIET, Entry
from scoring.rules.match.play import Row, fold_rows
from scoring.rules.match.play import append as played
from scoring.rules.match.preview import Preview, previewed
from scoring.rules.match.shown import innings_of, shown
from scoring.rules.match.state import State, start, status
from scoring.rules.said import Malformed, Said, said
from scoring.sent import Sent, named_uuid, read_sent

# What may be written beside the pen: it changes no play, or it closes it.
BESIDE_THE_PEN = QUIET | {"confirm"}
# What may become of one sent entry.
STATUSES = ("stored", "known", "refused")
# So often is an append tried that the database turned away for another match's sake.
TRIES = 4
DEADLOCK = "40P01"  # as PostgreSQL names it


@dataclass(frozen=True)
class Author:
    """Who writes: kept with the entry. `organises`: may correct after confirmation."""

    user_id: int | None = None
    link_id: int | None = None
    pen_id: int | None = None
    batch_id: int | None = None
    organises: bool = False

    @property
    def columns(self) -> dict[str, int | None]:
        return {
            "author_user_id": self.user_id,
            "author_link_id": self.link_id,
            "author_pen_id": self.pen_id,
            "import_batch_id": self.batch_id,
        }


@dataclass
class Outcome:
    """What became of one sent entry: `stored`, `known` or `refused`."""

    uuid: str | None
    status: str
    seq: int | None = None
    error: Exception | None = None

    @property
    def code(self) -> str | None:
        if isinstance(self.error, Refused):
            return self.error.code
        if isinstance(self.error, Forbidden):
            return "forbidden"
        return None if self.error is None else "malformed"

    @property
    def reason(self) -> Said | None:
        if isinstance(self.error, Refused):
            return self.error.reason
        if isinstance(self.error, Malformed):
            return said("%(field)s: %(reason)s", field=self.error.field, reason=self.error.reason)
        if isinstance(self.error, Forbidden):
            return said("Only an organiser may write this.")
        return None


CLOSED = said("This competition is closed. An organiser opens it again first; everybody will see it.")
FOLLOWS = Refused("follows-refused", said("An entry before it was not accepted. Look at that one first."))


def begin(match: Match) -> None:
    """Open the ledger of a match that was just created."""
    projecting.begin(match, projecting.setup_of(match))
    following.tell_made(match)


# Who writes, or what says so once the match is locked: it may raise, and nothing is written.
Writer = Author | Callable[[Match], Author]


def begin_again(
    match: Match, distance: tuple[int | None, int | None], players: tuple[int, int] | None = None
) -> None:
    """Give a match whose ledger is still empty other distances, and other players. Raises Refused once opened."""
    match = lock(match.pk)
    if match.projection.seq and players is not None:
        raise Refused("opened", said("This match has begun: its players stay."))
    if match.projection.seq:
        raise Refused("opened", said("This match was opened: it keeps the distances it was opened with."))
    match.format = match.format | {"distance": list(distance)}
    match.distance_a, match.distance_b = distance
    if players is not None:
        match.entrant_a_id, match.entrant_b_id = players
    match.save(update_fields=["format", "distance_a", "distance_b", "entrant_a", "entrant_b"])
    setup = projecting.setup_of(match)
    projecting.store(match, setup, start(setup), {}, (None, ""))


def put_on_table(match_id: int, table: int | None) -> None:
    """Plan a match whose ledger is still empty for a table, or for none. Raises Refused once it was opened.

    A match that holds entries moves by being suspended and resumed.
    """
    match = lock(match_id)
    if match.projection.seq:
        raise Refused("opened", said("This match was opened. Suspend it, and resume it at the other table."))
    match.table_id = table
    match.save(update_fields=["table"])
    setup = projecting.setup_of(match)
    projecting.store(match, setup, start(setup), {}, (None, ""))


def append(match_id: int, sent: Any, author: Writer) -> tuple[Outcome, dict[str, Any]]:
    """Append one entry; return what became of it and the public state.

    Nothing is raised for a refusal, so that the refused entry is kept: read
    `outcome.error`. Raises Match.DoesNotExist, and what `author` raises.
    """
    outcomes, state = append_list(match_id, [sent], author)
    return outcomes[0], state


def append_list(match_id: int, sent: Sequence[Any], author: Writer) -> tuple[list[Outcome], dict[str, Any]]:
    """Append entries in order, in one transaction; after the first refusal the rest is refused."""
    for _ in range(TRIES - 1):
        try:
            return _append_list(match_id, sent, author)
        except IntegrityError:
            # The same uuid was being stored in another match at this moment; now it is known.
            continue
        except OperationalError as error:
            if not _crossed(error):
                raise
    return _append_list(match_id, sent, author)


def _crossed(error: OperationalError) -> bool:
    """Whether two lists waited for one another's uuids, and the database let the other one go on."""
    return getattr(error.__cause__, "sqlstate", None) == DEADLOCK


@transaction.atomic
def _append_list(match_id: int, sent: Sequence[Any], author: Writer) -> tuple[list[Outcome], dict[str, Any]]:
    match = lock(match_id)
    desk = _Desk(match, author if isinstance(author, Author) else author(match))
    outcomes = desk.take(sent)
    desk.close()
    return outcomes, shown(desk.setup, desk.state)


def lock(match_id: int) -> Match:
    """Return the match, held against every other writer until the transaction ends.

    What is locked is the projection, the row that changes: whoever had to wait reads it
    as it stands now, while a row that is only joined is as old as the moment the wait
    began. On SQLite the transaction itself is the lock: it began IMMEDIATE.
    Raises Match.DoesNotExist.
    """
    rows = MatchProjection.objects.select_for_update(of=("self",)).select_related("match")
    try:
        return rows.get(pk=match_id).match
    except MatchProjection.DoesNotExist:
        raise Match.DoesNotExist from None


@dataclass
class _Desk:
    """One writer at one locked match."""

    match: Match
    author: Author
    received: datetime.datetime = field(default_factory=timezone.now)

    def __post_init__(self) -> None:
        self._begin()
        self.stored: list[MatchEntry] = []
        self.texts: list[EntryText] = []
        self.rows: list[Row] = []
        self.refolded = False
        self._book: Book | None = None

    def _begin(self) -> None:
        """Take up the ledger where it stands."""
        projection = self.match.projection
        self.setup = projecting.setup_of(self.match)
        self.before: State = projection.state
        self.state: State = projection.state
        self.fingerprint: str = projection.fingerprint

    # Reading

    @property
    def book(self) -> Book:
        """The whole ledger; read only where a correction needs it."""
        if self._book is None:
            known = self.match.entries.exclude(seq__gt=self.before["seq"]).order_by("seq")
            self._book = Book(records.entry_of(row) for row in [*known, *self.stored])
        return self._book

    @cached_property
    def pen_elsewhere(self) -> str | None:
        """The name of another device that holds the pen of this match, if one does."""
        held = Pen.objects.held().filter(match=self.match)
        # One statement asks whether the author's pen still holds and notes its use.
        own = self.author.pen_id
        if own is not None and held.filter(pk=own).update(last_used_at=self.received):
            return None
        return held.values_list("device", flat=True).first()

    @cached_property
    def closed(self) -> bool:
        """Whether the competition is frozen: asked once the match is locked, as closing locks it too."""
        own = self.match.competition_id
        return own is not None and Competition.objects.filter(pk=own, closed_at__isnull=False).exists()

    # Writing

    def take(self, sent: Sequence[Any]) -> list[Outcome]:
        readings = [_read(one) for one in sent]
        known = self._known(reading.uuid for reading in readings if isinstance(reading, Sent))
        outcomes: list[Outcome] = []
        after_known: int | None = None
        fresh_run = refused = False
        for value, reading in zip(sent, readings, strict=True):
            if isinstance(reading, Sent) and reading.uuid in known:
                outcome = self._answer_known(reading, known[reading.uuid])
                if outcome.status == "known":
                    after_known, fresh_run = outcome.seq, False
            elif refused:
                outcome = self._refuse(reading, value, FOLLOWS)
            else:
                after = None if fresh_run else after_known
                outcome = self._take_one(reading, value, after, follows=fresh_run)
                if outcome.status == "stored":
                    fresh_run = True
                    row = self.stored[-1]
                    known[str(row.uuid)] = (row, self.texts[-1] if row.text_hash else None)
            refused = refused or outcome.status == "refused"
            outcomes.append(outcome)
        return outcomes

    def _known(self, wanted) -> dict[str, tuple[MatchEntry, EntryText | None]]:
        found = MatchEntry.objects.filter(uuid__in=list(wanted)).order_by()
        # Most entries are new: whether there is a retry among them is asked first.
        known = list(found.values_list("pk", flat=True))
        rows = MatchEntry.objects.filter(pk__in=known).select_related("text") if known else []
        return {str(row.uuid): (row, getattr(row, "text", None)) for row in rows}

    def _answer_known(self, reading: Sent, found: tuple[MatchEntry, EntryText | None]) -> Outcome:
        row, text = found
        same = row.match_id == self.match.pk and records.same_contents(
            row, reading.entry, reading.device_time, text
        )
        if same:
            return Outcome(reading.uuid, "known", row.seq)
        return self._refuse(
            reading,
            None,
            Refused(
                "uuid-known",
                said("This uuid was used for another entry. Write the entry again with a new one."),
            ),
        )

    def _take_one(
        self, reading: Sent | Malformed, value: Any, after: int | None, *, follows: bool
    ) -> Outcome:
        if isinstance(reading, Malformed):
            return self._refuse(reading, value, reading)
        try:
            seen = reading.after if after is None else after
            if not follows:
                check_fresh(seen, self.state)
            self._check_author(reading.entry)
            ready = self._prepare(reading)
        except (Refused, Malformed, Forbidden) as error:
            return self._refuse(reading, value, error)
        row = self._store(ready, reading)
        return Outcome(reading.uuid, "stored", row.seq)

    def _check_author(self, entry: Entry) -> None:
        """Judge what depends on the state: the pen, and what is an organiser's alone."""
        if self.closed:
            raise Refused("closed", CLOSED)
        organises = self.author.organises
        if entry.kind == "result" and not organises:
            raise Forbidden
        if entry.reopens and status(self.state) == "confirmed":
            if not organises:
                raise Forbidden
            if entry.get("why") is None:
                raise Malformed("why", said("The match is confirmed. Say why it is changed."))
        elif self.pen_elsewhere is not None:
            corrects = organises and (entry.reopens or entry.refolds)
            if not corrects and entry.kind not in BESIDE_THE_PEN:
                raise Refused(
                    "pen-elsewhere",
                    said(
                        "%(device)s holds the pen of this match. Read along, or take it over.",
                        device=self.pen_elsewhere,
                    ),
                )

    def _prepare(self, reading: Sent) -> Entry:
        entry = replace(reading.entry, uuid=reading.uuid, seq=self.state["seq"] + 1)
        table = entry.get("table")
        if table is not None and not self._has_table(table):
            raise Malformed("table", said("The club has no such table."))
        _, misdated = records.dating(reading.device_time, self.received, reading.offline)
        entry = replace(entry, misdated=misdated)
        needs_book = entry.refolds or self._book is not None
        return prepare(self.setup, self.state, entry, self.book if needs_book else None)

    def _has_table(self, table: int) -> bool:
        return PlayTable.objects.filter(pk=table, club=self.match.club_id).exists()

    def _store(self, entry: Entry, reading: Sent) -> MatchEntry:
        data, texts = records.split_text(entry.kind, reading.entry.fields)
        salt, hashed = records.new_text(texts)
        dated, misdated = records.dating(reading.device_time, self.received, reading.offline)
        row = MatchEntry(
            match=self.match,
            uuid=uuids.UUID(entry.uuid),
            seq=entry.seq,
            kind=entry.kind,
            data=data,
            stamps=records.stamps_of(entry),
            device_time=reading.device_time,
            device_time_text=reading.device_time_text,
            received_at=self.received,
            dated_at=dated,
            misdated=misdated,
            offline=reading.offline,
            text_hash=hashed,
            **self.author.columns,
        )
        row.place = self._play(entry)
        self.fingerprint = row.fingerprint = records.fingerprint(self.fingerprint, row)
        self.stored.append(row)
        if texts:
            self.texts.append(EntryText(entry=row, salt=salt, texts=texts))
        return row

    def _play(self, entry: Entry) -> int:
        """Bring the state forward; return the place the entry stands in or speaks of."""
        if self._book is not None:
            self._book.add(entry)
        if entry.refolds:
            self.state, self.rows = fold_rows(self.setup, self.book)
            self.refolded = True
            target = entry.get("target")
            place = self.book.place_of(entry if target is None else self.book.known(target))
            return entry.seq if place is None else place.seq
        self.state, row = played(self.setup, self.state, entry)
        if row is not None:
            self.rows.append(row)
        return entry.seq

    def _refuse(self, reading: Sent | Malformed, value: Any, error: Exception) -> Outcome:
        if isinstance(reading, Malformed):
            return Outcome(named_uuid(value), "refused", error=error)
        outcome = Outcome(reading.uuid, "refused", error=error)
        RefusedEntry.objects.update_or_create(
            match=self.match,
            uuid=reading.uuid,
            code=outcome.code,
            defaults={
                "kind": reading.entry.kind,
                "contents": records.split_text(reading.entry.kind, reading.entry.fields)[0],
                "reason": str(outcome.reason),
                "after": reading.after,
                "received_at": self.received,
                **self.author.columns,
            },
        )
        return outcome

    # At the end of the transaction

    def close(self) -> None:
        """Write what was taken, and the projections of it."""
        if not self.stored:
            return
        MatchEntry.objects.bulk_create(self.stored)
        EntryText.objects.bulk_create(self.texts)
        dated = {row.seq: row.dated_at for row in self.stored}
        if self.refolded:
            dated |= dict(self.match.entries.values_list("seq", "dated_at"))
        projecting.store_strokes(self.match, self.state, self.rows, dated, anew=self.refolded)
        last = (self.received, self.fingerprint)
        projecting.store(self.match, self.setup, self.state, dated, last, before=self.before)
        if following.is_followed(self.before, self.state):
            following.tell_changed(self.match)
        if following.has_ended(self.before, self.state):
            following.tell_ended(self.match)


def _read(value: Any) -> Sent | Malformed:
    try:
        return read_sent(value)
    except Malformed as error:
        return error


# Reading


def read_state(match: Match) -> dict[str, Any]:
    """Return the public state of a match, from its projection."""
    return shown(projecting.setup_of(match), match.projection.state)


def read_innings(match: Match) -> list[dict[str, Any]]:
    """Return one row an inning, in order of play."""
    return innings_of(projecting.row_of(stroke) for stroke in match.stroke_projections.order_by("order"))


def read_entries(match: Match, after: int = 0) -> QuerySet[MatchEntry]:
    """Return the rows of the ledger past `after`, with their free text at hand."""
    return match.entries.filter(seq__gt=after).select_related("text").order_by("seq")


@transaction.atomic
def preview(match_id: int, sent: Any, author: Author) -> Preview:
    """Return what one entry would change; writes nothing. Raises what would refuse it."""
    desk = _Desk(Match.objects.select_related("projection").get(pk=match_id), author)
    reading = read_sent(sent)
    check_fresh(reading.after, desk.state)
    desk._check_author(reading.entry)
    book = desk.book
    found = previewed(desk.setup, book, desk._prepare(reading))
    transaction.set_rollback(True)  # not even the pen was used
    return found
