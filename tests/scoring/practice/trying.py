"""Writing attempts through the writer of practice, for tests of what they add up to."""

from __future__ import annotations

import uuid
from typing import Any

from scoring.access import Actor, visible_matches
from scoring.ledger import Author
from scoring.models import Attempt, PracticeSession
from scoring.practice_rights import visible_positions
from scoring.practising import AttemptOutcome, Writer, append_attempts
from tests.cast import LAYOUT

MADE = [{"ball": "yellow"}, {"rail": "left"}, {"rail": "top"}, {"rail": "right"}, {"ball": "red"}]
SHORT_OF_ONE = [{"ball": "yellow"}, {"rail": "left"}, {"rail": "top"}, {"ball": "red"}]
LINE = {"direction": 60.0, "speed": 3.0, "side": 0.2, "height": 0.1}


def writer_of(session: PracticeSession, **author: Any) -> Writer:
    """Return the session's player as its writer."""
    actor = Actor(session.player.user)
    return Writer(Author(**author), visible_positions(actor), visible_matches(actor))


def row(**fields: Any) -> dict[str, Any]:
    """Return an attempt as a device sends it; a miss from the usual layout unless said otherwise."""
    usual = {"layout": LAYOUT, "cue_ball": "white", "outcome": "missed"}
    return {"uuid": str(uuid.uuid4())} | {
        name: part for name, part in (usual | fields).items() if part is not None
    }


def send(session: PracticeSession, *rows: dict[str, Any], **author: Any) -> list[AttemptOutcome]:
    """Append rows and return what became of them."""
    return append_attempts(session.pk, rows, writer_of(session, **author))


def tried(session: PracticeSession, **fields: Any) -> Attempt:
    """Append one attempt that is accepted, and return it as it is stored."""
    (outcome,) = send(session, row(**fields))
    assert outcome.status == "stored", str(outcome.reason)
    return Attempt.objects.get(uuid=outcome.uuid)


def strike(session: PracticeSession, target: str) -> str:
    """Strike out an attempt, or take a strike-out back; return the uuid of the row."""
    sent = {"uuid": str(uuid.uuid4()), "void": str(target)}
    (outcome,) = send(session, sent)
    assert outcome.status == "stored", str(outcome.reason)
    return sent["uuid"]
