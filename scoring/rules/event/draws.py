"""Stages and what was drawn in them. Results that advance are read from matches, never written here.

state["stages"]: by stage id as text, {kind, order, pairs, draw, aside}. `order` is its place among the
stages; `pairs` how many matches a free series was given one by one; `aside` the ids of matches that had
begun when the bracket was unlocked and in which others stand since.

draw: None, or {seq, uuid, way, seed, given, order, groups, clubs, double, third_place, after_draw,
order_of_four, format}. Entrants are named by the number of their entry, as text ("7"), so that anybody can
repeat the draw without names: `given` is the order of strength it was drawn from, `order` the order of
seeds that came out (of a round robin the numbers of the Berger table), `groups` who sits in which group,
in the order of seats (one group of all, but for kind `groups`). `seed` is the text that was drawn with,
`clubs` lists those who were kept apart, club by club. `drawn.work_out` makes order and groups.
"""

from __future__ import annotations

from typing import Any

from scoring.rules.groups import AFTER_DRAW, ORDERS_OF_FOUR
from scoring.rules.match.checks import Refused
from scoring.rules.reading import a_bool, a_choice, a_text, an_int
from scoring.rules.said import Malformed, said

from .entrants import IN, OUT
from .entry import EventEntry, Kind, State, an_id, ids

ROUND_ROBIN, GROUPS, KNOCKOUT, SERIES, LEAGUE = "round-robin", "groups", "knockout", "series", "league"
STAGE_KINDS = (ROUND_ROBIN, GROUPS, KNOCKOUT, SERIES, LEAGUE)
DRAWN_KINDS = frozenset({ROUND_ROBIN, GROUPS, KNOCKOUT})
# By ranking: as given. By pots: those of about equal strength are drawn. By lots: everybody is drawn.
WAYS = ("ranking", "pots", "lots")
MOST = 1000


def start() -> State:
    """Return the part of the state that is kept here."""
    return {"stages": {}}


def stage_of(state: State, stage: int) -> dict[str, Any]:
    """Return a stage. Raises Refused for one that is not there."""
    found = state["stages"].get(str(stage))
    if found is None:
        raise Refused("no-such-stage", said("This competition has no such stage."))
    return found


def players_of(state: State) -> dict[str, int]:
    """Return player ids by the number of their entry, as text: the names a draw knows."""
    return {str(one["number"]): int(key) for key, one in state["entrants"].items()}


def _number(value: Any, name: str) -> str:
    if not isinstance(value, str) or not value.isascii() or not value.isdigit() or not 1 <= len(value) <= 5:
        raise Malformed(name, said("the number of an entry is needed here, as text"))
    return value


def _numbers(value: Any, name: str) -> list[str]:
    if not isinstance(value, list) or len(value) > MOST:
        raise Malformed(name, said("a list of at most %(most)s numbers is needed here", most=MOST))
    read = [_number(one, name) for one in value]
    if len(set(read)) < len(read):
        raise Malformed(name, said("a number stands here twice"))
    return read


def _lists(value: Any, name: str) -> list[list[str]]:
    if not isinstance(value, list) or len(value) > MOST:
        raise Malformed(name, said("lists of numbers are needed here"))
    return [_numbers(one, name) for one in value]


def _an_object(value: Any, name: str) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise Malformed(name, said("an object is needed here"))
    return value


def _seed(value: Any, name: str) -> str:
    return "" if value == "" else a_text(value, name, 200)


def _stage(state: State, entry: EventEntry) -> None:
    """Make a stage."""
    told = entry.fields
    key = str(told["stage"])
    if key in state["stages"]:
        raise Refused("stage-known", said("This stage stands already."))
    order = told.get("order", len(state["stages"]))
    state["stages"][key] = {"kind": told["kind"], "order": order, "pairs": 0, "draw": None, "aside": []}


