"""What each entry does to the state: `state = reduce(apply, standings, start)`."""

from __future__ import annotations

from collections.abc import Callable
from functools import reduce
from typing import Any

from scoring.rules.contacts import parse_contacts
from scoring.rules.rulings import Ruling, rule

from . import ends
from .book import Book, Standing, alone
from .colours import COLOURS, each
from .entry import PLACED, QUIET, RUNS, Entry
from .setup import Setup
from .state import State, colour_of, copied, inning_open, room, start

Row = dict[str, Any]


def apply(setup: Setup, state: State, standing: Standing) -> State:
    """Return the state after what stands at one place."""
    return step(setup, state, standing)[0]


def step(setup: Setup, state: State, standing: Standing) -> tuple[State, Row | None]:
    """Return the state after a place, and the row of a stroke or whole inning."""
    fresh = copied(state)
    row: Row | None = None
    if standing.empty:
        _flag(fresh, standing, row, "disputed", since=max(standing.disputes))
        return fresh, row
    if standing.entry.kind in RUNS:
        row = _play(setup, fresh, standing)
    else:
        _OTHERS[standing.entry.kind](setup, fresh, standing.entry)
    if fresh["over"] != state["over"] or standing.entry.kind == "result":
        fresh["ended_seq"] = standing.entry.seq if fresh["over"] else None
    if standing.entry.kind == "result" and _unlikely(setup, fresh, standing.entry):
        _flag(fresh, standing, row, "implausible")
    if standing.misdated:
        _flag(fresh, standing, row, "clock", since=standing.misdated)
    if standing.disputes:
        _flag(fresh, standing, row, "disputed", since=max(standing.disputes))
    return fresh, row


def fold(setup: Setup, book: Book) -> State:
    """Return the state of a whole ledger."""
    state = reduce(lambda so_far, one: apply(setup, so_far, one), book.standing(), start(setup))
    return stamped(state, book)


def fold_rows(setup: Setup, book: Book) -> tuple[State, list[Row]]:
    """Return the state and the rows in order of play."""
    state, rows = start(setup), []
    for standing in book.standing():
        state, row = step(setup, state, standing)
        if row is not None:
            rows.append(row)
    return stamped(state, book), rows


def stamped(state: State, book: Book) -> State:
    """Return the state with what follows from the order of writing, not of play."""
    return state | {
        "seq": book.seq,
        "play_seq": book.play_seq,
        "confirm_seq": book.confirm_seq,
        "reopen_seq": book.reopen_seq,
    }


def append(setup: Setup, state: State, entry: Entry) -> tuple[State, Row | None]:
    """Return state and row after an entry at the end that changes nothing before it.

    The constant-time twin of `fold`: not for entries that `refolds`.
    """
    row: Row | None = None
    if entry.kind in PLACED:
        state, row = step(setup, state, alone(entry))
    else:
        state = copied(state)
    state["seq"] = entry.seq
    if entry.kind not in QUIET:
        state["play_seq"] = entry.seq
    if entry.reopens:
        state["reopen_seq"] = entry.seq
    if entry.kind == "confirm":
        state["confirm_seq"] = entry.seq
    return state, row


# Strokes and whole innings


def _play(setup: Setup, state: State, standing: Standing) -> Row:
    entry = standing.entry
    colour = entry.side
    position, state["position"] = state["position"], None
    if standing.robbed:
        position = None  # it was told before a stroke that is struck out since
    row = _row(setup, state, standing, position)
    left = None if state["over"] else room(setup, state, colour)
    if state["over"]:
        _flag(state, standing, row, "after-end", counts=False)
    elif left is not None and (left == 0 or entry.run > left):
        _flag(state, standing, row, "past-distance", counts=False)
    else:
        if colour != state["turn"]:
            _flag(state, standing, row, "off-turn")
            state["turn"] = colour
        _judge(setup, state, standing, row)
        before = _run_so_far(state, colour)
        _count(state, entry)
        after = before + entry.run
        most = setup.discipline.implausible_run
        if most is not None and before <= most < after:
            _flag(state, standing, row, "implausible")
        state["opening"] = False
        if entry.kind != "point" or left == entry.run:
            _close(setup, state, standing)
    return row


