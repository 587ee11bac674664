"""What is told beside a stroke by those who read the ledger: named here, so that no arrow turns round.

A layer above registers a teller when the site starts; the API asks all of them, each once for a
whole match, however many strokes are shown. Attempts at practice are told about likewise, and what
chance a handicap makes.
"""

from __future__ import annotations

import uuid as uuids
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from scoring.models import Club, Match, Player

# The match and the places of its strokes that are shown -> what is told of each, by place.
Teller = Callable[[Match, Collection[int]], Mapping[int, Any]]

# The attempts that are shown -> what is told of each.
AttemptTeller = Callable[[Collection[uuids.UUID]], Mapping[uuids.UUID, Any]]

_tellers: dict[str, Teller] = {}
_attempt_tellers: dict[str, AttemptTeller] = {}


def register_teller(name: str, teller: Teller) -> None:
    """Let strokes carry the field `name`, null where `teller` has nothing to tell."""
    _tellers[name] = teller


def names_beside() -> list[str]:
    """Return the fields that strokes carry."""
    return list(_tellers)


def told_beside(match: Match, places: Collection[int]) -> dict[int, dict[str, Any]]:
    """Return the fields that stand beside the stroke of each place."""
    told: dict[int, dict[str, Any]] = {place: {} for place in places}
    for name, teller in _tellers.items():
        known = teller(match, places) if places else {}
        for place, fields in told.items():
            fields[name] = known.get(place)
    return told


def register_attempt_teller(name: str, teller: AttemptTeller) -> None:
    """Let attempts carry the field `name`, null where `teller` has nothing to tell."""
    _attempt_tellers[name] = teller


def told_beside_attempts(attempts: Collection[uuids.UUID]) -> dict[uuids.UUID, dict[str, Any]]:
    """Return the fields that stand beside each attempt."""
    told: dict[uuids.UUID, dict[str, Any]] = {attempt: {} for attempt in attempts}
    for name, teller in _attempt_tellers.items():
        known = teller(attempts) if attempts else {}
        for attempt, fields in told.items():
            fields[name] = known.get(attempt)
    return told


@dataclass(frozen=True)
class Chance:
    """How often the first of two would win, a draw as half, and the range it lies in 9 times in 10."""

    mean: float
    low: float
    high: float


# Two players and the distances each plays to, in a discipline -> the chance, None where too little is known.
Pairing = tuple[Player, int, Player, int]
ChanceTeller = Callable[[Club, str, Sequence[Pairing]], Sequence[Chance | None]]
_chance_tellers: list[ChanceTeller] = []


def register_chance_teller(teller: ChanceTeller) -> None:
    """Let handicaps be shown with the chance they make."""
    _chance_tellers[:] = [teller]


def told_chances(club: Club, discipline: str, pairings: Sequence[Pairing]) -> list[Chance | None]:
    """Return the chance of the first player of each pairing; None where nobody can tell it."""
    for teller in _chance_tellers:
        return list(teller(club, discipline, pairings))
    return [None] * len(pairings)
