"""What happens on the day: tables, who is called where, what waits.

state["day"]: {opened, ended, tables, out, referees, calls, held, first, earliest}.
`opened`, `ended`: moments, None while it was not said. `tables`: ids of the tables in use, in the order they
are filled; empty: every table of the club. `out`: by table id as text, {from, until, seq} of a table that is
out of order; `until` None: nobody knows. `referees`: ids of the players who may be asked to referee.
`calls`: by match id as text, {table, referee, at, seq, moved}; referee None where nobody was named, `moved`
the table it was begun on, None where it was not moved. A call stays when its match is over: it tells
where it was played. `held`: ids of matches held back. `first`: ids of matches brought forward, the
latest first. `earliest`: by match id as text, the moment before which it is not called.
Moments are ISO 8601 in UTC, as text. Whether a match has begun or a table is taken is told by the matches:
whoever records has looked.
"""

from __future__ import annotations

import datetime
from typing import Any

from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed, said

from .entry import EventEntry, Kind, State, an_id, ids


def start() -> State:
    """Return the part of the state that is kept here."""
    return {
        "day": {
            "opened": None,
            "ended": None,
            "tables": [],
            "out": {},
            "referees": [],
            "calls": {},
            "held": [],
            "first": [],
            "earliest": {},
        }
    }


def moment(value: Any, name: str) -> str:
    """Return a moment with its offset, in UTC."""
    try:
        read = datetime.datetime.fromisoformat(value) if isinstance(value, str) and len(value) < 40 else None
        if read is None or read.tzinfo is None:
            raise ValueError(value)
        return read.astimezone(datetime.UTC).isoformat()
    except (ValueError, OverflowError):
        raise Malformed(name, said("a moment with its offset is needed here")) from None


def in_use(state: State, table: int) -> bool:
    """Whether a table is one of those of the competition."""
    chosen = state["day"]["tables"]
    return not chosen or table in chosen


def _open(state: State, entry: EventEntry) -> None:
    if state["day"]["opened"] is not None and state["day"]["ended"] is None:
        raise Refused("day-open", said("The day is open already."))
    state["day"]["opened"], state["day"]["ended"] = entry.at, None


def _end(state: State, entry: EventEntry) -> None:
    if state["day"]["opened"] is None or state["day"]["ended"] is not None:
        raise Refused("day-not-open", said("The day is not open."))
    state["day"]["ended"] = entry.at


def _tables(state: State, entry: EventEntry) -> None:
    """Say which tables are used; an empty list means every table of the club."""
    state["day"]["tables"] = list(entry.fields["tables"])


def _out(state: State, entry: EventEntry) -> None:
    table, began = entry.fields["table"], entry.fields.get("from", entry.at)
    until = entry.fields.get("until")
    if not in_use(state, table):
        raise Refused("table-not-used", said("This table is not in use here."))
    if until is not None and until <= began:
        raise Malformed("until", said("a moment after the first is needed here"))
    state["day"]["out"][str(table)] = {"from": began, "until": until, "seq": entry.seq}


def _back(state: State, entry: EventEntry) -> None:
    if state["day"]["out"].pop(str(entry.fields["table"]), None) is None:
        raise Refused("table-not-out", said("This table is not out of order."))


def _referees(state: State, entry: EventEntry) -> None:
    state["day"]["referees"] = list(entry.fields["players"])


def _fit(state: State, table: int, at: str) -> None:
    if not in_use(state, table):
        raise Refused("table-not-used", said("This table is not in use here."))
    out = state["day"]["out"].get(str(table))
    if out is not None and out["from"] <= at and (out["until"] is None or at < out["until"]):
        raise Refused("table-out", said("This table is out of order. Choose another one."))


