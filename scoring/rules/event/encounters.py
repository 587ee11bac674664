"""The steps of an encounter of two teams: line-ups, postponements, the sheet, awards.

state["encounters"]: by encounter id as text, each
- home, away: team ids; round; division; on, due: days in ISO form or None;
- line_ups: {home, away}: the digest of the line-up that was entered, None before. What stands in it is
  kept out of the ledger until both are in, and proved by the digest afterwards (`line_up_digest`);
- asked: sides whose captain lets organisers look before that; looked: [side, user id] of who did;
- revealed: None, or {home, away}: players by board, board 1 first, None where nobody stands;
- replaced: after that, in order, {side, board, out, into}: who was on a board and who came;
- proposed: None, or {side, on, due}: a postponement that waits for the other captain;
- postponed: how often the days were moved; entered: the moment the sheet was handed over, or None;
- boards: by number as text, confirmed, disputed or settled, as the away side answered;
- award: None, or {to, walkover}: the team that it went to without play, None for neither;
- left: {team, annul} of each that withdrew (`leaving_teams`), which makes the award; annul: nothing counts.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from itertools import zip_longest
from typing import Any

from scoring.rules.match.checks import Refused
from scoring.rules.reading import a_bool, a_choice, a_date, an_int
from scoring.rules.said import Malformed, said

from .entry import EventEntry, Kind, Reader, State, an_id

SIDES = ("home", "away")
CONFIRMED, DISPUTED, SETTLED = "confirmed", "disputed", "settled"
LineUp = Sequence[int | None]


def start() -> State:
    """Return the part of the state that is kept here."""
    return {"encounters": {}}


def fresh(home: int, away: int, number: int, division: int, day: Mapping[str, str | None]) -> dict[str, Any]:
    """Return an encounter in which nothing happened."""
    return {
        "home": home,
        "away": away,
        "round": number,
        "division": division,
        "on": day["on"],
        "due": day["due"] or day["on"],
        "line_ups": dict.fromkeys(SIDES),
        "asked": [],
        "looked": [],
        "revealed": None,
        "replaced": [],
        "proposed": None,
        "postponed": 0,
        "entered": None,
        "boards": {},
        "award": None,
        "left": [],
    }


def line_up_digest(salt: str, line_up: LineUp) -> str:
    """Return the SHA-256 of the salt, a line feed, and the players' ids by board, "-" for nobody."""
    listed = ",".join("-" if one is None else str(one) for one in line_up)
    return hashlib.sha256(f"{salt}\n{listed}".encode()).hexdigest()


def encounter_of(state: State, encounter: int) -> dict[str, Any]:
    """Return an encounter. Raises Refused for one that is not of the season."""
    found = state["encounters"].get(str(encounter))
    if found is None:
        raise Refused("no-encounter", said("This encounter is not of the season."))
    return found


def status_of(one: Mapping[str, Any], boards: int) -> str:
    """Return where an encounter stands, in the words of the model. boards: how many it has."""
    if is_annulled(one):
        return "annulled"
    if one["award"] is not None:
        return "awarded"
    if one["revealed"] is None:
        return "planned"
    if one["entered"] is None:
        return "lined-up"
    if DISPUTED in one["boards"].values():
        return "disputed"
    return "confirmed" if len(one["boards"]) >= boards else "entered"


def is_annulled(one: Mapping[str, Any]) -> bool:
    """Whether an encounter counts for nobody, because a team that withdrew takes all of it along."""
    return any(left["annul"] for left in one.get("left", ()))


def boards_of(one: Mapping[str, Any]) -> int:
    """Return how many boards the revealed line-ups have; 0 before."""
    shown = one["revealed"]
    return max(len(shown["home"]), len(shown["away"])) if shown else 0


def pairs_of(one: Mapping[str, Any]) -> list[tuple[int | None, int | None]]:
    """Return who stands on each board, home before away; nothing before both line-ups are shown."""
    shown = one["revealed"] or {"home": [], "away": []}
    return list(zip_longest(shown["home"], shown["away"]))


def meets(pair: tuple[int | None, int | None]) -> bool:
    """Whether a match is played on a board: two players, who are not the same."""
    return None not in pair and pair[0] != pair[1]


def other(side: str) -> str:
    return "away" if side == "home" else "home"


# --- line-ups ------------------------------------------------------------------


def _before_reveal(state: State, entry: EventEntry) -> dict[str, Any]:
    one = encounter_of(state, entry.fields["encounter"])
    if one["award"] is not None:
        raise Refused("awarded", said("This encounter was awarded."))
    if one["revealed"] is not None:
        raise Refused("revealed", said("Both line-ups are in and shown, so they stay."))
    return one


