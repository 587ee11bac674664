"""The score sheet: the ledger of a match as a club would keep it on paper.

Nothing is read or written here: `build_sheet` turns entries and rows into blocks of
lines. A set is a block of its own, and so are extra innings. A struck-out figure stands
beside the new one, with a letter that leads to a note.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any

from scoring.rules.match.book import Book
from scoring.rules.match.colours import COLOURS
from scoring.rules.match.entry import RUNS, Entry
from scoring.rules.match.play import Row
from scoring.rules.said import Said, said

# (extra, set, colour, inning): where a run stands.
Key = tuple[bool, int, str, int]


@dataclass(frozen=True)
class Written:
    """An entry with what the sheet says of its writing: when, who and why, as far as the reader may know."""

    entry: Entry
    when: datetime.datetime | None = None
    by: str = ""
    why: str = ""


@dataclass
class Figure:
    """One run and the running total; `run` is None where nothing stands.

    idle: a run that stands but does not count, such as one after the end.
    """

    run: int | None = None
    total: int | None = None
    idle: int | None = None
    struck: list[int] = field(default_factory=list)
    letter: str = ""


@dataclass
class Line:
    """One inning of both; `last` where the block ends and is closed."""

    number: int
    white: Figure
    yellow: Figure
    last: bool = False

    @property
    def fifth(self) -> bool:
        return self.number % 5 == 0

    @property
    def blank(self) -> bool:
        return not any(
            one.run is not None or one.idle is not None or one.struck for one in (self.white, self.yellow)
        )


@dataclass
class Block:
    """The innings of a set, of the whole match where it has no sets, or the extra innings."""

    set_number: int
    extra: bool
    lines: list[Line]


@dataclass
class Note:
    """What a letter leads to; `flag` while it is an open question."""

    letter: str
    said: list[Said]
    flag: bool = False


@dataclass
class Sheet:
    """A printed match: blocks in order of play, and the notes below."""

    blocks: list[Block]
    notes: list[Note]

    @property
    def with_sets(self) -> bool:
        return len({block.set_number for block in self.blocks if not block.extra}) > 1


def build_sheet(state: Mapping[str, Any], rows: Sequence[Row], written: Sequence[Written]) -> Sheet:
    """Return the sheet of a match.

    state: the fold's own. rows: strokes and whole innings in order of play.
    written: every entry in order of writing.
    """
    return _Press(state, rows, written).sheet()


def letter_of(number: int) -> str:
    """Return the letter of the `number`th note, from 0: a, b, ..., z, aa, ab."""
    letters = ""
    number += 1
    while number:
        number, place = divmod(number - 1, 26)
        letters = chr(97 + place) + letters
    return letters


class _Press:
    """Sets one sheet."""

    def __init__(self, state: Mapping[str, Any], rows: Sequence[Row], written: Sequence[Written]) -> None:
        self.state = state
        self.rows = rows
        self.written = written
        self.book = Book(one.entry for one in written)
        self.runs: dict[Key, int] = {}
        self.idle: dict[Key, int] = {}
        for row in rows:
            key = (row["extra"], row["set"], row["colour"], row["inning"])
            into = self.runs if row["counts"] else self.idle
            into[key] = into.get(key, 0) + row["run"]
        self.cells = self._cells()
        self.struck: dict[Key, list[int]] = {}
        self.said: dict[Key | None, list[Said]] = {}
        self.flagged: set[Key | None] = set()

    def sheet(self) -> Sheet:
        self._replay()
        self._ask()
        keys = sorted(
            {*self.runs, *self.idle, *self.struck, *(key for key in self.said if key)},
            key=lambda key: (key[0], key[1], key[3], key[2]),
        )
        letters = {key: letter_of(place) for place, key in enumerate(k for k in keys if k in self.said)}
        notes = [Note(letters[key], self._headed(key), key in self.flagged) for key in letters]
        if None in self.said:
            notes.append(Note("", self.said[None], None in self.flagged))
        return Sheet(self._blocks(keys, letters), notes)

    def _headed(self, key: Key) -> list[Said]:
        first, *rest = self.said[key]
        extra, _set, side, inning = key
        where = (
            said("extra inning %(inning)s", inning=inning)
            if extra
            else said("inning %(inning)s", inning=inning)
        )
        return [
            said("%(ball)s, %(where)s: %(sentence)s", ball=_BALLS[side], where=where, sentence=first),
            *rest,
        ]

    # Which cell a place belongs to

    def _cells(self) -> dict[int, Key]:
        """Return place -> cell; a place that was emptied belongs to its colour's next row."""
        standing = {
            row["place"]: (row["extra"], row["set"], row["colour"], row["inning"]) for row in self.rows
        }
        cells: dict[int, Key] = {}
        following: dict[str, Key] = {side: self._after_all(side) for side in COLOURS}
        for place in reversed(self.book.order):
            original = place.chain[0]
            if original.kind not in RUNS or original.by is None:
                continue
            if place.seq in standing:
                following[standing[place.seq][2]] = standing[place.seq]
                cells[place.seq] = standing[place.seq]
            else:
                cells[place.seq] = following[original.by]
        return cells

    def _after_all(self, side: str) -> Key:
        """Return the cell that the next run of a colour would be written in."""
        extra = self.state.get("extra")
        if extra is not None:
            return (True, self.state["set"], side, len(extra[side]) + (not extra["open"][side]))
        own = [key for key in self.runs if key[2] == side and not key[0]]
        number = max((key[3] for key in own), default=0)
        return (False, self.state["set"], side, number + (not self.state["open"][side]) if own else 1)

    # What was struck out

    def _replay(self) -> None:
        holders: dict[int, list[Entry]] = {}
        events: dict[Key | None, list[tuple[Said, tuple[str, ...]]]] = {}
        inning = 0
        changing: Key | None = None
        for one in self.written:
            entry = one.entry
            target = None if entry.kind != "void" else self.book.find(entry.get("target"))
            place = self.book.place_of(target or entry)
            if place is None:
                changing = None
                continue
            key = self.cells.get(place.seq)
            stack = holders.setdefault(place.seq, [])
            if entry.corrects or entry.kind == "void":
                before = self._run_of(key, holders)
                what = self._what(entry, target, stack)
                # Strokes that are changed one after the other are one change of the run.
                begins, changing = key != changing, key if self._is_stroke(target or entry) else None
                if (
                    begins
                    and key is not None
                    and before is not None
                    and self._worth_showing(key, stack, before)
                ):
                    self.struck.setdefault(key, []).append(before)
                events.setdefault(key, []).append((what, self._circumstances(one, inning)))
            if entry.kind == "void" and target is not None:
                if target.seq == place.seq:
                    stack.clear()
                elif target in stack:
                    stack.remove(target)
            else:
                stack.append(entry)
            if key is not None and not entry.corrects and entry.kind != "void":
                inning = key[3]
                changing = None
        for key, all_of_it in events.items():
            self.said[key] = [
                _counted(what, how, len(list(same))) for (what, how), same in groupby(all_of_it)
            ]

    def _run_of(self, key: Key | None, holders: Mapping[int, list[Entry]]) -> int | None:
        """Return what stood in a cell at this moment of the writing, None where nothing did."""
        held = [stack[-1] for seq, stack in holders.items() if stack and self.cells.get(seq) == key]
        return sum(entry.run for entry in held) if held and key is not None else None

    def _worth_showing(self, key: Key, stack: Sequence[Entry], before: int) -> bool:
        """Strokes that were struck and written again leave the run as it was."""
        shown = self.struck.get(key, [])
        if shown and shown[-1] == before:
            return False
        whole = bool(stack) and stack[-1].kind == "inning"
        return whole or before != self.runs.get(key)

    @staticmethod
    def _is_stroke(entry: Entry) -> bool:
        return entry.kind in RUNS and entry.kind != "inning"

    @staticmethod
    def _what(entry: Entry, target: Entry | None, stack: Sequence[Entry]) -> Said:
        if entry.kind == "void":
            return said("%(old)s was struck out", old=_named(target or entry))
        if entry.get("before") is not None:
            return said("%(new)s was written in later", new=_named(entry))
        if stack:
            return said(
                "%(old)s was struck out and %(new)s written", old=_named(stack[-1]), new=_named(entry)
            )
        return said("%(new)s was written where it had been struck out", new=_named(entry))

    @staticmethod
    def _circumstances(one: Written, inning: int) -> tuple[str, ...]:
        when = f"{one.when:%H:%M}" if one.when is not None else ""
        return (str(inning or ""), when, one.why, one.by)

    # Open and settled questions

    def _ask(self) -> None:
        texts = {one.entry.seq: one.why for one in self.written}
        clocks = [flag for flag in self.state["flags"] if flag["code"] == "clock"]
        if len(clocks) > 1:
            # A clock that is wrong is wrong for every entry: one note says so.
            often = said("%(what)s %(times)s times.", what=_question(clocks[0]), times=len(clocks))
            self.said.setdefault(None, []).append(often)
            self.flagged.add(None)
        for flag in self.state["flags"]:
            if flag["code"] == "clock" and len(clocks) > 1:
                continue
            self._flag(
                flag, said("%(what)s %(until)s", what=_question(flag), until=_UNTIL[flag["counts"]]), True
            )
        for flag in self.state["settled"]:
            decision = texts.get(flag["settled_by"]) or said("no reason given")
            sentence = said("%(what)s Settled: %(decision)s.", what=_question(flag), decision=decision)
            self._flag(flag, sentence, False)

    def _flag(self, flag: Mapping[str, Any], sentence: Said, is_open: bool) -> None:
        entry = self.book.find(flag["seq"])
        place = None if entry is None else self.book.place_of(entry)
        key = None if place is None else self.cells.get(place.seq)
        self.said.setdefault(key, []).append(sentence)
        if is_open:
            self.flagged.add(key)

    # The lines

    def _blocks(self, keys: Iterable[Key], letters: Mapping[Key, str]) -> list[Block]:
        grouped: dict[tuple[bool, int], dict[str, list[Key]]] = {}
        for key in keys:
            both = grouped.setdefault((key[0], key[1]), {side: [] for side in COLOURS})
            both[key[2]].append(key)
        blocks = []
        for (extra, number), both in sorted(grouped.items()):
            columns = {side: self._column(both[side], letters) for side in COLOURS}
            count = max(len(column) for column in columns.values())
            for column in columns.values():
                column += [Figure() for _ in range(count - len(column))]
            lines = [
                Line(place, white, yellow)
                for place, (white, yellow) in enumerate(
                    zip(columns["white"], columns["yellow"], strict=True), 1
                )
            ]
            # The block is closed where nothing can be written into it any more.
            under_way = (self.state.get("extra") is not None, self.state["set"])
            lines[-1].last = self.state["over"] or under_way != (extra, number)
            blocks.append(Block(number, extra, lines))
        return blocks

    def _column(self, keys: Sequence[Key], letters: Mapping[Key, str]) -> list[Figure]:
        total = 0
        column = []
        for key in sorted(keys, key=lambda one: one[3]):
            run = self.runs.get(key)
            total += run or 0
            column.append(
                Figure(
                    run=run,
                    total=None if run is None else total,
                    idle=self.idle.get(key) if run is None else None,
                    struck=self.struck.get(key, []),
                    letter=letters.get(key, ""),
                )
            )
        return column


