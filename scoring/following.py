"""What is brought up to date in the transaction that changes a match, in the order it was registered.

`scoring.ledger` calls; `scoring.apps` registers when the site starts. A follower must cost the same
however many matches the database holds.
"""

from __future__ import annotations

from collections.abc import Callable

from scoring.models import Match
from scoring.rules.match.state import State, status

# Takes the locked match, its rows written.
Follower = Callable[[Match], None]
_changed: dict[str, Follower] = {}
_made: dict[str, Follower] = {}


def register_follower(name: str, changed: Follower, made: Follower | None = None) -> None:
    """Let `changed` follow the confirmed figures of matches, and `made` their making. Once a name."""
    _changed[name] = changed
    if made is not None:
        _made[name] = made


def is_followed(before: State, after: State) -> bool:
    """Whether figures may have changed that count: the match is or was confirmed, or a protest moved."""
    return "confirmed" in (status(before), status(after)) or protests(before) != protests(after)


def protests(state: State) -> list[int]:
    """Return the entries that are disputed and not settled."""
    return [flag["seq"] for flag in state["flags"] if flag.get("code") == "disputed"]


def tell_changed(match: Match) -> None:
    """Bring up to date what follows the figures of a match."""
    for follower in _changed.values():
        follower(match)


def tell_made(match: Match) -> None:
    """Bring up to date what follows which matches there are."""
    for follower in _made.values():
        follower(match)