def _call(state: State, entry: EventEntry) -> None:
    """Call a match, or call it again to another table."""
    told, day = entry.fields, state["day"]
    _fit(state, told["table"], entry.at)
    match = told["match"]
    if match in day["held"]:
        raise Refused("held", said("This match is held back. Release it first."))
    day["calls"][str(match)] = {
        "table": told["table"],
        "referee": told.get("referee"),
        "at": entry.at,
        "seq": entry.seq,
        "moved": None,
    }
    day["first"] = [one for one in day["first"] if one != match]


def _take_back(state: State, entry: EventEntry) -> None:
    if state["day"]["calls"].pop(str(entry.fields["match"]), None) is None:
        raise Refused("not-called", said("This match is not called."))


def _move(state: State, entry: EventEntry) -> None:
    """Move a match in the middle; `left` is the table it was played on so far."""
    told = entry.fields
    _fit(state, told["table"], entry.at)
    known = state["day"]["calls"].get(str(told["match"]), {"referee": None})
    state["day"]["calls"][str(told["match"])] = {
        "table": told["table"],
        "referee": known["referee"],
        "at": entry.at,
        "seq": entry.seq,
        "moved": told.get("left"),
    }


def _assign(state: State, entry: EventEntry) -> None:
    """Name another referee, or nobody; of a match that was never called the match alone keeps it."""
    call = state["day"]["calls"].get(str(entry.fields["match"]))
    if call is not None:
        call["referee"] = entry.fields.get("referee")


def _hold(state: State, entry: EventEntry) -> None:
    day, match = state["day"], entry.fields["match"]
    if match in day["held"]:
        raise Refused("held", said("This match is held back already."))
    if str(match) in day["calls"]:
        raise Refused("called", said("This match is called. Take the call back first."))
    day["held"].append(match)
    day["first"] = [one for one in day["first"] if one != match]


def _release(state: State, entry: EventEntry) -> None:
    day, match = state["day"], entry.fields["match"]
    if match not in day["held"]:
        raise Refused("not-held", said("This match is not held back."))
    day["held"].remove(match)


def _forward(state: State, entry: EventEntry) -> None:
    """Put a match before all others, released where it was held back."""
    day, match = state["day"], entry.fields["match"]
    day["held"] = [one for one in day["held"] if one != match]
    day["first"] = [match, *(one for one in day["first"] if one != match)]


def _not_before(state: State, entry: EventEntry) -> None:
    """Say from when on a match may be called; without a moment: at any time."""
    key, at = str(entry.fields["match"]), entry.fields.get("at")
    if at is None:
        state["day"]["earliest"].pop(key, None)
    else:
        state["day"]["earliest"][key] = at


_MATCH, _TABLE = {"match": an_id}, {"table": an_id}
_ONE_MATCH, _ONE_TABLE = frozenset(_MATCH), frozenset(_TABLE)
_BOTH = _ONE_MATCH | _ONE_TABLE

KINDS = {
    "day-open": Kind(_open),
    "day-end": Kind(_end),
    "tables-in-use": Kind(_tables, {"tables": ids}, frozenset({"tables"})),
    "table-out": Kind(_out, _TABLE | {"from": moment, "until": moment}, _ONE_TABLE | {"why"}),
    "table-back": Kind(_back, _TABLE, _ONE_TABLE),
    "referees": Kind(_referees, {"players": ids}, frozenset({"players"})),
    "call": Kind(_call, _MATCH | _TABLE | {"referee": an_id}, _BOTH),
    "take-back": Kind(_take_back, _MATCH, _ONE_MATCH),
    "move": Kind(_move, _MATCH | _TABLE | {"left": an_id}, _BOTH),
    "assign": Kind(_assign, _MATCH | {"referee": an_id}, _ONE_MATCH),
    "hold": Kind(_hold, _MATCH, _ONE_MATCH),
    "release": Kind(_release, _MATCH, _ONE_MATCH),
    "forward": Kind(_forward, _MATCH, _ONE_MATCH),
    "not-before": Kind(_not_before, _MATCH | {"at": moment}, _ONE_MATCH),
}