_BALLS = {"white": said("White"), "yellow": said("Yellow")}

_NAMED = {
    "point": said("a point"),
    "miss": said("a miss"),
    "foul": said("a foul"),
    "timeout": said("a time-out"),
    "suspend": said("the suspension"),
    "resume": said("the resumption"),
    "extra": said("the extra innings"),
    "concede": said("the concession"),
    "retire": said("the retirement"),
    "result": said("the result"),
    "position": said("the position"),
    "clock": said("the clock"),
}


def _named(entry: Entry) -> Said | int:
    """Return what the sheet calls an entry: the run of an inning, else its kind in words."""
    return entry.run if entry.kind == "inning" else _NAMED.get(entry.kind, said("an entry"))


def _counted(what: Said, how: tuple[str, ...], times: int) -> Said:
    """Return one sentence of a note: what, how often, in which inning, when, why, which pen."""
    inning, when, why, by = how
    parts: list[Any] = [what]
    if times > 1:
        parts.append(said("%(times)s times", times=times))
    if inning:
        parts.append(said("in inning %(inning)s", inning=inning))
    if when:
        parts.append(said("at %(when)s", when=when))
    if why:
        parts.append(said("“%(why)s”", why=why))
    if by:
        parts.append(by)
    joined = parts[0]
    for part in parts[1:]:
        joined = said("%(so_far)s, %(more)s", so_far=joined, more=part)
    return said("%(sentence)s.", sentence=joined)


_UNTIL = {
    True: said("The referee's word counts until it is settled."),
    False: said("It does not count."),
}

_QUESTIONS = {
    "disputed": said("An entry is disputed."),
    "off-turn": said("A run stands out of turn; it counts for this player."),
    "clock": said("The device's clock could not be believed."),
    "implausible": said("This is unusually much."),
    "after-end": said("A run stands after the end of the match."),
    "past-distance": said("A run goes past the distance."),
}


def _question(flag: Mapping[str, Any]) -> Said:
    ruling = flag.get("ruling")
    if flag["code"] == "ruling" and ruling:
        return said(
            "A stroke was called %(call)s; as described: %(reason)s.",
            call=said("no point") if ruling["valid"] else said("a point"),
            reason=ruling["reason"],
        )
    return _QUESTIONS.get(flag["code"], said("An entry is in question."))
