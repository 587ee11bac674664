"""The state as the outside reads it, and the sheet's rows."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from scoring.rules.averages import shown as shown_average

from .colours import COLOURS
from .play import Row
from .setup import Setup
from .state import State, room, status


def shown(setup: Setup, state: State) -> dict[str, Any]:
    """Return the public state of a match: plain JSON."""
    extra, turn = state["extra"], state["turn"]
    return {
        "id": setup.id,
        "competition": setup.competition,
        "table": state["table"],
        "discipline": setup.discipline.code,
        "format": dict(setup.format),
        "rule_set": setup.rule_set.to_json(),
        "status": status(state),
        "turn": turn,
        "entrants": list(setup.entrants),
        "players": dict(state["players"]),
        "decided_by": state["decided_by"],
        "score": dict(state["score"]),
        "points": dict(state["points"]),
        "innings": dict(state["innings"]),
        "run": {side: _run_shown(state, side) for side in COLOURS},
        "high_run": dict(state["high_run"]),
        "average": {side: average_shown(setup, state, side) for side in COLOURS},
        "set": state["set"],
        "sets": dict(state["sets"]),
        "distance": {side: setup.distance(state["players"], side) for side in COLOURS},
        "to_go": {side: _to_go(setup, state, side) for side in COLOURS},
        "equalizing": state["equalizing"],
        "opening": state["opening"],
        "timeouts": dict(state["timeouts"]),
        "extra": None if extra is None else {"white": list(extra["white"]), "yellow": list(extra["yellow"])},
        "winner": state["winner"],
        "ended_by": state["ended_by"],
        "flags": list(state["flags"]),
        "settled": list(state["settled"]),
        "seq": state["seq"],
    }


def average_shown(setup: Setup, state: State, side: str) -> str | None:
    """Return a side's average as the competition cuts it, None without innings."""
    return shown_average(
        state["points"][side],
        state["innings"][side],
        decimals=setup.format["average_decimals"],
        rounding=setup.format["average_rounding"],
    )


def _run_shown(state: State, side: str) -> int:
    if side != state["turn"]:
        return 0
    extra = state["extra"]
    if extra is None:
        return state["run"][side]
    return extra[side][-1] if extra["open"][side] else 0


def _to_go(setup: Setup, state: State, side: str) -> int | None:
    return None if state["players"][side] is None else room(setup, state, side)


def innings_of(rows: Iterable[Row]) -> list[dict[str, Any]]:
    """Return one row an inning, in order of play: set, inning, colour, run, strokes.

    `strokes` lists the rows it is made of; what does not count is listed, but adds
    nothing to the run. An inning of nothing that counts carries `counts: false` and is
    none in the figures. Extra innings carry `extra: true`.
    """
    innings: dict[tuple, dict[str, Any]] = {}
    for row in rows:
        key = (row["extra"], row["set"], row["inning"], row["colour"])
        inning = innings.setdefault(
            key,
            {
                "set": row["set"],
                "inning": row["inning"],
                "colour": row["colour"],
                "run": 0,
                "counts": False,
                "extra": row["extra"],
                "strokes": [],
            },
        )
        if row["counts"]:
            inning["run"] += row["run"]
            inning["counts"] = True
        inning["strokes"].append(row)
    return list(innings.values())