def _line_up(state: State, entry: EventEntry) -> None:
    one = _before_reveal(state, entry)
    one["line_ups"][entry.fields["side"]] = entry.fields["digest"]


def _ask(state: State, entry: EventEntry) -> None:
    one, side = _before_reveal(state, entry), entry.fields["side"]
    if one["line_ups"][side] is None:
        raise Refused("no-line-up", said("Enter the line-up first."))
    if side not in one["asked"]:
        one["asked"].append(side)


def _look(state: State, entry: EventEntry) -> None:
    one, side = _before_reveal(state, entry), entry.fields["side"]
    if side not in one["asked"]:
        raise Refused("not-asked", said("The captain of this side did not ask anybody to look."))
    one["looked"].append([side, entry.fields["user"]])


def _reveal(state: State, entry: EventEntry) -> None:
    one = _before_reveal(state, entry)
    for side in SIDES:
        if one["line_ups"][side] != line_up_digest(entry.fields[f"{side}_salt"], entry.fields[side]):
            raise Refused("other-line-up", said("That is not the line-up that was entered."))
    one["revealed"] = {side: list(entry.fields[side]) for side in SIDES}


def _substitute(state: State, entry: EventEntry) -> None:
    """Let another player come in on a board, before it begins: who calls knows whether it has begun."""
    one, side = encounter_of(state, entry.fields["encounter"]), entry.fields["side"]
    if one["revealed"] is None:
        raise Refused("no-line-up", said("The line-ups are not shown yet: enter another one instead."))
    if one["award"] is not None:
        raise Refused("awarded", said("This encounter was awarded."))
    if one["entered"] is not None:
        raise Refused("entered", said("The sheet was handed over already."))
    board, player = int(_board(one, entry.fields["board"])), entry.fields["player"]
    players = one["revealed"][side]
    if player in players:
        raise Refused("in-the-line-up", said("This player stands in the line-up already."))
    change = {"side": side, "board": board, "out": players[board - 1], "into": player}
    players[board - 1] = player
    one.setdefault("replaced", []).append(change)


# --- days ----------------------------------------------------------------------


def _postpone(state: State, entry: EventEntry) -> None:
    """Move the days: at once for an organiser (no side), else once the other captain agrees."""
    one = encounter_of(state, entry.fields["encounter"])
    if one["entered"] is not None or one["award"] is not None:
        raise Refused("played", said("This encounter was played or awarded already."))
    on, due = entry.fields.get("on"), entry.fields["due"]
    if on is not None and due < on:
        raise Malformed("due", said("The last day is not before the new day."))
    side = entry.fields.get("side")
    if side is not None:
        one["proposed"] = {"side": side, "on": on, "due": due}
        return
    _move(one, on, due)


def _move(one: dict[str, Any], on: str | None, due: str) -> None:
    one["on"], one["due"], one["proposed"] = on, due, None
    one["postponed"] += 1


def _answer(agree: bool) -> Any:
    def apply(state: State, entry: EventEntry) -> None:
        one = encounter_of(state, entry.fields["encounter"])
        asked = one["proposed"]
        if asked is None:
            raise Refused("not-proposed", said("No postponement waits for an answer."))
        if agree and asked["side"] == entry.fields["side"]:
            raise Refused("own-proposal", said("The captain of the other side has to agree."))
        if agree:
            _move(one, asked["on"], asked["due"])
        one["proposed"] = None

    return apply


# --- the sheet -----------------------------------------------------------------


def _handed_over(state: State, entry: EventEntry) -> dict[str, Any]:
    one = encounter_of(state, entry.fields["encounter"])
    if one["award"] is not None:
        raise Refused("awarded", said("This encounter was awarded."))
    if one["entered"] is None:
        raise Refused("not-entered", said("The home side has not handed the sheet over yet."))
    return one


def _sheet(state: State, entry: EventEntry) -> None:
    one = encounter_of(state, entry.fields["encounter"])
    if one["revealed"] is None or one["award"] is not None:
        raise Refused("no-line-up", said("The sheet follows the line-ups of both sides."))
    if one["entered"] is not None:
        raise Refused("entered", said("The sheet was handed over already."))
    one["entered"], one["proposed"] = entry.at, None


def _board(one: Mapping[str, Any], number: int) -> str:
    if not 1 <= number <= boards_of(one):
        raise Malformed("board", said("There is no such board."))
    return str(number)