def _row(setup: Setup, state: State, standing: Standing, position: Any) -> Row:
    """Return the row of a stroke as it stands before it is judged and counted."""
    entry, colour = standing.entry, standing.entry.side
    extra = state["extra"] is not None
    state["rows"] += 1
    begun = len(state["extra"][colour]) if extra else state["innings"][colour]
    opening = standing.value("opening")
    row: Row = {
        "order": state["rows"],
        "place": standing.place,
        "seq": entry.seq,
        "set": state["set"],
        "inning": begun + (not inning_open(state, colour)),
        "colour": colour,
        "kind": entry.kind,
        "run": entry.run,
        "counts": True,
        "opening": state["opening"] if opening is None else opening,
        "extra": extra,
        "tried": standing.value("family"),
        "made": None,
        "valid": None,
        "cushions": None,
        "reason": standing.value("reason"),
        "details": {
            name: standing.value(name)
            for name in ("contacts", "layout", "cue_ball", "line", "clock")
            if standing.value(name) is not None
        },
        "codes": [],
    }
    if position is not None and entry.kind != "inning":
        row["details"] = position | row["details"]
    ruling = _ruling(setup, row)
    if ruling is not None:
        row |= {"made": ruling.family, "valid": ruling.valid, "cushions": ruling.cushions}
        if row["tried"] is None and entry.kind == "point":
            row["tried"] = ruling.family
    return row


def _ruling(setup: Setup, row: Row) -> Ruling | None:
    contacts = row["details"].get("contacts")
    if contacts is None:
        return None
    return rule(
        setup.discipline,
        # The wrong ball was played where another cue ball is described.
        row["details"].get("cue_ball") or row["colour"],
        parse_contacts(contacts),
        opening=row["opening"],
        rule_set=setup.rule_set,
    )


def _judge(setup: Setup, state: State, standing: Standing, row: Row) -> None:
    """Ask where the described contacts contradict the call; the call counts."""
    if row["valid"] is None or standing.entry.kind == "foul":
        return
    if row["valid"] != (standing.entry.kind == "point"):
        ruling = _ruling(setup, row)
        _flag(state, standing, row, "ruling", ruling=ruling, since=standing.told_since("contacts"))


def _run_so_far(state: State, colour: str) -> int:
    if not inning_open(state, colour):
        return 0
    extra = state["extra"]
    return extra[colour][-1] if extra is not None else state["run"][colour]


def _count(state: State, entry: Entry) -> None:
    """Begin the inning where none is under way, and add the run."""
    colour, run = entry.side, entry.run
    extra = state["extra"]
    if extra is not None:
        if not extra["open"][colour]:
            extra["open"][colour] = True
            extra[colour].append(0)
        extra[colour][-1] += run
        return
    if not state["open"][colour]:
        state["open"][colour] = True
        state["run"][colour] = 0
        state["innings"][colour] += 1
        state["set_innings"][colour] += 1
    for figure in ("run", "score", "points"):
        state[figure][colour] += run
    state["high_run"][colour] = max(state["high_run"][colour], state["run"][colour])


def _close(setup: Setup, state: State, standing: Standing) -> None:
    if state["extra"] is not None:
        ends.close_extra(setup, state, standing.entry.side)
    else:
        ends.close_inning(setup, state, standing.entry.side)
    if state["over"] or standing.entry.kind != "foul":
        return
    reason = standing.value("reason")
    overrun = reason == "time" and setup.rule_set.time_overrun_gives_opening
    respotted = reason == "outside" and setup.discipline.off_table == "all-to-opening"
    if overrun or respotted:
        ends.back_to_opening(setup, state)


