"""Writes the demo's matches through the ledger, as the referee's device would."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from clubsite.demo.club import DemoClub
from clubsite.demo.fixture import entries_of
from scoring import ledger

MOST = 500  # entries in one list


class NotAccepted(Exception):
    """The ledger did not take an entry of the demo."""


def do_replay(
    demo: DemoClub, fixture: Mapping[str, Any], progress: Callable[[int, int], None] = lambda done, of: None
) -> int:
    """Write every entry that the ledger does not hold yet; return how many were written.

    `progress` is told after each match how many are done, of how many.
    Raises NotAccepted with the match and the reason.
    """
    author = ledger.Author(user_id=demo.users["referee"].pk)
    rows = fixture["matches"]
    written = 0
    for done, row in enumerate(rows, start=1):
        match = demo.matches[row["code"]]
        sent = entries_of(row, demo.player_ids, demo.now, demo.zone)
        for begin in range(0, len(sent), MOST):
            outcomes, _state = ledger.append_list(match.pk, sent[begin : begin + MOST], author)
            for outcome in outcomes:
                if outcome.status == "refused":
                    raise NotAccepted(f"{match}: {outcome.reason}")
                written += outcome.status == "stored"
        progress(done, len(rows))
    return written
