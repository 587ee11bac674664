"""Who takes part: entered, present, reserve, withdrawn, no-show, disqualified.

state["entrants"]: by player id as text, {number, status, seed, annul}. `number` is given once, in the
order of entering, and never again to somebody else: draws name entrants by it. `seed` is the place in
the order of strength, None where none was said. `annul`: the matches of who left count for nobody.
"""

from __future__ import annotations

from typing import Any

from scoring.rules.match.checks import Refused
from scoring.rules.reading import a_bool
from scoring.rules.said import said

from .entry import EventEntry, Kind, State, an_id, ids

ENTERED, PRESENT, RESERVE = "entered", "present", "reserve"
WITHDRAWN, NO_SHOW, DISQUALIFIED = "withdrawn", "no-show", "disqualified"
# Who is in, and who is out but may come back by `reinstate`.
IN = frozenset({ENTERED, PRESENT})
OUT = frozenset({WITHDRAWN, NO_SHOW, DISQUALIFIED})
STATUSES = (ENTERED, PRESENT, RESERVE, WITHDRAWN, NO_SHOW, DISQUALIFIED)


def start() -> State:
    """Return the part of the state that is kept here."""
    return {"entrants": {}}


def entrant(state: State, player: int) -> dict[str, Any]:
    """Return an entrant. Raises Refused for who never entered."""
    found = state["entrants"].get(str(player))
    if found is None:
        raise Refused("not-entered", said("This player is not entered. Enter the player first."))
    return found


def playing(state: State) -> list[int]:
    """Return the ids of who is in, by seed, those without one behind, in the order of entering."""
    within = [(int(key), one) for key, one in state["entrants"].items() if one["status"] in IN]
    within.sort(key=lambda pair: (pair[1]["seed"] is None, pair[1]["seed"] or 0, pair[1]["number"]))
    return [key for key, _ in within]


def _enter(state: State, entry: EventEntry) -> None:
    """Enter players, or put them on the list of reserves."""
    status = RESERVE if entry.fields.get("reserve") else ENTERED
    number = max((one["number"] for one in state["entrants"].values()), default=0)
    for player in entry.fields["players"]:
        known = state["entrants"].get(str(player))
        if known is not None and known["status"] in OUT:
            raise Refused("left-before", said("This player has left. Bring the player back instead."))
        if known is None:
            number += 1
            known = {"number": number, "seed": None, "annul": False}
            state["entrants"][str(player)] = known
        known["status"] = status


def _becomes(status: str, allowed: frozenset[str], code: str, reason: Any) -> Any:
    def apply(state: State, entry: EventEntry) -> None:
        one = entrant(state, entry.fields["player"])
        if one["status"] not in allowed:
            raise Refused(code, reason)
        one["status"] = status
        one["annul"] = bool(entry.fields.get("annul")) and status in OUT

    return apply


def _seeds(state: State, entry: EventEntry) -> None:
    """Order the entrants by strength; who is not named has no seed."""
    chosen = {str(player): place for place, player in enumerate(entry.fields["players"], 1)}
    for player in entry.fields["players"]:
        entrant(state, player)
    for key, one in state["entrants"].items():
        one["seed"] = chosen.get(key)


_GONE = said("This player has left. Bring the player back first.")
_HERE = said("This player has not left.")
_ONE = {"player": an_id}
_LEAVING = _ONE | {"annul": a_bool}
_PLAYER = frozenset({"player"})
_PLAYERS = frozenset({"players"})

KINDS = {
    "enter": Kind(_enter, {"players": ids, "reserve": a_bool}, _PLAYERS),
    "present": Kind(_becomes(PRESENT, IN | {RESERVE}, "left-before", _GONE), _ONE, _PLAYER),
    "absent": Kind(_becomes(ENTERED, IN, "left-before", _GONE), _ONE, _PLAYER),
    "withdraw": Kind(_becomes(WITHDRAWN, IN | {RESERVE}, "left-before", _GONE), _LEAVING, _PLAYER),
    "no-show": Kind(_becomes(NO_SHOW, IN | {RESERVE}, "left-before", _GONE), _LEAVING, _PLAYER),
    "disqualify": Kind(_becomes(DISQUALIFIED, IN, "left-before", _GONE), _LEAVING, _PLAYER),
    "reinstate": Kind(_becomes(PRESENT, OUT, "not-left", _HERE), _ONE, _PLAYER),
    "seeds": Kind(_seeds, {"players": ids}, _PLAYERS),
}