def _flag(
    state: State,
    standing: Standing,
    row: Row | None,
    code: str,
    *,
    counts: bool = True,
    ruling: Ruling | None = None,
    since: int | None = None,
) -> None:
    """Raise an open question about a place, or file it where it was settled since."""
    settled_by = standing.settled.get(code, 0)
    is_open = settled_by <= (standing.since if since is None else since)
    state["flags" if is_open else "settled"].append(
        {
            "seq": standing.entry.seq,
            "code": code,
            "ruling": None if ruling is None else ruling.to_json(),
            "counts": counts,
            "settled_by": None if is_open else settled_by,
        }
    )
    if row is not None:
        row["counts"] = row["counts"] and counts
        if is_open:
            row["codes"].append(code)


# The other kinds


def _open(setup: Setup, state: State, entry: Entry) -> None:
    starter = entry.get("starter")
    state["players"] = {"white": starter, "yellow": setup.rival(starter)}
    state["decided_by"] = entry.get("decided_by")
    state["opened_seq"] = entry.seq
    if not state["over"]:
        state["turn"] = "white"
        state["opening"] = True


def _timeout(setup: Setup, state: State, entry: Entry) -> None:
    if not state["over"] and entry.by is not None:
        state["timeouts"][entry.by] += 1


def _clock(setup: Setup, state: State, entry: Entry) -> None:
    """Seconds restored by the referee are on record; no figure follows from them."""


def _position(setup: Setup, state: State, entry: Entry) -> None:
    state["position"] = {
        name: entry.get(name) for name in ("layout", "cue_ball", "line") if entry.get(name) is not None
    } | {"position": entry.seq}


def _suspend(setup: Setup, state: State, entry: Entry) -> None:
    state["suspended"] = state["suspended"] or not state["over"]


def _resume(setup: Setup, state: State, entry: Entry) -> None:
    state["suspended"] = False
    if entry.get("table") is not None:
        state["table"] = entry.get("table")


def _extra(setup: Setup, state: State, entry: Entry) -> None:
    if not ends.is_drawn(setup, state):
        return
    starter = entry.get("starter")
    ends.open_extra(setup, state, "white" if starter is None else colour_of(state, starter) or "white")


def _give_up(setup: Setup, state: State, entry: Entry) -> None:
    if not state["over"]:
        how = {"concede": "concession", "retire": "retirement"}[entry.kind]
        ends.end_for_player(state, how, setup.rival(entry.get("player")))


def _result(setup: Setup, state: State, entry: Entry) -> None:
    outcome = entry.get("outcome")
    winner = None if outcome == "annulled" else entry.get("player")
    if outcome == "played" and state["players"]["white"] is not None:
        for name in ("score", "innings", "high_run"):
            if entry.get(name) is not None:
                state[name] = dict(entry.get(name))
        counted = entry.get("innings") is not None
        # Points in an unknown number of innings belong to no average.
        state["points"] = dict(state["score"]) if counted else each(0)
        if not counted:
            state["innings"] = each(0)
        # Who won the sets does not follow from totals.
        ahead = ends.leader(setup, state) if setup.format["sets_to_win"] is None else None
        if winner is None and ahead is not None:
            winner = state["players"][ahead]
    ends.end_for_player(state, outcome, winner)


_OTHERS: dict[str, Callable[[Setup, State, Entry], None]] = {
    "open": _open,
    "timeout": _timeout,
    "clock": _clock,
    "position": _position,
    "suspend": _suspend,
    "resume": _resume,
    "extra": _extra,
    "concede": _give_up,
    "retire": _give_up,
    "result": _result,
}


def _unlikely(setup: Setup, state: State, entry: Entry) -> bool:
    """True where totals known without their strokes cannot have been played."""
    if entry.get("outcome") != "played":
        return False
    score, innings, high = (entry.get(name) for name in ("score", "innings", "high_run"))
    if innings is not None and abs(innings["white"] - innings["yellow"]) > 1:
        return True
    for side in COLOURS:
        if innings is not None and score[side] > 0 and innings[side] == 0:
            return True
        distance = setup.distance(state["players"], side)
        if setup.format["sets_to_win"] is None and distance is not None and score[side] > distance:
            return True
        # A high run lies between the mean run and the whole score.
        if high is None:
            continue
        if score[side] < high[side]:
            return True
        if innings is not None and score[side] > high[side] * innings[side]:
            return True
    return False
