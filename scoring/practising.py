"""Practice: the only writer of sessions and of what was tried in them.

Entries are appended, never changed: an attempt, the strike-out of one, or the putting back of
what was struck out. Each list locks its session, and stands on its own: what is refused leaves
the rest as it is, because no attempt depends on another.
"""

from __future__ import annotations

import datetime
import uuid as uuids
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Count, Q, QuerySet
from django.forms.models import model_to_dict
from django.utils import timezone

from scoring import records
from scoring.attempts import OF_THE_BALLS, Game, attempt_of, counted, fold, outcome_of, strike
from scoring.ledger import Author, Outcome
from scoring.models import (
    Assignment,
    Attempt,
    Club,
    Match,
    Player,
    PlayTable,
    PracticeEntry,
    PracticePosition,
    PracticeSession,
    StrokeProjection,
)
from scoring.regulations import find_discipline, find_rule_set
from scoring.rules.lying import check_lying
from scoring.rules.match.checks import Refused
from scoring.rules.match.entry import STROKES
from scoring.rules.said import Malformed, said
from scoring.sent import named_uuid
from scoring.sent_attempts import SentAttempt, read_attempt

TRIES = 4


@dataclass(frozen=True)
class Writer:
    """Who writes, and which positions and matches may be named by them."""

    author: Author
    positions: QuerySet[PracticePosition]
    matches: QuerySet[Match]


@dataclass
class AttemptOutcome(Outcome):
    """What became of one sent row; `attempt` is the one it is about, as it stands now."""

    attempt: Attempt | None = None


# --- sessions ----------------------------------------------------------------


@transaction.atomic
def do_begin_session(
    *,
    club: Club,
    player: Player,
    discipline: str,
    rule_set: Any = None,
    name: str = "",
    note: str = "",
    table: PlayTable | None = None,
    goal: Mapping[str, Any] | None = None,
    positions: Sequence[Mapping[str, Any]] = (),
    assignment: Assignment | None = None,
    started_at: datetime.datetime | None = None,
    created_by: Any = None,
    uuid: uuids.UUID | None = None,
) -> PracticeSession:
    """Begin a session. Raises Malformed (`discipline`, `rule_set`)."""
    game = find_discipline(club, discipline)
    now = timezone.now()
    return PracticeSession.objects.create(
        uuid=uuid or uuids.uuid4(),
        club=club,
        player=player,
        discipline_code=game.code,
        discipline=game.to_json(),
        rule_set=find_rule_set(club, rule_set).to_json(),
        name=name,
        note=note,
        table=table,
        goal=goal,
        positions=list(positions),
        assignment=assignment,
        started_at=min(started_at or now, now),
        created_by=created_by,
    )


@transaction.atomic
def do_change_session(session_id: int, *, ended: bool | None = None, **fields: Any) -> PracticeSession:
    """Change what a session is called and aims at; end it, or go on with one that was ended."""
    session = lock(session_id)
    if ended is not None and ended != (session.ended_at is not None):
        fields["ended_at"] = timezone.now() if ended else None
    for name, value in fields.items():
        setattr(session, name, value)
    if fields:
        session.save(update_fields=list(fields))
    return session


def lock(session_id: int) -> PracticeSession:
    """Return the session, held against every other writer. Raises PracticeSession.DoesNotExist."""
    return PracticeSession.objects.select_for_update(of=("self",)).get(pk=session_id)


# --- attempts ----------------------------------------------------------------


def append_attempts(session_id: int, sent: Sequence[Any], writer: Writer) -> list[AttemptOutcome]:
    """Append attempts, strike-outs and what is put back, in one transaction.

    Nothing is raised for a refusal: read `outcome.error`. Raises PracticeSession.DoesNotExist.
    """
    for _ in range(TRIES - 1):
        try:
            return _append_attempts(session_id, sent, writer)
        except IntegrityError:
            # The same uuid was being stored in another session at this moment; now it is known.
            continue
    return _append_attempts(session_id, sent, writer)


@transaction.atomic
def _append_attempts(session_id: int, sent: Sequence[Any], writer: Writer) -> list[AttemptOutcome]:
    desk = _Desk(lock(session_id), writer)
    outcomes = desk.take(sent)
    desk.close()
    return outcomes


def _read(value: Any) -> SentAttempt | Malformed:
    try:
        return read_attempt(value)
    except Malformed as wrong:
        return wrong


