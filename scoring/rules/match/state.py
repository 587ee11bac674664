"""The compact state of a match: plain JSON, its size independent of the match's length.

Keys
----
seq, play_seq : last entry; last entry that changes play.
confirm_seq, reopen_seq : latest standing confirmation; latest entry that undoes one.
players : colour -> player id; decided_by : how the start was decided.
turn : colour on turn, None before the opening and when over.
set, set_starter, sets : number of the set under way, who started it, sets won.
score, set_innings : of the set; points, innings, high_run : of the match.
open, run : whether a colour's inning is under way, and its points so far.
equalizing : the colour whose equalizing inning it is, or None.
opening : True where the next stroke starts from the opening position.
extra : None, or runs and open innings of both after a draw.
timeouts : used; suspended, table; position : the balls told before the next stroke.
over, ended_by, winner : winner is a player id, None for a draw.
rows : strokes and whole innings so far, counted or not.
opened_seq, ended_seq : the entries that opened the match and ended it.
flags, settled : open questions, and those that were answered.
"""

from __future__ import annotations

from typing import Any

from .colours import Colour, each
from .setup import Setup

State = dict[str, Any]

_PAIRS = (
    "players", "sets", "score", "set_innings", "points", "innings", "high_run", "open", "run",
    "timeouts",
)  # fmt: skip


def start(setup: Setup) -> State:
    """Return the state before the first entry."""
    return {
        "seq": 0,
        "play_seq": 0,
        "confirm_seq": 0,
        "reopen_seq": 0,
        "players": {"white": None, "yellow": None},
        "decided_by": None,
        "turn": None,
        "set": 1,
        "set_starter": "white",
        "sets": each(0),
        "score": each(0),
        "set_innings": each(0),
        "points": each(0),
        "innings": each(0),
        "high_run": each(0),
        "open": each(False),
        "run": each(0),
        "equalizing": None,
        "opening": False,
        "extra": None,
        "timeouts": each(0),
        "suspended": False,
        "table": setup.table,
        "position": None,
        "over": False,
        "ended_by": None,
        "winner": None,
        "rows": 0,
        "opened_seq": None,
        "ended_seq": None,
        "flags": [],
        "settled": [],
    }


def copied(state: State) -> State:
    """Return a state that can be changed without changing `state`."""
    fresh = dict(state)
    for name in _PAIRS:
        fresh[name] = dict(state[name])
    if state["extra"] is not None:
        extra = state["extra"]
        fresh["extra"] = {
            "white": list(extra["white"]),
            "yellow": list(extra["yellow"]),
            "open": dict(extra["open"]),
        }
    fresh["flags"] = list(state["flags"])
    fresh["settled"] = list(state["settled"])
    return fresh


def status(state: State) -> str:
    """Return planned, playing, suspended, over or confirmed."""
    if state["over"]:
        return "confirmed" if state["confirm_seq"] > state["reopen_seq"] else "over"
    if state["suspended"]:
        return "suspended"
    return "planned" if state["players"]["white"] is None else "playing"


def room(setup: Setup, state: State, colour: Colour) -> int | None:
    """Return the points `colour` has to go, or None where nothing bounds its run."""
    return None if state["extra"] is not None else left_to_go(setup, state, colour)


def left_to_go(setup: Setup, state: State, colour: Colour) -> int | None:
    """Return the own distance less the score, extra innings or not."""
    distance = setup.distance(state["players"], colour)
    return None if distance is None else distance - state["score"][colour]


def colour_of(state: State, player: int) -> Colour | None:
    """Return the colour of a player, None before the opening."""
    for colour, who in state["players"].items():
        if who == player:
            return colour
    return None


def inning_open(state: State, colour: Colour) -> bool:
    """True where an inning of `colour`, extra innings included, is under way."""
    extra = state["extra"]
    return extra["open"][colour] if extra is not None else state["open"][colour]
