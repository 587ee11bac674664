"""Writing matches through the ledger, for tests of what pages show."""

from __future__ import annotations

import uuid

from scoring import ledger
from scoring.ledger import Author
from scoring.models import Match, MatchProjection

ORGANISER = Author(organises=True)


def write(match: Match, kind: str, author: Author = ORGANISER, **fields) -> str:
    """Append an entry that is accepted; return its uuid, by which others may name it."""
    name = str(uuid.uuid4())
    after = MatchProjection.objects.get(match=match).seq
    outcome, _state = ledger.append(match.pk, {"uuid": name, "after": after, "kind": kind, **fields}, author)
    assert outcome.status == "stored", str(outcome.reason)
    return name


def opened(match: Match, starter: int | None = None) -> Match:
    """Open a match; the first entrant has White unless said otherwise."""
    write(match, "open", starter=starter or match.entrant_a_id, decided_by="lag")
    return match


def innings(match: Match, *runs: int) -> list[str]:
    """Write whole innings, White's first; return their uuids."""
    return [write(match, "inning", run=run) for run in runs]
