"""The ledger of a competition: the only writer of what is recorded of it beside its matches.

Each verb of an organiser (entering, drawing, calling, publishing) is a module that calls `do_record`
in a transaction of its own, and makes the rows that follow from the entry, matches say. Entries are
appended, never changed; each locks its competition.
"""

from __future__ import annotations

import datetime
import uuid as uuids
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from scoring import following, records
from scoring.ledger import Author
from scoring.models import (
    Competition,
    CompetitionEntry,
    CompetitionProjection,
    CompetitionText,
)
from scoring.rules.event import kinds
from scoring.rules.event.entry import FREE_TEXT, EventEntry, State
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed, said
from scoring.storable import fit_to_store

# What a frozen competition still takes: being opened again, and what everybody may read of it.
WHILE_CLOSED = frozenset({"reopen", "publish", "unpublish", "notice"})


@dataclass(frozen=True)
class Recorded:
    """What became of an entry. known: it had been stored before under the same uuid, and nothing was done."""

    entry: CompetitionEntry
    state: State
    known: bool = False


def read_state(competition: Competition) -> State:
    """Return where a competition stands; one query."""
    found = CompetitionProjection.objects.filter(competition=competition).first()
    # Just read and nobody else's, so nothing is copied: the state of a season is large.
    return kinds.start() if found is None else kinds.start() | found.state


@transaction.atomic
def do_record(
    competition: Competition,
    kind: str,
    fields: Mapping[str, Any],
    author: Author,
    *,
    uuid: uuids.UUID | None = None,
    expected: int | None = None,
) -> Recorded:
    """Append an entry. Raises Malformed with the field, and Refused with a code and what to do.

    expected: the seq the caller looked at; refused as `stale` where the ledger has moved on since.
    The row of the competition is locked until the caller's transaction ends.
    """
    reading = kinds.read_entry(kind, fields)
    if not fit_to_store(dict(fields)):
        raise Malformed("entry", said("Leave out signs that no text can hold."))
    closed = Competition.objects.select_for_update(of=("self",)).get(pk=competition.pk).closed_at is not None
    # Made with the first entry: what is refused writes nothing. The row of the competition is the lock.
    head = CompetitionProjection.objects.filter(competition=competition).first()
    if head is None:
        head = CompetitionProjection(competition=competition)
    if uuid is not None:
        stored = CompetitionEntry.objects.filter(uuid=uuid).select_related("text").first()
        if stored is not None:
            return _known(stored, competition, reading, head)
    if closed and kind not in WHILE_CLOSED:
        raise Refused(
            "closed", said("This competition is closed. Open it again first; everybody will see it.")
        )
    if expected is not None and expected != head.seq:
        raise Refused("stale", said("Somebody wrote in between. Look at what it says now, then do it again."))
    return _store(head, reading, author, uuid or uuids.uuid4())


def _known(
    stored: CompetitionEntry, competition: Competition, reading: EventEntry, head: CompetitionProjection
) -> Recorded:
    data, _texts = _split(reading)
    if (stored.competition_id, stored.kind, stored.data) != (competition.pk, reading.kind, data):
        raise Refused(
            "uuid-known", said("This uuid was used for something else. Write it again with a new one.")
        )
    return Recorded(stored, kinds.complete(head.state), known=True)


def _store(head: CompetitionProjection, reading: EventEntry, author: Author, uuid: uuids.UUID) -> Recorded:
    data, texts = _split(reading)
    now = timezone.now()
    salt, digest = records.new_text(texts)
    entry = CompetitionEntry(
        competition_id=head.competition_id,
        uuid=uuid,
        seq=head.seq + 1,
        kind=reading.kind,
        data=data,
        received_at=now,
        dated_at=now,
        text_hash=digest,
        **author.columns,
    )
    entry.fingerprint = records.fingerprint(head.fingerprint, entry)
    # In place: what is refused half-way is never saved.
    head.state = kinds.fold([entry_of(entry)], head.state)
    head.seq, head.fingerprint = entry.seq, entry.fingerprint
    entry.save(force_insert=True)
    if texts:
        CompetitionText.objects.create(entry=entry, salt=salt, texts=texts)
    head.save()
    following.tell_recorded(entry)
    return Recorded(entry, head.state)


def _split(reading: EventEntry) -> tuple[dict[str, Any], dict[str, str]]:
    """Return the fields without free text, and the free text."""
    return (
        {name: value for name, value in reading.fields.items() if name not in FREE_TEXT},
        {name: value for name, value in reading.fields.items() if name in FREE_TEXT},
    )


def entry_of(row: CompetitionEntry) -> EventEntry:
    """Return the entry of a row; the fold needs no free text."""
    at = row.received_at.astimezone(datetime.UTC).isoformat()
    return EventEntry(row.kind, row.data, row.seq, str(row.uuid), at)


@transaction.atomic
def do_rebuild_competition(competition: Competition) -> list[str]:
    """Fold the ledger of a competition again; return what was not as the ledger has it."""
    Competition.objects.select_for_update(of=("self",)).get(pk=competition.pk)
    entries = list(CompetitionEntry.objects.filter(competition=competition).order_by("seq"))
    head = CompetitionProjection.objects.filter(competition=competition).first()
    if head is None and not entries:
        return []
    found = []
    broken = records.broken_at(entries)
    if broken is not None:
        found.append(f"entry {broken} is not the one that was written")
    state = kinds.fold(entry_of(one) for one in entries)
    last = (entries[-1].seq, entries[-1].fingerprint) if entries else (0, "")
    if head is None or (head.seq, head.fingerprint, kinds.complete(head.state)) != (*last, state):
        found.append("competition row differed")
        CompetitionProjection.objects.update_or_create(
            competition=competition, defaults={"seq": last[0], "fingerprint": last[1], "state": state}
        )
    return found
