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

from .entry import PLACED, QUIET, Entry

# What a stroke may be told about afterwards.
DESCRIBED = ("contacts", "family", "layout", "cue_ball", "line", "reason", "clock", "opening")


@dataclass(frozen=True, slots=True)
class Standing:
    """An entry that holds a place, with all that was said about the place since.

    `told` maps a described field to (value, seq of the entry that told it).
    `settled` maps a flag's code to the seq of the latest settlement that named it.
    """

    place: int
    entry: Entry
    told: dict[str, tuple[Any, int]] = field(default_factory=dict)
    disputes: tuple[int, ...] = ()
    settled: dict[str, int] = field(default_factory=dict)

    def value(self, name: str) -> Any:
        return self.told[name][0] if name in self.told else None

    def since(self, name: str) -> int:
        return self.told[name][1] if name in self.told else self.entry.seq


def alone(entry: Entry) -> Standing:
    """Return the standing of an entry that nothing was said about yet."""
    return Standing(entry.seq, entry, _told(entry, ()))


def _told(entry: Entry, notes: Iterable[Entry]) -> dict[str, tuple[Any, int]]:
    told: dict[str, tuple[Any, int]] = {}
    for source in sorted([entry, *notes], key=lambda one: one.seq):
        for name in DESCRIBED:
            value = source.get(name)
            if value is not None:
                told[name] = (value, source.seq)
    return told


class Place:
    """One position in the order of play: its chain and what stands of it."""

    __slots__ = ("chain", "notes", "stack")

    def __init__(self, original: Entry) -> None:
        self.chain = [original]
        self.stack = [original]
        self.notes: list[Entry] = []

    @property
    def seq(self) -> int:
        """The first seq of the chain: the name of the place."""
        return self.chain[0].seq

    @property
    def holder(self) -> Entry | None:
        return self.stack[-1] if self.stack else None

    def strike_out(self, entry: Entry) -> None:
        if entry.seq == self.seq:
            self.stack.clear()
        elif entry in self.stack:
            self.stack.remove(entry)

    def standing(self, voided: set[int]) -> Standing | None:
        if not self.stack:
            return None
        notes = [note for note in self.notes if note.seq not in voided]
        settled: dict[str, int] = {}
        for note in notes:
            if note.kind == "settle":
                settled |= dict.fromkeys(note.codes or (), note.seq)
        return Standing(
            place=self.seq,
            entry=self.stack[-1],
            told=_told(self.stack[-1], (note for note in notes if note.kind == "annotate")),
            disputes=tuple(note.seq for note in notes if note.kind == "dispute"),
            settled=settled,
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
            place = self._place[self._known(target).seq]
            place.chain.append(entry)
            place.stack.append(entry)
        else:
            place = Place(entry)
            target = entry.get("before")
            where = len(self.order) if target is None else self.position(self._known(target))
            self.order.insert(where, place)
        self._place[entry.seq] = place

    def _say(self, entry: Entry) -> None:
        target = self._known(entry.get("target"))
        place = self._place.get(target.seq)
        if entry.kind == "void":
            self.voided.add(target.seq)
            if place is not None:
                place.strike_out(target)
        elif place is not None:
            place.notes.append(entry)

    def find(self, reference: int | str) -> Entry | None:
        """Return the entry that a seq or a uuid names, if this match has it."""
        seq = self._uuids.get(reference) if isinstance(reference, str) else reference
        return None if seq is None else self._at.get(seq)

    def _known(self, reference: int | str) -> Entry:
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

    def standing(self, until: Place | None = None) -> Iterator[Standing]:
        """Yield what holds each filled place in order of play, up to before `until`."""
        for place in self.order:
            if place is until:
                return
            standing = place.standing(self.voided)
            if standing is not None:
                yield standing

    @property
    def confirm_seq(self) -> int:
        """The latest confirmation that was not struck out, or 0."""
        return max(
            (entry.seq for entry in self.entries if entry.kind == "confirm" and entry.seq not in self.voided),
            default=0,
        )
