"""Closing a competition: from then on nothing of it is written, and one fingerprint proves that.

The fingerprint is SHA-256, in hexadecimal digits, of the UTF-8 bytes of one JSON text (names sorted, no
spaces) of this object:

    {"competition": the uuid of the competition,
     "ledger": the head of its own ledger before the entry that closes it,
     "matches": [[the uuid of a match, the number of its entries, the head of its ledger], ...]}

Matches stand in the order of their uuids; an empty ledger has the head "". A head is the fingerprint
of the last entry, and through it of all entries before. Verifying reads every entry again. What is
published may still change while a competition is closed: it is no part of what happened.
"""

from __future__ import annotations

import hashlib
import uuid as uuids
from dataclasses import dataclass
from itertools import groupby

from django.db import transaction
from django.db.models import Sum

from scoring import records, summing
from scoring.conducting import WHILE_CLOSED, Recorded, do_record
from scoring.ledger import Author
from scoring.models import Competition, CompetitionEntry, CompetitionProjection, MatchEntry, MatchProjection
from scoring.rules.match.checks import Refused
from scoring.rules.said import said

Head = tuple[str, int, str]
# So many entries of matches are read again for a visitor: a fraction of a second.
MOST_FOR_VISITORS = 10_000


def closing_fingerprint(competition: str, ledger: str, matches: list[Head]) -> str:
    """Return the fingerprint over the head of a competition's ledger and those of its matches."""
    proved = {"competition": competition, "ledger": ledger, "matches": sorted(map(list, matches))}
    return hashlib.sha256(records.canonical(proved).encode()).hexdigest()


def open_matches(competition: Competition) -> int:
    """Return how many matches are not confirmed; one query."""
    found = MatchProjection.objects.filter(match__competition=competition)
    return found.exclude(status=MatchProjection.Status.CONFIRMED).count()


def count_entries(competition: Competition) -> int:
    """Return how many entries the matches of a competition hold; one query."""
    found = MatchProjection.objects.filter(match__competition=competition)
    return found.aggregate(all=Sum("seq"))["all"] or 0


@transaction.atomic
def do_close(
    competition: Competition, author: Author, *, why: str = "", uuid: uuids.UUID | None = None
) -> Recorded:
    """Freeze a competition. Raises Refused: `open-matches` without why, `closed` where it is."""
    known = uuid is not None and CompetitionEntry.objects.filter(uuid=uuid).first()
    if known:
        fields = dict(known.data) | ({"why": why} if why else {})
        return do_record(competition, "close", fields, author, uuid=uuid)
    # The matches first, as whoever confirms one has it, so that none is written between reading its head
    # and storing the entry; then the competition, and with it those that were made meanwhile.
    locked = MatchProjection.objects.select_for_update(of=("self",)).filter(match__competition=competition)
    rows = locked.order_by("pk").values_list("match__uuid", "seq", "fingerprint", "status")
    list(rows)
    Competition.objects.select_for_update(of=("self",)).get(pk=competition.pk)
    projections = list(rows.all())
    still_open = sum(row[3] != MatchProjection.Status.CONFIRMED for row in projections)
    if still_open and not why:
        raise Refused(
            "open-matches",
            said(
                "%(count)s matches are not confirmed. Confirm them, or say why it is closed.",
                count=still_open,
            ),
        )
    head = CompetitionProjection.objects.filter(competition=competition).first()
    print_ = closing_fingerprint(
        str(competition.uuid),
        "" if head is None else head.fingerprint,
        [(str(name), seq, fingerprint) for name, seq, fingerprint, _status in projections],
    )
    fields = {"fingerprint": print_, "matches": len(projections), "open": still_open}
    done = do_record(competition, "close", fields | ({"why": why} if why else {}), author, uuid=uuid)
    competition.closed_at, competition.closing_fingerprint = done.entry.received_at, print_
    competition.save(update_fields=["closed_at", "closing_fingerprint"])
    return done


@transaction.atomic
def do_reopen(
    competition: Competition, author: Author, *, why: str, uuid: uuids.UUID | None = None
) -> Recorded:
    """Let a competition be written again; everybody reads when and why. Raises Refused, Malformed (`why`).

    Its standings are added up anew: own averages may have been backdated while it was closed.
    """
    done = do_record(competition, "reopen", {"why": why or None}, author, uuid=uuid)
    if not done.known:
        competition.closed_at, competition.closing_fingerprint = None, ""
        competition.save(update_fields=["closed_at", "closing_fingerprint"])
        summing.do_add_up(competition.pk)
    return done


@dataclass(frozen=True)
class Verdict:
    """What reading every ledger of a competition again found.

    closed: whether it is frozen at all. found: the fingerprint as it comes out now. broken: the
    matches, by id, of which an entry is not the one that was written. own_broken: whether the
    competition's own ledger is, or has an entry that a closed one does not take.
    """

    closed: bool
    stored: str
    found: str
    matches: int
    entries: int
    broken: tuple[int, ...] = ()
    own_broken: bool = False

    @property
    def holds(self) -> bool:
        """Whether everything is as it was when it was closed."""
        return self.closed and self.stored == self.found and not self.broken and not self.own_broken


def verify(competition: Competition) -> Verdict:
    """Work the fingerprint out again, from the entries alone; three queries, linear in the entries."""
    own = list(CompetitionEntry.objects.filter(competition=competition).order_by("seq"))
    last = max((at for at, row in enumerate(own) if row.kind == "close"), default=None)
    closed = competition.closed_at is not None
    before = own if last is None or not closed else own[:last]
    after = [] if last is None or not closed else own[last + 1 :]
    heads = {pk: (str(name), 0, "") for pk, name in competition.matches.values_list("pk", "uuid")}
    broken, count = [], 0
    entries = MatchEntry.objects.filter(match__competition=competition).order_by("match", "seq")
    for pk, rows in groupby(entries.iterator(chunk_size=2000), key=lambda row: row.match_id):
        ledger = list(rows)
        count += len(ledger)
        heads[pk] = (heads[pk][0], ledger[-1].seq, ledger[-1].fingerprint)
        if records.broken_at(ledger) is not None:
            broken.append(pk)
    stored = own[last].data["fingerprint"] if closed and last is not None else ""
    return Verdict(
        closed=closed,
        stored=stored if stored == competition.closing_fingerprint else competition.closing_fingerprint,
        found=closing_fingerprint(
            str(competition.uuid), before[-1].fingerprint if before else "", list(heads.values())
        ),
        matches=len(heads),
        entries=count + len(own),
        broken=tuple(broken),
        own_broken=records.broken_at(own) is not None
        or any(row.kind not in WHILE_CLOSED - {"reopen"} for row in after)
        or (closed and stored != competition.closing_fingerprint),
    )
