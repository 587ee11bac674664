"""A drawn match of a knock-out: extra innings decide who goes on, and nobody does before them.

A confirmation of the draw is taken, as any is; what pages say of it is said here, and how it is struck
out again.
"""

from __future__ import annotations

import uuid as uuids

from scoring import ledger
from scoring.ledger import Author
from scoring.models import Match, MatchProjection, Stage
from scoring.rules.match.ends import DRAWN_BY
from scoring.rules.said import Malformed, said

OVER = (MatchProjection.Status.OVER, MatchProjection.Status.CONFIRMED)


def is_undecided(match: Match) -> bool:
    """Whether a match is over and drawn, so that extra innings may still decide it; asks nothing."""
    projection = match.projection
    state = projection.state
    return (
        projection.status in OVER
        and projection.winner_id is None
        and state.get("ended_by") in DRAWN_BY
        and state.get("extra") is None
        and match.format.get("sets_to_win") is None
    )


def in_knockout(match: Match) -> bool:
    """Whether somebody goes on from a match: one query, none where its stage was fetched along."""
    return match.group is not None and match.group.stage.kind == Stage.Kind.KNOCKOUT


def awaits_extra(match: Match) -> bool:
    """Whether extra innings are to be played, because somebody must go on."""
    return is_undecided(match) and in_knockout(match)


def do_let_play_on(match: Match, why: str, author: Author) -> None:
    """Strike out the confirmation of a draw, so that its extra innings can be played.

    Raises Malformed without a reason, and what the ledger refused.
    """
    if not why.strip():
        raise Malformed("why", said("Say why. It is kept with the entry."))
    confirmed = match.projection.state["confirm_seq"]
    entry = {"uuid": str(uuids.uuid4()), "after": match.projection.seq, "kind": "void"}
    outcome, _state = ledger.append(match.pk, entry | {"target": confirmed, "why": why}, author)
    if outcome.error is not None:
        raise outcome.error