def _draw(state: State, entry: EventEntry) -> None:
    """Draw a stage, or draw it again: whoever calls has seen that none of its matches has begun."""
    told = entry.fields
    stage = stage_of(state, told["stage"])
    if stage["kind"] not in DRAWN_KINDS:
        raise Refused("nothing-to-draw", said("Nothing is drawn in a stage of this kind."))
    seated = [number for group in told["groups"] for number in group]
    if len(seated) < 2 or sorted(seated) != sorted(told["order"]) or sorted(seated) != sorted(told["given"]):
        raise Malformed("groups", said("everybody who is drawn sits in one group, and at least two are"))
    statuses = {str(one["number"]): one["status"] for one in state["entrants"].values()}
    for number in seated:
        if number not in statuses:
            raise Malformed("groups", said("the number of an entry is needed here, as text"))
        if statuses[number] in OUT:
            raise Refused(
                "left-before", said("A player who has left cannot be drawn. Bring the player back.")
            )
    stage["aside"] = []
    stage["draw"] = {
        "seq": entry.seq,
        "uuid": entry.uuid,
        "way": told["way"],
        "seed": told.get("seed", ""),
        "given": list(told["given"]),
        "order": list(told["order"]),
        "groups": [list(group) for group in told["groups"]],
        "clubs": [list(club) for club in told.get("clubs", [])],
        "double": told.get("double", False),
        "third_place": told.get("third_place", False),
        "after_draw": told.get("after_draw", AFTER_DRAW[0]),
        "order_of_four": told.get("order_of_four", ORDERS_OF_FOUR[0]),
        "format": dict(told.get("format", {})),
    }


def _undraw(state: State, entry: EventEntry) -> None:
    """Take a draw back: whoever calls has seen that none of its matches has begun."""
    stage = stage_of(state, entry.fields["stage"])
    if stage["draw"] is None:
        raise Refused("not-drawn", said("Nothing is drawn in this stage yet."))
    stage["draw"] = None
    stage["aside"] = []


def _replace(state: State, entry: EventEntry) -> None:
    """Let one entrant take the seat of another: a reserve who moves up."""
    stage = stage_of(state, entry.fields["stage"])
    draw = stage["draw"]
    if draw is None:
        raise Refused("not-drawn", said("Nothing is drawn in this stage yet."))
    gone, comes = (state["entrants"].get(str(entry.fields[name])) for name in ("player", "by"))
    if gone is None or str(gone["number"]) not in draw["order"]:
        raise Refused("not-drawn-in", said("This player has no seat in this stage."))
    if comes is None or comes["status"] not in IN or str(comes["number"]) in draw["order"]:
        raise Refused("not-free", said("Whoever takes the seat is entered, and has none in this stage yet."))
    old, new = str(gone["number"]), str(comes["number"])
    draw["order"] = [new if one == old else one for one in draw["order"]]
    draw["groups"] = [[new if one == old else one for one in group] for group in draw["groups"]]


def _pair(state: State, entry: EventEntry) -> None:
    """Add one match to a free series."""
    stage = stage_of(state, entry.fields["stage"])
    if stage["kind"] != SERIES:
        raise Refused("no-series", said("Matches are added one by one to a free series only."))
    if len(entry.fields["players"]) != 2:
        raise Malformed("players", said("Two different players are needed."))
    for player in entry.fields["players"]:
        if state["entrants"].get(str(player), {}).get("status") not in IN:
            raise Refused("not-entered", said("This player is not entered. Enter the player first."))
    stage["pairs"] += 1


def _unlock(state: State, entry: EventEntry) -> None:
    """Let a corrected result through into a bracket that has begun; `matches` had begun and are set aside."""
    stage = stage_of(state, entry.fields["stage"])
    if stage["kind"] != KNOCKOUT or stage["draw"] is None:
        raise Refused("not-drawn", said("Nothing is drawn in this stage yet."))
    stage["aside"] = sorted({*stage["aside"], *entry.fields["matches"]})


_STAGE = {"stage": an_id}
_ONE = frozenset({"stage"})
_DRAWN = {
    "stage": an_id,
    "way": lambda value, name: a_choice(value, name, WAYS),
    "seed": _seed,
    "given": _numbers,
    "order": _numbers,
    "groups": _lists,
    "clubs": _lists,
    "double": a_bool,
    "third_place": a_bool,
    "after_draw": lambda value, name: a_choice(value, name, AFTER_DRAW),
    "order_of_four": lambda value, name: a_choice(value, name, ORDERS_OF_FOUR),
    "format": _an_object,
}

KINDS = {
    "stage": Kind(
        _stage,
        {
            "stage": an_id,
            "kind": lambda value, name: a_choice(value, name, STAGE_KINDS),
            "order": lambda value, name: an_int(value, name, 0, MOST),
        },
        frozenset({"stage", "kind"}),
    ),
    "draw": Kind(_draw, _DRAWN, frozenset({"stage", "way", "given", "order", "groups"})),
    "undraw": Kind(_undraw, _STAGE, _ONE),
    "replace": Kind(
        _replace, {"stage": an_id, "player": an_id, "by": an_id}, frozenset({"stage", "player", "by"})
    ),
    "pair": Kind(_pair, {"stage": an_id, "players": ids}, frozenset({"stage", "players"})),
    "unlock": Kind(_unlock, {"stage": an_id, "matches": ids}, frozenset({"stage", "matches"})),
}