@dataclass
class _Desk:
    """One writer at one locked session."""

    session: PracticeSession
    writer: Writer
    received: datetime.datetime = field(default_factory=timezone.now)

    def __post_init__(self) -> None:
        self.game = Game.of(self.session)
        self.stored: list[PracticeEntry] = []
        self.new: list[Attempt] = []
        self.changed: dict[str, Attempt] = {}
        self.entries: dict[str, PracticeEntry] = {}
        self.attempts: dict[str, Attempt] = {}

    def take(self, sent: Sequence[Any]) -> list[AttemptOutcome]:
        readings = [_read(one) for one in sent]
        asked = [reading for reading in readings if isinstance(reading, SentAttempt)]
        self._look_up(asked)
        return [self._take_one(reading, value) for reading, value in zip(readings, sent, strict=True)]

    def _look_up(self, asked: Sequence[SentAttempt]) -> None:
        """Fetch what the rows name, each kind with one question."""
        named = {one.uuid for one in asked} | {one.data["target"] for one in asked if one.kind == "void"}
        for entry in PracticeEntry.objects.filter(uuid__in=named):
            self.entries[str(entry.uuid)] = entry
        about = {entry.stamps.get("attempt", uuid) for uuid, entry in self.entries.items()}
        known = Attempt.objects.filter(uuid__in=about).select_related("struck_by") if about else ()
        for attempt in known:
            self.attempts[str(attempt.uuid)] = attempt
        self.positions = find_positions(
            self.writer.positions, {one.data["position"] for one in asked if "position" in one.data}
        )
        places = {
            (one.data["from_match"], one.data["from_place"]) for one in asked if "from_match" in one.data
        }
        self.strokes = _find_strokes(self.writer.matches, places)

    def _take_one(self, reading: SentAttempt | Malformed, value: Any) -> AttemptOutcome:
        if isinstance(reading, Malformed):
            return AttemptOutcome(named_uuid(value), "refused", error=reading)
        try:
            known = self.entries.get(reading.uuid)
            if known is not None:
                return self._answer_known(reading, known)
            self._check_going_on(reading)
            stamps = self._void_stamps(reading) if reading.kind == "void" else self._stamps(reading)
        except (Refused, Malformed) as error:
            return AttemptOutcome(reading.uuid, "refused", error=error)
        entry = self._store(reading, stamps)
        if reading.kind == "attempt":
            attempt = attempt_of(self.game, entry)
            self.attempts[reading.uuid] = attempt
            self.new.append(attempt)
        else:
            attempt = self.attempts[stamps["attempt"]]
            strike(attempt, entry)
            self.changed[stamps["attempt"]] = attempt
        return AttemptOutcome(reading.uuid, "stored", entry.seq, attempt=attempt)

    def _answer_known(self, reading: SentAttempt, known: PracticeEntry) -> AttemptOutcome:
        said_then = (known.session_id, known.kind, known.data, known.device_time)
        if said_then != (self.session.pk, reading.kind, reading.data, reading.device_time):
            raise Refused(
                "uuid-known", said("This uuid was used for something else. Write it again with a new one.")
            )
        about = self.attempts[known.stamps.get("attempt", reading.uuid)]
        return AttemptOutcome(reading.uuid, "known", known.seq, attempt=about)

    def _check_going_on(self, reading: SentAttempt) -> None:
        """Judge whether the session still went on then. Raises Refused.

        What waited on a device is taken, and what says no moment.
        """
        ended, told = self.session.ended_at, reading.device_time is not None
        if told and ended is not None and self._dating(reading)[0] > ended:
            raise Refused("session-ended", said("The session was ended before. Go on with it first."))

    def _dating(self, reading: SentAttempt) -> tuple[datetime.datetime, bool]:
        return records.dating(reading.device_time, self.received, reading.offline)

    # What the server fills in

    def _stamps(self, reading: SentAttempt) -> dict[str, Any]:
        """Return where the balls lay and when that was told. Raises Malformed."""
        data = reading.data
        own = {name: data[name] for name in OF_THE_BALLS if name in data}
        before: dict[str, Any] = {}
        stamps: dict[str, Any] = {}
        if "from_match" in data:
            stroke = self.strokes.get((data["from_match"], data["from_place"]))
            if stroke is None:
                raise Malformed("from_match", said("There is no such stroke of a match."))
            before = stroke
        if "position" in data:
            position = self.positions.get(data["position"])
            if position is None:
                raise Malformed("position", said("There is no such position."))
            stamps["position"] = position.pk
            before = {name: getattr(position, name) for name in OF_THE_BALLS}
        if any(own.get(name, before.get(name)) != before.get(name) for name in ("layout", "cue_ball")):
            before = {}  # other balls than those that were told: nor does that line belong to them
        lay = before | own
        for name in ("layout", "cue_ball"):
            if lay.get(name) is None:
                raise Malformed(name, said("This field is needed."))
        check_lying(lay["layout"])
        ruling = self.game.ruling(lay["cue_ball"], data.get("contacts"))
        if "how" in data and outcome_of(data.get("outcome"), ruling) == Attempt.Outcome.MADE:
            raise Malformed("how", said("How it missed belongs to a miss."))
        told = Attempt.Told.BLIND if before and lay == before else Attempt.Told.SAME_TIME
        if self.writer.author.batch_id is not None:
            told = Attempt.Told.HINDSIGHT
        known = {name: lay[name] for name in OF_THE_BALLS if lay.get(name) is not None}
        return stamps | known | {"told": str(told)}

    def _void_stamps(self, reading: SentAttempt) -> dict[str, Any]:
        """Return which attempt is struck out or put back. Raises Refused."""
        target = self.entries.get(reading.data["target"])
        if target is None or target.session_id != self.session.pk:
            raise Refused("no-such-attempt", said("This session has no such attempt."))
        name = target.stamps.get("attempt", str(target.uuid))
        attempt = self.attempts[name]
        if target.kind == "attempt" and attempt.struck_by is not None:
            raise Refused("struck-out", said("This attempt is struck out already."))
        if target.kind == "void" and attempt.struck_by != target:
            raise Refused("put-back", said("This strike-out does not hold any more."))
        return {"attempt": name}

    def _store(self, reading: SentAttempt, stamps: Mapping[str, Any]) -> PracticeEntry:
        dated, misdated = self._dating(reading)
        entry = PracticeEntry(
            session=self.session,
            uuid=uuids.UUID(reading.uuid),
            seq=self.session.seq + 1,
            kind=reading.kind,
            data=dict(reading.data),
            stamps=dict(stamps),
            device_time=reading.device_time,
            device_time_text=reading.device_time_text,
            received_at=self.received,
            dated_at=dated,
            misdated=misdated,
            offline=reading.offline,
            **self.writer.author.columns,
        )
        entry.fingerprint = records.fingerprint(self.session.fingerprint, entry)
        self.session.seq, self.session.fingerprint = entry.seq, entry.fingerprint
        self.stored.append(entry)
        self.entries[reading.uuid] = entry
        return entry

    def close(self) -> None:
        """Write what was taken, and the sums of the session."""
        if not self.stored:
            return
        PracticeEntry.objects.bulk_create(self.stored)
        Attempt.objects.bulk_create(self.new)
        old = [one for name, one in self.changed.items() if name not in {str(new.uuid) for new in self.new}]
        if old:
            Attempt.objects.bulk_update(old, ["struck_by", "struck_out_at"])
        standing = Attempt.objects.filter(session=self.session, struck_out_at__isnull=True)
        sums = standing.aggregate(tried=Count("pk"), made=Count("pk", filter=Q(outcome=Attempt.Outcome.MADE)))
        self.session.tried, self.session.made = sums["tried"], sums["made"]
        self.session.save(update_fields=["seq", "fingerprint", "tried", "made"])


