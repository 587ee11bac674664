"""What is brought up to date in the transaction that changes a match, in the order it was registered.

`scoring.ledger` calls; `scoring.apps` registers when the site starts. A follower must cost the same
however many matches the database holds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar

from scoring.models import CompetitionEntry, Match
from scoring.rules.match.state import State, status

OVER = frozenset({"over", "confirmed"})
# Takes the locked match, its rows written.
Follower = Callable[[Match], None]
# Takes matches that were just made, in one transaction.
MakingFollower = Callable[[Sequence[Match]], None]
# Takes an entry of a competition's ledger, stored and folded.
EntryFollower = Callable[[CompetitionEntry], None]

_changed: dict[str, Follower] = {}
_ended: dict[str, Follower] = {}
_made: dict[str, MakingFollower] = {}
_recorded: dict[str, EntryFollower] = {}
_gathering: ContextVar[list[Match] | None] = ContextVar("gathering", default=None)


def register_follower(
    name: str,
    changed: Follower | None = None,
    made: MakingFollower | None = None,
    recorded: EntryFollower | None = None,
    ended: Follower | None = None,
) -> None:
    """Let functions follow the confirmed figures of matches, their making, and a competition's ledger.

    ended: follows matches that are over, confirmed or not.

    Once a name: a second registration takes the place of the first.
    """
    if changed is not None:
        _changed[name] = changed
    if made is not None:
        _made[name] = made
    if recorded is not None:
        _recorded[name] = recorded
    if ended is not None:
        _ended[name] = ended


def is_followed(before: State, after: State) -> bool:
    """Whether figures may have changed that count: the match is or was confirmed, or a protest moved."""
    return "confirmed" in (status(before), status(after)) or protests(before) != protests(after)


def has_ended(before: State, after: State) -> bool:
    """Whether the match is or was over, so that its result may have changed."""
    return not OVER.isdisjoint((status(before), status(after)))


def protests(state: State) -> list[int]:
    """Return the entries that are disputed and not settled."""
    return [flag["seq"] for flag in state["flags"] if flag.get("code") == "disputed"]


def tell_changed(match: Match) -> None:
    """Bring up to date what follows the figures of a match."""
    for follower in _changed.values():
        follower(match)


@contextmanager
def gathered() -> Iterator[None]:
    """Tell of all matches made inside at once, at the end: a draw makes hundreds. Inside a transaction."""
    if _gathering.get() is not None:
        yield
        return
    matches: list[Match] = []
    token = _gathering.set(matches)
    try:
        yield
    finally:
        _gathering.reset(token)
    if matches:
        _tell_made(matches)


def tell_ended(match: Match) -> None:
    """Bring up to date what follows the result of a match, confirmed or not."""
    for follower in _ended.values():
        follower(match)


def tell_made(match: Match) -> None:
    """Bring up to date what follows which matches there are; at the end where they are gathered."""
    waiting = _gathering.get()
    if waiting is None:
        _tell_made([match])
    else:
        waiting.append(match)


def _tell_made(matches: Sequence[Match]) -> None:
    for follower in _made.values():
        follower(matches)


def tell_recorded(entry: CompetitionEntry) -> None:
    """Bring up to date what follows an entry of a competition's ledger."""
    for follower in _recorded.values():
        follower(entry)