def _confirm(state: State, entry: EventEntry) -> None:
    one = _handed_over(state, entry)
    for number in entry.fields["boards"]:
        key = _board(one, number)
        if one["boards"].get(key) == DISPUTED:
            raise Refused("disputed", said("This board is disputed. An organiser decides."))
        one["boards"].setdefault(key, CONFIRMED)


def _dispute(state: State, entry: EventEntry) -> None:
    one = _handed_over(state, entry)
    key = _board(one, entry.fields["board"])
    if key in one["boards"]:
        raise Refused("answered", said("This board was answered already. Ask an organiser."))
    one["boards"][key] = DISPUTED


def _settle(state: State, entry: EventEntry) -> None:
    one = _handed_over(state, entry)
    key = _board(one, entry.fields["board"])
    if one["boards"].get(key) != DISPUTED:
        raise Refused("not-disputed", said("This board is not disputed."))
    one["boards"][key] = SETTLED


def _nobody_left(one: Mapping[str, Any]) -> None:
    if one.get("left"):
        raise Refused("team-left", said("A team withdrew, which decides this. Bring the team back instead."))


def _award(state: State, entry: EventEntry) -> None:
    one, to = encounter_of(state, entry.fields["encounter"]), entry.fields.get("to")
    _nobody_left(one)
    if to not in (None, one["home"], one["away"]):
        raise Malformed("to", said("Name one of the two teams, or neither."))
    one["award"] = {"to": to, "walkover": bool(entry.fields.get("walkover"))}
    one["proposed"] = None


def _lift(state: State, entry: EventEntry) -> None:
    one = encounter_of(state, entry.fields["encounter"])
    if one["award"] is None:
        raise Refused("not-awarded", said("This encounter was not awarded."))
    _nobody_left(one)
    one["award"] = None


# --- shapes --------------------------------------------------------------------


def _side(value: Any, name: str) -> str:
    return a_choice(value, name, SIDES)


def _hex(longest: int) -> Reader:
    def read(value: Any, name: str) -> str:
        if not isinstance(value, str) or len(value) != longest or set(value) - set("0123456789abcdef"):
            raise Malformed(name, said("hexadecimal digits are needed here"))
        return value

    return read


def line_up(value: Any, name: str) -> list[int | None]:
    """Return the players by board, None where nobody stands."""
    if not isinstance(value, list) or not 1 <= len(value) <= 20:
        raise Malformed(name, said("a player for each board is needed here"))
    return [None if one is None else an_id(one, f"{name}.{place}") for place, one in enumerate(value)]


def _a_board(value: Any, name: str) -> int:
    return an_int(value, name, 1, 20)


def _boards(value: Any, name: str) -> list[int]:
    if not isinstance(value, list) or not 1 <= len(value) <= 20:
        raise Malformed(name, said("a list of boards is needed here"))
    return [_a_board(one, f"{name}.{place}") for place, one in enumerate(value)]


def _day(value: Any, name: str) -> str:
    return a_date(value, name).isoformat()


def _kind(apply: Any, needed: Sequence[str] = (), **fields: Reader) -> Kind:
    return Kind(apply, {"encounter": an_id, **fields}, frozenset({"encounter", *needed}))


_LINE_UPS = {"home": line_up, "away": line_up, "home_salt": _hex(32), "away_salt": _hex(32)}
KINDS = {
    "line-up": _kind(_line_up, ("side", "digest"), side=_side, digest=_hex(64)),
    "line-up-ask": _kind(_ask, ("side",), side=_side),
    "line-up-look": _kind(_look, ("side", "user"), side=_side, user=an_id),
    "reveal": _kind(_reveal, tuple(_LINE_UPS), **_LINE_UPS),
    "line-up-change": _kind(
        _substitute, ("side", "board", "player", "why"), side=_side, board=_a_board, player=an_id
    ),
    "postpone": _kind(_postpone, ("due", "why"), due=_day, on=_day, side=_side),
    "postpone-agree": _kind(_answer(True), ("side",), side=_side),
    "postpone-decline": _kind(_answer(False), ("side",), side=_side),
    "sheet": _kind(_sheet),
    "boards-confirm": _kind(_confirm, ("boards",), boards=_boards),
    "board-dispute": _kind(_dispute, ("board", "why"), board=_a_board),
    "board-settle": _kind(_settle, ("board", "decision"), board=_a_board),
    "encounter-award": _kind(_award, ("why",), to=an_id, walkover=a_bool),
    "encounter-lift": _kind(_lift, ("why",)),
}
