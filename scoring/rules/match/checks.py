"""What is refused, and what the server fills in before it stores an entry.

Nothing else is refused: described contacts that contradict the call are asked about
by a flag, because the referee's word counts.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import reduce

from scoring.rules.contacts import parse_contacts
from scoring.rules.said import Malformed, Said, said

from .book import Book, Place
from .colours import Colour
from .ends import is_drawn
from .entry import PLACED, RUNS, STROKES, Entry
from .play import apply
from .setup import Setup
from .state import State, inning_open, room, start, status


@dataclass(eq=False)
class Refused(Exception):
    """An entry that does not fit: a machine-readable code and what to do about it."""

    code: str
    reason: Said

    def __str__(self) -> str:
        return str(self.reason)


def is_stale(after: int, seq: int, play_seq: int) -> bool:
    """True where a device that knew the ledger up to `after` has missed play, or is ahead."""
    return after < play_seq or after > seq


def check_fresh(after: int, state: State) -> None:
    """Refuse an entry of a device that has not read the latest play, or is ahead of the ledger."""
    if not is_stale(after, state["seq"], state["play_seq"]):
        return
    raise Refused(
        "stale",
        said(
            "The ledger holds entries up to %(seq)s that this device has not read. "
            "Fetch them, look at the score, and write again.",
            seq=state["seq"],
        ),
    )


def prepare(setup: Setup, state: State, entry: Entry, book: Book | None = None) -> Entry:
    """Return the entry as it may be stored, with `by` and `codes` filled in.

    Parameters
    ----------
    state : the state the entry would be appended to.
    book : the entries stored so far; needed where `entry.refolds` or its kind is `void`.

    Raises
    ------
    Refused : the entry does not fit the match.
    Malformed : it names a player or a ball that cannot be meant.
    """
    _check_players(setup, entry)
    if entry.corrects:
        return _prepare_correction(setup, entry, _needed(book))
    if entry.kind in RUNS:
        return _prepare_run(setup, state, entry)
    if entry.kind in {"void", "annotate", "dispute", "settle"}:
        return _prepare_remark(state, entry, _needed(book))
    _CHECKS.get(entry.kind, _check_nothing)(setup, state, entry)
    return replace(entry, by=state["turn"]) if entry.kind == "timeout" else entry


def _needed(book: Book | None) -> Book:
    if book is None:
        raise TypeError("a correction or a remark is judged against the whole ledger")
    return book


def _check_players(setup: Setup, entry: Entry) -> None:
    for name in ("starter", "player"):
        who = entry.get(name)
        if who is not None and who not in setup.entrants:
            raise Malformed(
                name,
                said(
                    "Name one of the two players of this match: %(ids)s.",
                    ids=", ".join(map(str, setup.entrants)),
                ),
            )


def check_contacts(entry: Entry, colour: Colour | None) -> None:
    """Raise `Malformed` where the described cue ball meets itself."""
    contacts = entry.get("contacts")
    cue_ball = entry.get("cue_ball") or colour
    if contacts is not None and cue_ball is not None:
        parse_contacts(contacts, cue_ball=cue_ball)


# Strokes and whole innings at the end


def _prepare_run(setup: Setup, state: State, entry: Entry) -> Entry:
    _check_playing(state)
    turn = state["turn"]
    if entry.by is not None and entry.by != turn:
        raise Refused(
            "not-on-turn",
            said("%(colour)s is to play. Write for the player on turn.", colour=name_of(turn)),
        )
    ready = replace(entry, by=turn)
    _check_run(setup, state, ready)
    check_contacts(ready, turn)
    return ready


def _check_playing(state: State) -> None:
    what = status(state)
    if what == "planned":
        raise Refused("not-open", said("The match is not open yet. Say who starts first."))
    if what in {"over", "confirmed"}:
        raise Refused("over", said("The match is over. Strike out or correct what is wrong."))
    if what == "suspended":
        raise Refused("suspended", said("The match is suspended. Resume it first."))


def _check_run(setup: Setup, state: State, entry: Entry) -> None:
    """Refuse a run that cannot stand where it would stand; `state` is just before it."""
    if entry.kind == "inning" and inning_open(state, entry.side):
        raise Refused(
            "amid-inning",
            said(
                "This inning has strokes already. Go on stroke by stroke, or strike them "
                "out and write the whole inning."
            ),
        )
    left = room(setup, state, entry.side)
    if left is not None and (left == 0 or entry.run > left):
        raise Refused(
            "past-distance",
            said(
                "%(colour)s has %(left)s to go. Write at most that.",
                colour=name_of(entry.by),
                left=left,
            ),
        )


# Corrections in place


def _prepare_correction(setup: Setup, entry: Entry, book: Book) -> Entry:
    both = entry.get("instead_of") is not None and entry.get("before") is not None
    if both:
        raise Refused(
            "instead-and-before",
            said("A correction stands instead of an entry or before one. Send one of the two."),
        )
    name = "instead_of" if entry.get("instead_of") is not None else "before"
    target = book.find(entry.get(name))
    place = None if target is None else book.place_of(target)
    if target is None or place is None or (name == "instead_of" and target.kind == "open"):
        raise Refused(
            "no-target",
            said("Nothing that can be corrected has that number. Fetch the entries again."),
        )
    before = _state_before(setup, book, place)
    if before["players"]["white"] is None:
        raise Refused("not-open", said("Nothing is played before the match is opened."))
    kept = (place.holder or target).by
    ready = replace(entry, by=_colour_there(name, entry, before["turn"], kept))
    if not before["over"]:
        _check_run(setup, before, ready)
    check_contacts(ready, ready.by)
    return ready


def _state_before(setup: Setup, book: Book, place: Place) -> State:
    return reduce(lambda so_far, one: apply(setup, so_far, one), book.standing(until=place), start(setup))


def _colour_there(name: str, entry: Entry, turn: Colour | None, kept: Colour | None) -> Colour:
    """Return whose entry a correction is: a re-fold never moves a run by itself."""
    if name == "before":
        return entry.by or turn or kept or "white"
    if entry.by not in (None, kept, turn):
        raise Refused(
            "not-on-turn",
            said(
                "That place belongs to %(colour)s. Leave the colour out, or name who is on turn there.",
                colour=name_of(kept),
            ),
        )
    return entry.by or kept or turn or "white"


# Entries about other entries


def _prepare_remark(state: State, entry: Entry, book: Book) -> Entry:
    target = book.find(entry.get("target"))
    if target is None:
        raise Refused(
            "no-target",
            said("No entry of this match has that number. Fetch the entries again."),
        )
    if entry.kind == "void":
        _check_void(entry, target, book)
        return entry
    place = book.place_of(target)
    if place is None or place.face.kind not in (STROKES if entry.kind == "annotate" else PLACED):
        raise Refused(
            "no-target",
            said("That entry is no stroke. Name the stroke that this is about."),
        )
    if entry.kind == "settle":
        return replace(entry, codes=tuple(_open_codes(state, place.face.seq)))
    check_contacts(entry, _cue_ball(place, book))
    return entry


def _cue_ball(place: Place, book: Book) -> Colour | None:
    """Return the ball that was played at a place: as described, else the player's own."""
    standing = place.standing(book.voided)
    described = None if standing is None else standing.value("cue_ball")
    return described or place.face.by