def find_positions(
    usable: QuerySet[PracticePosition], named: Collection[int | str]
) -> dict[int | str, PracticePosition]:
    """Return the positions that ids or uuids name, by what named them; at most one question."""
    if not named:
        return {}
    ids = [one for one in named if isinstance(one, int)]
    rows = usable.filter(Q(pk__in=ids) | Q(uuid__in=[one for one in named if isinstance(one, str)]))
    found: dict[int | str, PracticePosition] = {}
    for row in rows:
        found |= {row.pk: row, str(row.uuid): row}
    return found


def _find_strokes(
    seen: QuerySet[Match], places: Collection[tuple[int, int]]
) -> dict[tuple[int, int], dict[str, Any]]:
    """Return what was told of strokes of matches, by match and place; at most one question."""
    if not places:
        return {}
    rows = StrokeProjection.objects.filter(
        match__in=seen.filter(pk__in={match for match, _place in places}),
        place__in={place for _match, place in places},
        kind__in=STROKES,
    )
    return {
        (row.match_id, row.place): {"cue_ball": row.colour}
        | {name: part for name, part in (row.details or {}).items() if name in OF_THE_BALLS}
        for row in rows
    }


# --- all of it again ---------------------------------------------------------


@transaction.atomic
def do_rebuild_session(session_id: int) -> list[str]:
    """Write the attempts of a session anew from its entries; return what was not as they have it."""
    session = lock(session_id)
    entries = list(session.entries.order_by("seq"))
    found = []
    broken = records.broken_at(entries)
    if broken is not None:
        found.append(f"entry {broken} is not the one that was written")
    before = [model_to_dict(row) for row in session.attempts.order_by("order")]
    attempts = fold(Game.of(session), entries)
    if before != [model_to_dict(row) for row in attempts]:
        found.append("attempt rows differed")
        session.attempts.all().delete()
        Attempt.objects.bulk_create(attempts)
    head = (entries[-1].seq, entries[-1].fingerprint) if entries else (0, "")
    sums = (*head, *counted(attempts))
    names = ["seq", "fingerprint", "tried", "made"]
    if sums != tuple(getattr(session, name) for name in names):
        found.append("session row differed")
        for name, value in zip(names, sums, strict=True):
            setattr(session, name, value)
        session.save(update_fields=names)
    return found
