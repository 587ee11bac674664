"""What an entry would change, in words, before it is written."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from scoring.rules.said import Said, said

from .book import Book
from .checks import name_of
from .colours import COLOURS
from .entry import RUNS, Entry
from .play import Row, fold_rows, step
from .setup import Setup
from .shown import shown
from .state import State, start


@dataclass(frozen=True)
class Preview:
    """The state as it would be, the changes in words, and corrections offered with it.

    `renumber` lists entries (without uuid) that hand later innings to the player whose
    turn it then is: what was meant where an inning was forgotten or written twice. Empty
    where nothing would stand out of turn.
    """

    state: dict[str, Any]
    changes: list[Said]
    renumber: list[dict[str, Any]]


def previewed(setup: Setup, book: Book, entry: Entry) -> Preview:
    """Return what `entry`, already prepared, would change in the ledger of `book`."""
    before, rows_before = fold_rows(setup, book)
    trial = Book([*book.entries, entry])
    after, rows_after = fold_rows(setup, trial)
    return Preview(
        state=shown(setup, after),
        changes=list(_changes(setup, (before, rows_before), (after, rows_after))),
        renumber=_renumbered(setup, trial, before, after),
    )


Folded = tuple[State, list[Row]]


def _changes(setup: Setup, before: Folded, after: Folded) -> Iterator[Said]:
    old, new = shown(setup, before[0]), shown(setup, after[0])
    for side in COLOURS:
        for figure, words in _FIGURES.items():
            if old[figure][side] != new[figure][side]:
                yield said(
                    words,
                    colour=name_of(side),
                    old=_written(old[figure][side]),
                    new=_written(new[figure][side]),
                )
    for side in COLOURS:
        reached = _reached(setup, after, side)
        if reached is not None and reached != _reached(setup, before, side):
            yield said(
                "%(colour)s reached the distance in inning %(inning)s.",
                colour=name_of(side),
                inning=reached,
            )
    yield from _turn_and_end(old, new)
    yield from _questions(before[0], after[0])


_FIGURES = {
    "points": "Total of %(colour)s: %(old)s becomes %(new)s.",
    "innings": "Innings of %(colour)s: %(old)s becomes %(new)s.",
    "high_run": "High run of %(colour)s: %(old)s becomes %(new)s.",
    "average": "Average of %(colour)s: %(old)s becomes %(new)s.",
    "sets": "Sets of %(colour)s: %(old)s becomes %(new)s.",
}


def _written(figure: Any) -> Any:
    return "–" if figure is None else figure


def _reached(setup: Setup, folded: Folded, side: str) -> int | None:
    """Return the inning in which a side made the last point of its distance."""
    state, rows = folded
    distance = setup.distance(state["players"], side)
    if distance is None:
        return None
    total, of_set = 0, None
    for row in rows:
        if row["colour"] != side or not row["counts"] or row["extra"]:
            continue
        if row["set"] != of_set:
            total, of_set = 0, row["set"]
        total += row["run"]
        if total == distance:
            return row["inning"]
    return None


def _turn_and_end(old: dict[str, Any], new: dict[str, Any]) -> Iterator[Said]:
    ended = {"over", "confirmed"}
    was, is_now = old["status"] in ended, new["status"] in ended
    if is_now and not was:
        yield said("The match would be over.")
    elif was and not is_now:
        yield said("The match would go on.")
    if is_now and old["winner"] != new["winner"]:
        winner = next((side for side in COLOURS if new["players"][side] == new["winner"]), None)
        if new["winner"] is None:
            yield said("The match would be drawn.")
        elif winner is not None:
            yield said("%(colour)s would be the winner.", colour=name_of(winner))
    if not is_now and old["turn"] != new["turn"] and new["turn"] is not None:
        yield said("%(colour)s would be to play.", colour=name_of(new["turn"]))
    if old["status"] == "confirmed" and new["status"] != "confirmed":
        yield said("The match would have to be confirmed again.")


def _questions(before: State, after: State) -> Iterator[Said]:
    known = {(flag["seq"], flag["code"]) for flag in before["flags"]}
    still = {(flag["seq"], flag["code"]) for flag in after["flags"]}
    for code, words in _FLAG_WORDS.items():
        count = sum(1 for seq, flagged in still - known if flagged == code)
        if count:
            yield said(words, count=count)
    if known - still:
        yield said("Open flags that would be answered: %(count)s.", count=len(known - still))


_FLAG_WORDS = {
    "ruling": "Entries whose description would contradict the call: %(count)s.",
    "off-turn": "Entries that would stand out of turn: %(count)s.",
    "implausible": "Runs that would be unusually long: %(count)s.",
    "past-distance": "Entries past the distance, which would not count: %(count)s.",
    "after-end": "Entries after the end, which would not count: %(count)s.",
}


def _renumbered(setup: Setup, trial: Book, before: State, after: State) -> list[dict[str, Any]]:
    """Return corrections that give each later entry to the player then on turn."""
    new = {flag["seq"] for flag in after["flags"] if flag["code"] == "off-turn"}
    if not new - {flag["seq"] for flag in before["flags"] if flag["code"] == "off-turn"}:
        return []
    state, corrections = start(setup), []
    first = min(_order(trial, seq) for seq in new)
    for at, standing in enumerate(trial.standing()):
        entry = standing.entry
        plays = at >= first and entry.kind in RUNS and not standing.empty
        moves = plays and state["turn"] is not None and entry.by != state["turn"]
        if moves:
            standing = replace(standing, entry=replace(entry, by=state["turn"]), disputes=(), settled={})
            corrections.append(_corrected(entry, state["turn"]))
        state, _ = step(setup, state, standing)
    fits = not any(flag["code"] in {"off-turn", "past-distance", "after-end"} for flag in state["flags"])
    return corrections if fits else []


def _order(trial: Book, seq: int) -> int:
    return next(at for at, one in enumerate(trial.standing()) if one.entry.seq == seq)


def _corrected(entry: Entry, by: str) -> dict[str, Any]:
    kept = {
        name: value
        for name, value in entry.fields.items()
        if name not in {"instead_of", "before", "why", "by", "contacts", "cue_ball"}
    }
    return {"kind": entry.kind, "instead_of": entry.seq, "by": by} | kept
