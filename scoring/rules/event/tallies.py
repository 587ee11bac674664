"""From a match, as its rows or its ledger have it, to what it brings to the standings.

Everything a competition chose is applied here, and nothing else decides: points schemes, what was
forfeited by leaving, what who did not turn up is credited with.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from scoring.rules.averages import average
from scoring.rules.handicaps import rounded
from scoring.rules.points import Awarded, award
from scoring.rules.said import said
from scoring.rules.standings import Result, Side, with_withdrawn

from .entrants import OUT
from .regulations import Regulations

# How a match ended -> what it is for the sums; whatever else ended it was played.
ENDED = {
    "concession": "retired",
    "retirement": "retired",
    "walkover": "walkover",
    "award": "award",
    "disqualified": "disqualified",
    "annulled": "annulled",
}


@dataclass(frozen=True)
class Figures:
    """What one side made. own: points and innings of the average that held when the match was opened."""

    key: int
    points: int = 0
    innings: int = 0
    high_run: int = 0
    sets_won: int = 0
    distance: int | None = None
    own: tuple[int, int] | None = None


@dataclass(frozen=True)
class Tally:
    """A match: confirmed or not, begun or not, how it ended, who won (None: nobody), whether protested."""

    first: Figures
    second: Figures
    confirmed: bool
    begun: bool = True
    ended_by: str | None = None
    winner: int | None = None
    protested: bool = False

    @property
    def sides(self) -> tuple[Figures, Figures]:
        return self.first, self.second


Entrants = Mapping[str, Mapping[str, Any]]


def result_of(tally: Tally, regulations: Regulations, entrants: Entrants) -> Result:
    """Return a match as it counts: not played yet until it is confirmed, forfeited by who left."""
    outcome = ENDED.get(tally.ended_by or "", "played") if tally.confirmed else None
    first, second = (
        Side(one.key, one.points, one.innings, one.high_run, one.distance, one.sets_won)
        for one in tally.sides
    )
    winner = tally.winner if tally.confirmed else None
    result = _left(Result(first, second, outcome, winner, tally.protested), tally, regulations, entrants)
    sides = [
        _paid(result, side, one, regulations) for side, one in zip(result.sides, tally.sides, strict=True)
    ]
    return replace(result, first=sides[0], second=sides[1])


def _left(result: Result, tally: Tally, regulations: Regulations, entrants: Entrants) -> Result:
    """Apply leaving: a match that is under way is for its ledger to end."""
    gone = {}
    for side in result.sides:
        entrant = entrants.get(str(side.key))
        if entrant is not None and entrant["status"] in OUT:
            gone[side.key] = regulations.withdrawals == "annul" or bool(entrant.get("annul"))
    if any(gone.values()):
        return with_withdrawn([result], {key for key, annul in gone.items() if annul}, "annul")[0]
    if gone and not tally.begun:
        return with_withdrawn([result], gone, "keep")[0]
    return result


def _paid(result: Result, side: Side, one: Figures, regulations: Regulations) -> Side:
    """Return a side with the points of the scheme, and with what an absent player is credited with."""
    if result.outcome == "walkover" and result.winner != side.key and regulations.absent == "own-average":
        side = replace(side, **_credit(one))
    paid = award_of(result, one, regulations)
    return side if paid is None else replace(side, match_points=paid.points)


def _credit(one: Figures) -> dict[str, int]:
    """Return the own distance, in as many innings as the own average takes for it; whole innings."""
    own = average(*one.own) if one.own else None
    if not own or not one.distance:
        return {"points": 0, "innings": 0}
    return {"points": one.distance, "innings": max(1, rounded(one.distance / own, "half-up"))}


def award_of(result: Result, one: Figures, regulations: Regulations) -> Awarded | None:
    """Return what a points scheme gives one side, with its working; None without a scheme, or without a result.

    Where an outcome brings match points alone, nothing that was made is looked at.
    """
    scheme = regulations.points_scheme
    if scheme is None or result.outcome is None or result.outcome == "annulled":
        return None
    if result.winner is None:
        outcome = "draw" if result.outcome == "played" else "loss"
    else:
        outcome = "win" if result.winner == one.key else "loss"
    if regulations.counting.counts[result.outcome] != "all" or result.outcome == "walkover":
        return award(scheme, outcome, 0, 0)
    own: Fraction | None = average(*one.own) if one.own else None
    paid = award(scheme, outcome, one.points, one.innings, one.distance, own)
    if scheme.own_average is not None and own is None and one.innings:
        line = said("no own average is known for that day, so none was beaten")
        return Awarded(paid.points, (*paid.working, line))
    return paid
