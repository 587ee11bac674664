"""Where each entry stands once corrections are resolved.

A *place* is a position in the order of play. An entry that is neither a correction
nor about another entry opens a place at the end; `before` opens one just before
another; `instead_of` stands in a place that is there. The latest correction that is
not struck out holds its place; striking out the original empties it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from .entry import PLACED, QUIET, RUNS, STROKES, Entry

# These may stand between the balls that were told and their stroke.
_BESIDE_PLAY = frozenset({"position", "clock", "timeout", "suspend", "resume"})
# What a stroke may be told about afterwards.
DESCRIBED = ("contacts", "family", "layout", "cue_ball", "line", "reason", "clock", "opening")


@dataclass(frozen=True, slots=True)
class Standing:
    """An entry that holds a place, with all that was said about the place since.

    `since` is the seq from which the place has said this: written again in place with the
    same contents, an entry raises no new question.
    `told` maps a described field to (value, seq of the entry that told it).
    `settled` maps a flag's code to the seq of the latest settlement that named it.
    `misdated` is the latest seq, of the entry or of what was said about it, whose clock
    could not be believed, or 0.
    `robbed` is True where the balls told just before were those of a stroke that stood
    between when this one was written, and is struck out since.
    `empty` is True where all was struck out and only disputes of that remain.
    """

    place: int
    entry: Entry
    since: int
    told: dict[str, tuple[Any, int]] = field(default_factory=dict)
    disputes: tuple[int, ...] = ()
    settled: dict[str, int] = field(default_factory=dict)
    misdated: int = 0
    robbed: bool = False
    empty: bool = False

    def value(self, name: str) -> Any:
        return self.told[name][0] if name in self.told else None

    def told_since(self, name: str) -> int:
        return max(self.since, self.told[name][1] if name in self.told else 0)


def alone(entry: Entry) -> Standing:
    """Return the standing of an entry that nothing was said about yet."""
    return Standing(
        place=entry.seq,
        entry=entry,
        since=entry.seq,
        told=_told(entry, entry.seq, ()),
        misdated=entry.seq if entry.misdated else 0,
    )


def _told(entry: Entry, since: int, notes: Iterable[Entry]) -> dict[str, tuple[Any, int]]:
    told: dict[str, tuple[Any, int]] = {}
    if entry.kind not in STROKES:  # a whole inning in a stroke's place has no contacts
        return told
    sources = [(since, entry), *((note.seq, note) for note in notes)]
    for seq, source in sorted(sources, key=lambda one: one[0]):
        for name in DESCRIBED:
            value = source.get(name)
            if value is not None:
                told[name] = (value, seq)
    return told


class Place:
    """One position in the order of play: its chain and what stands of it."""

    __slots__ = ("chain", "notes", "stack", "turns")

    def __init__(self, original: Entry) -> None:
        self.chain = [original]
        self.stack = [original]
        self.notes: list[Entry] = []
        # When the place was filled and when it was emptied: (seq, filled).
        self.turns = [(original.seq, True)]

    @property
    def seq(self) -> int:
        """The first seq of the chain: the name of the place."""
        return self.chain[0].seq

    @property
    def holder(self) -> Entry | None:
        return self.stack[-1] if self.stack else None

    @property
    def face(self) -> Entry:
        """What a flag about the place names: its holder, else its original."""
        return self.holder or self.chain[0]

    def was_filled(self, seq: int) -> bool:
        """Whether something stood here when the entry `seq` was written."""
        return next((filled for since, filled in reversed(self.turns) if since <= seq), False)

    def correct(self, entry: Entry) -> None:
        """Let `entry` stand here."""
        self.chain.append(entry)
        self.stack.append(entry)
        self.turns.append((entry.seq, True))

    def strike_out(self, entry: Entry, seq: int) -> None:
        """Take `entry` out of the place, as the strike-out at `seq` says."""
        if entry.seq == self.seq:
            self.stack.clear()
        elif entry in self.stack:
            self.stack.remove(entry)
        if not self.stack:
            self.turns.append((seq, False))

    def standing(self, voided: set[int], robbed: bool = False) -> Standing | None:
        """Return what stands here; of an empty place, what its strike-out is disputed by."""
        entry, empty = self.face, not self.stack
        notes = [note for note in self.notes if note.seq not in voided]
        disputes = tuple(note.seq for note in notes if note.kind == "dispute")
        if empty:
            disputes = tuple(seq for seq in disputes if not self.was_filled(seq))
            if not disputes:
                return None
        settled: dict[str, int] = {}
        for note in notes:
            if note.kind == "settle":
                settled |= dict.fromkeys(note.codes or (), note.seq)
        since = next(one.seq for one in self.chain if one.says_the_same(entry))
        return Standing(
            place=self.seq,
            entry=entry,
            since=since,
            told=_told(entry, since, (note for note in notes if note.kind == "annotate")),
            disputes=disputes,
            settled=settled,
            misdated=max((one.seq for one in [entry, *notes] if one.misdated), default=0),
            robbed=robbed,
            empty=empty,
        )


class Book:
    """The entries of one match, resolved: `order` holds its places in order of play."""

    def __init__(self, entries: Iterable[Entry] = ()) -> None:
        self.entries: list[Entry] = []
        self.order: list[Place] = []
        self.voided: set[int] = set()
        self.seq = 0
        self.play_seq = 0
        self.reopen_seq = 0
        self._at: dict[int, Entry] = {}
        self._uuids: dict[str, int] = {}
        self._place: dict[int, Place] = {}
        for entry in entries:
            self.add(entry)

    def add(self, entry: Entry) -> None:
        """Take in the next entry; its references must be known."""
        self.entries.append(entry)
        self._at[entry.seq] = entry
        if entry.uuid:
            self._uuids[entry.uuid] = entry.seq
        self.seq = entry.seq
        if entry.kind not in QUIET:
            self.play_seq = entry.seq
        if entry.reopens:
            self.reopen_seq = entry.seq
        if entry.kind in PLACED:
            self._stand(entry)
        elif entry.kind != "confirm":
            self._say(entry)

    def _stand(self, entry: Entry) -> None:
        if (target := entry.get("instead_of")) is not None:
            place = self._place[self.known(target).seq]
            place.correct(entry)
        else:
            place = Place(entry)
            target = entry.get("before")
            where = len(self.order) if target is None else self._just_before(self.known(target))
            self.order.insert(where, place)
        self._place[entry.seq] = place

    def _say(self, entry: Entry) -> None:
        target = self.known(entry.get("target"))
        place = self._place.get(target.seq)
        if entry.kind == "void":
            self.voided.add(target.seq)
            if place is not None:
                place.strike_out(target, entry.seq)
        elif place is not None:
            place.notes.append(entry)

    def find(self, reference: int | str) -> Entry | None:
        """Return the entry that a seq or a uuid names, if this match has it."""
        seq = self._uuids.get(reference) if isinstance(reference, str) else reference
        return None if seq is None else self._at.get(seq)

    def known(self, reference: int | str) -> Entry:
        entry = self.find(reference)
        if entry is None:
            raise LookupError(f"no entry {reference} in this match")
        return entry

    def place_of(self, entry: Entry) -> Place | None:
        """Return the place in whose chain `entry` is, or None for one without a place."""
        return self._place.get(entry.seq)

    def position(self, entry: Entry) -> int:
        """Return the index in `order` of the place of `entry`."""
        return self.order.index(self._place[entry.seq])

    def _just_before(self, entry: Entry) -> int:
        """Return the index for an insertion: a stroke keeps the balls told before it."""
        where = self.position(entry)
        told = where
        while where and self.order[where - 1].face.kind in _BESIDE_PLAY:
            where -= 1
            if self.order[where].face.kind == "position":
                told = where
        return told

    def standing(self, until: Place | None = None) -> Iterator[Standing]:
        """Yield what stands at each place in order of play, up to before `until`."""
        emptied: list[Place] = []
        for place in self.order:
            if place is until:
                return
            robbed = any(one.was_filled(place.seq) for one in emptied)
            standing = place.standing(self.voided, robbed)
            if standing is not None:
                yield standing
            if place.face.kind in RUNS and not place.stack:
                emptied.append(place)
            elif place.stack and place.face.kind in RUNS | {"position"}:
                emptied = []

    @property
    def confirm_seq(self) -> int:
        """The latest confirmation that was not struck out, or 0."""
        return max(
            (entry.seq for entry in self.entries if entry.kind == "confirm" and entry.seq not in self.voided),
            default=0,
        )