def _open_codes(state: State, seq: int) -> list[str]:
    return sorted({flag["code"] for flag in state["flags"] if flag["seq"] == seq})


def _check_void(entry: Entry, target: Entry, book: Book) -> None:
    if target.kind == "void":
        raise Refused(
            "void-of-void",
            said("A strike-out is not struck out. Write the entry again in its place."),
        )
    if target.kind == "open":
        raise Refused(
            "void-of-open",
            said("The opening stays. An organiser can annul the match instead."),
        )
    if target.seq in book.voided:
        raise Refused("already-void", said("That entry is struck out already."))


# The other kinds


def _check_open(setup: Setup, state: State, entry: Entry) -> None:
    if state["players"]["white"] is not None:
        raise Refused("already-open", said("The match is open already. Write the next stroke."))
    if state["over"]:
        raise Refused("over", said("The match was decided without play."))


def _check_timeout(setup: Setup, state: State, entry: Entry) -> None:
    _check_playing(state)
    if state["timeouts"][state["turn"]] >= setup.timeouts_allowed():
        raise Refused(
            "timeouts-used",
            said("%(colour)s has no time-out left.", colour=name_of(state["turn"])),
        )


def _check_suspend(setup: Setup, state: State, entry: Entry) -> None:
    if state["over"]:
        raise Refused("over", said("The match is over; there is nothing to suspend."))
    if state["suspended"]:
        raise Refused("already-suspended", said("The match is suspended already."))


def _check_resume(setup: Setup, state: State, entry: Entry) -> None:
    if state["over"] or not state["suspended"]:
        raise Refused("not-suspended", said("The match is not suspended. Go on writing."))


def _check_extra(setup: Setup, state: State, entry: Entry) -> None:
    if status(state) == "confirmed":
        raise Refused("over", said("The match is confirmed. An organiser can strike the confirmation out."))
    if not is_drawn(setup, state):
        raise Refused("not-drawn", said("Extra innings follow a draw. This match is not drawn."))


def _check_give_up(setup: Setup, state: State, entry: Entry) -> None:
    if state["over"]:
        raise Refused("over", said("The match is over already."))


def _check_result(setup: Setup, state: State, entry: Entry) -> None:
    if entry.get("outcome") == "played" and state["players"]["white"] is None:
        raise Refused("not-open", said("Say who started before the totals are written."))


def _check_confirm(setup: Setup, state: State, entry: Entry) -> None:
    if not state["over"]:
        raise Refused("not-over", said("The match is not over yet. Confirm it at its end."))


def _check_nothing(setup: Setup, state: State, entry: Entry) -> None:
    """Positions and restored seconds are always taken."""


_CHECKS = {
    "open": _check_open,
    "timeout": _check_timeout,
    "suspend": _check_suspend,
    "resume": _check_resume,
    "extra": _check_extra,
    "concede": _check_give_up,
    "retire": _check_give_up,
    "result": _check_result,
    "confirm": _check_confirm,
}


def name_of(colour: Colour | None) -> Said:
    return {"white": said("White"), "yellow": said("Yellow")}.get(colour or "", said("Nobody"))
