"""A whole team withdraws from a season, and comes back while nothing followed.

By the regulations what it played is kept, and the rest goes to the other sides; or all of it counts for
nobody (keep and annul, as of players: `scoring.rules.standings.with_withdrawn`). A team that left has
`left` in state["season"]["teams"], {annul}; its encounters name it in `left` where that decided them.
"""

from __future__ import annotations

from typing import Any

from scoring.rules.match.checks import Refused
from scoring.rules.reading import a_bool
from scoring.rules.said import said

from .encounters import SIDES, is_annulled
from .entry import EventEntry, Kind, State, an_id
from .season import team_of


def start() -> State:
    """Return the part of the state that is kept here: none, it stands with teams and encounters."""
    return {}


def has_left(state: State, team: int) -> bool:
    """Whether a team withdrew from the season."""
    return state["season"]["teams"].get(str(team), {}).get("left") is not None


def decided_by_leaving(state: State, team: int, annul: bool) -> list[int]:
    """Return the encounters that a team's leaving decides, in order: all, or those without a sheet or award."""
    found = []
    for key, one in state["encounters"].items():
        own = team in (one["home"], one["away"])
        open_yet = one["entered"] is None and (one["award"] is None or one.get("left"))
        if own and (annul or open_yet):
            found.append(int(key))
    return found


def _decide(one: dict[str, Any]) -> None:
    """Award an encounter by who left; an award that was there before is put back with the last of them."""
    left = one["left"]
    if not left:
        one["award"] = one.pop("award_before", None)
        return
    there = [one[side] for side in SIDES if one[side] not in [gone["team"] for gone in left]]
    annulled = is_annulled(one)
    to = None if annulled or not there else there[0]
    one["award"], one["proposed"] = {"to": to, "walkover": not annulled}, None


def _withdraw(state: State, entry: EventEntry) -> None:
    team, annul = entry.fields["team"], entry.fields["annul"]
    known = team_of(state, team)
    if known.get("left") is not None:
        raise Refused("left-before", said("This team has withdrawn already."))
    _not_settled(state)
    for pk in decided_by_leaving(state, team, annul):
        one = state["encounters"][str(pk)]
        if not one.setdefault("left", []):
            one["award_before"] = one["award"]
        one["left"].append({"team": team, "annul": annul})
        _decide(one)
    known["left"] = {"annul": annul}


def _reinstate(state: State, entry: EventEntry) -> None:
    team = entry.fields["team"]
    known = team_of(state, team)
    if known.get("left") is None:
        raise Refused("not-left", said("This team has not withdrawn."))
    _not_settled(state)
    for one in state["encounters"].values():
        held = one.get("left", [])
        kept = [gone for gone in held if gone["team"] != team]
        if len(kept) < len(held):
            one["left"] = kept
            _decide(one)
    known["left"] = None


def _not_settled(state: State) -> None:
    if state["season"]["settled"] is not None:
        raise Refused(
            "settled", said("Promotion and relegation are settled, and rest on this. Take that back first.")
        )


KINDS = {
    "team-withdraw": Kind(_withdraw, {"team": an_id, "annul": a_bool}, frozenset({"team", "annul", "why"})),
    "team-reinstate": Kind(_reinstate, {"team": an_id}, frozenset({"team", "why"})),
}
