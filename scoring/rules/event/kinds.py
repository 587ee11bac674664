"""Every kind of entry of a competition: reading what was sent, and folding a ledger."""

from __future__ import annotations

import copy
from collections.abc import Iterable, Mapping
from typing import Any

from scoring.rules.match.checks import Refused
from scoring.rules.reading import a_choice, a_text
from scoring.rules.said import Malformed, said

from . import day, draws, encounters, entrants, leaving_teams, publication, ranks, season
from .entry import FREE_TEXT, EventEntry, Kind, State

# Each has KINDS, and start() for its part of the state; no two share a key.
_PARTS: tuple[Any, ...] = (
    entrants,
    draws,
    day,
    publication,
    ranks,
    season,
    encounters,
    leaving_teams,
)
KINDS: Mapping[str, Kind] = {name: kind for part in _PARTS for name, kind in part.KINDS.items()}
LONGEST_TEXT = 1000


def start() -> State:
    """Return the state of a competition whose ledger is empty."""
    state: State = {}
    for part in _PARTS:
        state |= part.start()
    return state


def complete(state: State) -> State:
    """Return a copy of a stored state with the parts it was stored without: later kinds added them."""
    return start() | copy.deepcopy(state)


def read_entry(kind: Any, fields: Mapping[str, Any]) -> EventEntry:
    """Return the entry that was sent. Raises Malformed with the field; fields that are None are left out."""
    known = KINDS[a_choice(kind, "kind", KINDS)]
    read: dict[str, Any] = {}
    for name, value in fields.items():
        if value is None:
            continue
        if name in FREE_TEXT:
            read[name] = a_text(value, name, LONGEST_TEXT)
        elif name in known.fields:
            read[name] = known.fields[name](value, name)
        else:
            raise Malformed(name, said("this name is not known here"))
    for name in sorted(known.needed):
        if name not in read:
            raise Malformed(name, said("This field is needed."))
    return EventEntry(kind, read)


def apply(state: State, entry: EventEntry) -> State:
    """Return the state after an entry; the one given stays as it is. Raises Refused."""
    after = complete(state)
    KINDS[entry.kind].apply(after, entry)
    return after


def fold(entries: Iterable[EventEntry], after: State | None = None) -> State:
    """Return the state that a whole ledger adds up to, or what comes `after` a state, which is used up.

    Raises Refused for an entry that does not fit.
    """
    state = start() | (after or {})
    for entry in entries:
        KINDS[entry.kind].apply(state, entry)
    return state


__all__ = ["KINDS", "Refused", "apply", "complete", "fold", "read_entry", "start"]
