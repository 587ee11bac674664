"""The shape of an entry of a competition's ledger, and of the state they add up to."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from scoring.rules.said import Malformed, said

# What `kinds.start` gives, as every entry left it; JSON throughout.
State = dict[str, Any]
# Returns a value as it is kept, or raises Malformed with the field.
Reader = Callable[[Any, str], Any]

# Words that may name a person: kept apart from the ledger, where they can be erased.
FREE_TEXT = frozenset({"why", "decision"})
MAX_ID = 2**31 - 1


@dataclass(frozen=True)
class EventEntry:
    """One entry: `at` is the moment it was received, ISO 8601 in UTC."""

    kind: str
    fields: Mapping[str, Any]
    seq: int = 0
    uuid: str = ""
    at: str = ""


@dataclass(frozen=True)
class Kind:
    """What an entry of a kind may hold and what it does.

    apply changes the state it is given, or raises Refused with what to do; it must not look at a
    clock, a database or free text, so that a fold of the same entries gives the same state.
    """

    apply: Callable[[State, EventEntry], None]
    fields: Mapping[str, Reader] = field(default_factory=dict)
    needed: frozenset[str] = frozenset()


def an_id(value: Any, name: str) -> int:
    """Return the id of a row."""
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= MAX_ID:
        raise Malformed(name, said("an id is needed here"))
    return value


def ids(value: Any, name: str) -> list[int]:
    """Return a list of ids, none of them twice, at most 1,000."""
    if not isinstance(value, list) or len(value) > 1000:
        raise Malformed(name, said("a list of at most %(most)s ids is needed here", most=1000))
    read = [an_id(one, f"{name}.{place}") for place, one in enumerate(value)]
    if len(set(read)) < len(read):
        raise Malformed(name, said("an id stands here twice"))
    return read
