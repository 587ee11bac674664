"""A match on a desk: write entries and read the state, without a database."""

from __future__ import annotations

import uuid
from dataclasses import replace
from typing import Any

from scoring.rules.disciplines import DISCIPLINES
from scoring.rules.formats import complete_format
from scoring.rules.match.book import Book
from scoring.rules.match.checks import check_fresh, prepare
from scoring.rules.match.entry import Entry, read_entry
from scoring.rules.match.play import append, fold, fold_rows
from scoring.rules.match.setup import Setup
from scoring.rules.match.shown import innings_of, shown
from scoring.rules.match.state import start
from scoring.rules.rulesets import RuleSet

FIRST, SECOND = 7, 9


def setup_of(discipline: str = "three-cushion", rule_set: Any = None, **given: Any) -> Setup:
    game = DISCIPLINES[discipline]
    return Setup(
        entrants=(FIRST, SECOND),
        discipline=game,
        format=complete_format(given, {}, game),
        rule_set=RuleSet.from_json(rule_set),
        id=1,
    )


class Desk:
    """The ledger of one match in memory, written through the same checks as the real one."""

    def __init__(self, setup: Setup | None = None, **given: Any) -> None:
        self.setup = setup or setup_of(**given)
        self.entries: list[Entry] = []
        self.state = start(self.setup)

    def write(self, kind: str, *, after: int | None = None, **fields: Any) -> dict[str, Any]:
        """Write one entry and return the public state; raises Refused and writes nothing."""
        entry = replace(
            read_entry({"kind": kind} | fields),
            seq=len(self.entries) + 1,
            uuid=str(uuid.uuid4()),
        )
        check_fresh(len(self.entries) if after is None else after, self.state)
        book = Book(self.entries)
        ready = prepare(self.setup, self.state, entry, book)
        self.entries.append(ready)
        if ready.refolds:
            self.state = fold(self.setup, Book(self.entries))
        else:
            self.state, _ = append(self.setup, self.state, ready)
        return self.seen

    def open(self, starter: int = FIRST) -> Desk:
        self.write("open", starter=starter, decided_by="lag")
        return self

    def innings(self, *runs: int) -> Desk:
        for run in runs:
            self.write("inning", run=run)
        return self

    @property
    def seen(self) -> dict[str, Any]:
        return shown(self.setup, self.state)

    @property
    def rows(self) -> list[dict[str, Any]]:
        return fold_rows(self.setup, Book(self.entries))[1]

    @property
    def sheet(self) -> list[dict[str, Any]]:
        return innings_of(self.rows)
