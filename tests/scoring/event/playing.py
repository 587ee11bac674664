"""Playing the matches of a competition in a test: through the ledger, as the API writes them."""

from __future__ import annotations

import uuid

from scoring import ledger
from scoring.ledger import Author
from scoring.models import Match

ORGANISER = Author(organises=True)


def write(match: Match, *entries: dict) -> None:
    """Append entries to a match as its organiser; every one is stored."""
    seq = Match.objects.get(pk=match.pk).projection.seq
    sent = [{"uuid": str(uuid.uuid4()), "after": seq} | entry for entry in entries]
    outcomes, _state = ledger.append_list(match.pk, sent, ORGANISER)
    for outcome in outcomes:
        if outcome.error is not None:
            raise outcome.error


def result(match: Match, winner: int | None, runs: tuple[int, int] = (5, 3)) -> None:
    """Play a match in one inning of each and confirm it; without a winner both make the same."""
    first, _second = match.entrant_ids
    if winner is None:
        made = (2, 2)
    else:
        made = runs if winner == first else (runs[1], runs[0])
    totals = {
        "outcome": "played",
        "score": {"white": made[0], "yellow": made[1]},
        "innings": {"white": 1, "yellow": 1},
        "why": "from the sheet",
    }
    write(
        match,
        {"kind": "open", "starter": first, "decided_by": "lag"},
        {"kind": "result"} | totals | ({} if winner is None else {"player": winner}),
        {"kind": "confirm"},
    )


def begin(match: Match) -> None:
    """Let a match begin."""
    write(match, {"kind": "open", "starter": match.entrant_a_id, "decided_by": "lag"})
