"""From rows to what would be made of them, and what is to be mended by row and column."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Any

from scoring.rules.said import Malformed, Said, said

from . import values
from .columns import INNINGS, PLAYERS, ColumnMap, plain
from .table import Row, Table

MOST_POINTS, MOST_INNINGS, MOST_RUN = 100_000, 10_000, 1_000


@dataclass(frozen=True)
class Problem:
    """What is to be mended: the line, the name of the column (empty: the whole row), the sentence."""

    line: int
    column: str
    reason: Said


@dataclass(frozen=True)
class Person:
    """Somebody a row names: by name, by number, or by both."""

    name: str = ""
    number: str = ""

    @cached_property
    def key(self) -> str:
        """What tells two people of a file apart; one who has a number is known by it."""
        return f"number {self.number.casefold()}" if self.number else f"name {plain_name(self.name)}"


@dataclass(frozen=True)
class PlayerDraft:
    """A player that a row tells of."""

    line: int
    given: str
    family: str
    number: str = ""
    issuer: str = ""
    since: datetime.date | None = None
    until: datetime.date | None = None
    guest: bool = False

    @property
    def person(self) -> Person:
        return Person(f"{self.given} {self.family}".strip(), self.number)


@dataclass(frozen=True)
class MatchDraft:
    """A match that rows tell of; pairs are (first, second). runs: None where only totals are known.

    innings: None where they are not known either.
    """

    line: int
    day: datetime.date
    players: tuple[Person, Person]
    discipline: str
    distances: tuple[int | None, int | None]
    score: tuple[int, int]
    innings: tuple[int, int] | None = None
    high_runs: tuple[int, int] | None = None
    runs: tuple[tuple[int, ...], tuple[int, ...]] | None = None


@dataclass
class Read:
    """What a file would make."""

    players: list[PlayerDraft] = field(default_factory=list)
    matches: list[MatchDraft] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    @property
    def people(self) -> dict[str, Person]:
        """Everybody the matches name, by key, in the order of the file."""
        found: dict[str, Person] = {}
        for match in self.matches:
            for person in match.players:
                known = found.get(person.key)
                if known is None or (person.name and not known.name):
                    found[person.key] = person
        return found


@dataclass(frozen=True)
class Presumed:
    """What holds where a file does not say it. disciplines: code by plain code or plain name."""

    disciplines: Mapping[str, str]
    discipline: str
    distance: int | None = None
    issuer: str = ""
    today: datetime.date | None = None


@lru_cache(5000)
def plain_name(name: str) -> str:
    """Return a name as it is compared: the family name last, however it was written."""
    return plain(" ".join(values.parted(name)))


class _Cells:
    """The cells of one row by what they hold; problems are noted, not raised."""

    def __init__(self, row: Row, columns: ColumnMap, problems: list[Problem]) -> None:
        self.line = row.line
        self._row, self._columns, self._problems = row.cells, columns, problems
        self.sound = True

    def text(self, name: str) -> str:
        place = self._columns.get(name)
        return "" if place is None else self._row[place]

    def wrong(self, column: str, reason: Said) -> None:
        self.sound = False
        self._problems.append(Problem(self.line, column, reason))

    def get(self, name: str, reader: Callable[..., Any], *args: Any, needed: bool = False) -> Any:
        """Return the value of a cell; None where it is empty or was noted as a problem."""
        cell = self.text(name)
        if cell == "" and not needed:
            return None
        try:
            if cell == "":
                raise Malformed(name, said("This is needed."))
            return reader(cell, name, *args)
        except Malformed as error:
            self.wrong(name, error.reason)
            return None


def read_drafts(kind: str, table: Table, columns: ColumnMap, presumed: Presumed) -> Read:
    """Return what a file would make under a map of columns; nothing is raised."""
    read = Read()
    rows = [_Cells(row, columns, read.problems) for row in table.rows]
    if kind == PLAYERS:
        people = (_player(cells, presumed) for cells in rows)
        read.players = [one for one in people if one is not None]
        _note_twice(read)
    elif kind == INNINGS and "runs_a" not in columns:
        read.matches = _gathered(rows, presumed)
    else:
        reader = _sheet if kind == INNINGS else _result
        read.matches = [one for cells in rows if (one := reader(cells, presumed)) is not None]
    _note_longer(read, table)
    read.problems.sort(key=lambda one: one.line)
    return read


def _note_longer(read: Read, table: Table) -> None:
    """Note rows with something beside the columns: what stands there belongs to none."""
    for row in table.rows:
        if any(row.cells[len(table.heads) :]):
            told = said(
                "This row has more cells than the heads. Put a cell that holds the separator in quotes."
            )
            read.problems.append(Problem(row.line, "", told))


# --- players -------------------------------------------------------------------


def _player(cells: _Cells, presumed: Presumed) -> PlayerDraft | None:
    if cells.text("family"):
        family = cells.get("family", values.a_name)
        given = cells.get("given", values.a_name) or ""
    else:
        whole = cells.get("name", values.a_name, 160, needed=True)
        given, family = values.parted(whole) if whole else ("", "")
        if len(given) > 80 or len(family) > 80:
            cells.wrong("name", said("A name has %(most)s signs at most, all of them to be seen.", most=80))
    number = cells.get("number", values.a_name, 60) or ""
    issuer = cells.get("issuer", values.a_name, 60) or presumed.issuer
    if number and not issuer:
        cells.wrong("number", said("Say who gave the numbers: in a column, or for the whole file."))
    since, until = cells.get("since", values.a_day), cells.get("until", values.a_day)
    if since and until and until < since:
        cells.wrong("until", said("The last day comes after the first."))
    guest = bool(cells.get("guest", values.a_flag))
    if not cells.sound:
        return None
    return PlayerDraft(cells.line, given, family, number, issuer if number else "", since, until, guest)


def _note_twice(read: Read) -> None:
    """Note a number that the file gives to two rows."""
    seen: dict[tuple[str, str], int] = {}
    for one in read.players:
        if not one.number:
            continue
        key = (one.issuer, one.number)
        if key in seen:
            told = said("Line %(line)s has the same number: correct or empty one of them.", line=seen[key])
            read.problems.append(Problem(one.line, "number", told))
        seen.setdefault(key, one.line)


# --- matches -------------------------------------------------------------------


@dataclass(frozen=True)
class _Head:
    """What every kind of match is told with."""

    day: datetime.date
    players: tuple[Person, Person]
    discipline: str
    distances: tuple[int | None, int | None]


def _head(cells: _Cells, presumed: Presumed) -> _Head | None:
    day = cells.get("date", values.a_day, presumed.today, needed=True)
    people = (_person(cells, "a"), _person(cells, "b"))
    if people[0].key == people[1].key and (people[0].name or people[0].number):
        cells.wrong("player_b", said("Two different players are needed."))
    written = cells.text("discipline")
    discipline = presumed.disciplines.get(plain(written)) if written else presumed.discipline
    if discipline is None:
        cells.wrong("discipline", said("The club has no such discipline."))
    distances = tuple(
        cells.get(f"distance_{side}", values.a_whole, MOST_RUN, 1) or presumed.distance for side in "ab"
    )
    if day is None or discipline is None:
        return None
    return _Head(day, people, discipline, (distances[0], distances[1]))


def _person(cells: _Cells, side: str) -> Person:
    number = cells.get(f"number_{side}", values.a_name, 60) or ""
    name = cells.get(f"player_{side}", values.a_name, 160, needed=not number) or ""
    return Person(name, number)


def _result(cells: _Cells, presumed: Presumed) -> MatchDraft | None:
    head = _head(cells, presumed)
    score = [cells.get(f"score_{side}", values.a_whole, MOST_POINTS, needed=True) for side in "ab"]
    both = cells.get("innings", values.a_whole, MOST_INNINGS, 1)
    innings = [cells.get(f"innings_{side}", values.a_whole, MOST_INNINGS, 1) or both for side in "ab"]
    if (innings[0] is None) != (innings[1] is None):
        cells.wrong(
            "innings_a" if innings[0] is None else "innings_b", said("Write the innings of both, or of none.")
        )
    high = [cells.get(f"high_run_{side}", values.a_whole, MOST_POINTS) for side in "ab"]
    # The high run of somebody who made nothing is known.
    high = [0 if run is None and points == 0 else run for run, points in zip(high, score, strict=True)]
    for side, run, points in zip("ab", high, score, strict=True):
        if run is not None and points is not None and run > points:
            cells.wrong(f"high_run_{side}", said("A high run is no more than the points."))
    if head is None or not cells.sound:
        return None
    return MatchDraft(
        cells.line,
        head.day,
        head.players,
        head.discipline,
        head.distances,
        (score[0], score[1]),
        None if innings[0] is None else (innings[0], innings[1]),
        None if None in high else (high[0], high[1]),
    )


def _sheet(cells: _Cells, presumed: Presumed) -> MatchDraft | None:
    """Read a match whose runs stand in two cells."""
    head = _head(cells, presumed)
    runs = [cells.get(f"runs_{side}", values.some_runs, needed=True) for side in "ab"]
    if head is None or not cells.sound:
        return None
    return _of_runs(cells, head, runs[0], runs[1])


def _gathered(rows: Iterable[_Cells], presumed: Presumed) -> list[MatchDraft]:
    """Read matches that are told in a row an inning, in the order of the file or of their numbers."""
    matches: dict[tuple[Any, ...], list[tuple[_Cells, _Head, int, tuple[int | None, int | None]]]] = {}
    for cells in rows:
        head = _head(cells, presumed)
        number = cells.get("inning", values.a_whole, MOST_INNINGS, 1)
        run = [cells.get(f"run_{side}", values.a_whole, MOST_RUN) for side in "ab"]
        if head is None or not cells.sound:
            continue
        key = (cells.text("match"), head.day, head.players[0].key, head.players[1].key, head.discipline)
        told = matches.setdefault(key, [])
        told.append((cells, head, number or len(told) + 1, (run[0], run[1])))
    found = []
    for told in matches.values():
        first = told[0][0]
        numbers = [number for _cells, _head, number, _run in told]
        if sorted(numbers) != list(range(1, len(numbers) + 1)):
            first.wrong("inning", said("The innings of this match are not 1, 2, 3 and so on, each once."))
            continue
        told.sort(key=lambda one: one[2])
        columns = [[run[side] for *_rest, run in told] for side in (0, 1)]
        runs = [_ended(told, side, column) for side, column in zip("ab", columns, strict=True)]
        if first.sound and all(cells.sound for cells, *_rest in told):
            draft = _of_runs(first, told[0][1], runs[0], runs[1])
            if draft is not None:
                found.append(draft)
    return found


def _ended(told: list[Any], side: str, column: list[int | None]) -> list[int]:
    """Return the runs of a side: empty cells may stand at the end alone."""
    while column and column[-1] is None:
        column.pop()
    for place, run in enumerate(column):
        if run is None:
            told[place][0].wrong(f"run_{side}", said("A run is missing; write 0 where nothing was made."))
    return [run or 0 for run in column]


def _of_runs(cells: _Cells, head: _Head, first: list[int], second: list[int]) -> MatchDraft | None:
    """Return the match of two columns of runs. Whoever has one inning more began."""
    if not first or abs(len(first) - len(second)) > 1:
        cells.wrong("", said("The two players differ by more than one inning."))
        return None
    return MatchDraft(
        cells.line,
        head.day,
        head.players,
        head.discipline,
        head.distances,
        (sum(first), sum(second)),
        (len(first), len(second)),
        (max(first), max(second, default=0)),
        (tuple(first), tuple(second)),
    )
