"""How the points of a points scheme came about: of one match, and of every match of a competition."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from scoring.models import Competition, Match
from scoring.rules.event.regulations import Regulations
from scoring.rules.event.tallies import Entrants, award_of, result_of
from scoring.rules.points import Awarded
from scoring.summing import Played, read_entrants, read_played


@dataclass(frozen=True)
class Working:
    """What a match brought a player against another, and why."""

    match: int
    player: int
    other: int
    awarded: Awarded


def read_workings(competition: Competition) -> list[Working]:
    """Return the working of every match that counts, in order; four queries, none without a scheme."""
    regulations = Regulations.stored(competition.regulations)
    if regulations.points_scheme is None:
        return []
    entrants = read_entrants(competition.pk)
    played = read_played(competition.pk, None, regulations)
    return [working for one in played for working in _of(one, regulations, entrants)]


def read_match_workings(match: Match) -> Mapping[int, Awarded]:
    """Return the working of one match by player; empty without a points scheme, or until it counts."""
    if match.competition is None:
        return {}
    regulations = Regulations.stored(match.competition.regulations)
    if regulations.points_scheme is None:
        return {}
    played = [
        one
        for one in read_played(match.competition.pk, match.entrant_ids, regulations)
        if one.match == match.pk
    ]
    entrants = read_entrants(match.competition.pk)
    return {one.player: one.awarded for found in played for one in _of(found, regulations, entrants)}


def _of(played: Played, regulations: Regulations, entrants: Entrants) -> list[Working]:
    result = result_of(played.tally, regulations, entrants)
    sides = played.tally.sides
    found = []
    for side, other in (sides, sides[::-1]):
        awarded = award_of(result, side, regulations)
        if awarded is not None:
            found.append(Working(played.match, side.key, other.key, awarded))
    return found
