"""An event of the demo: what was written of it, and who writes what is missing.

Every step is taken by the verb that an organiser's page takes it by, under a uuid of its own: what the
ledger of the competition holds already is not done again.
"""

from __future__ import annotations

import datetime
import uuid as uuids
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from clubsite.demo.club import DemoClub
from clubsite.demo.fixture import entries_of, named
from clubsite.demo.replay import NotAccepted
from scoring import ledger
from scoring.competing import do_write_competition
from scoring.ledger import Author
from scoring.models import Competition, CompetitionEntry, Match


@dataclass
class Book:
    """The steps of one event: which are written already, and who writes them."""

    demo: DemoClub
    row: Mapping[str, Any]
    done: set[uuids.UUID] = field(default_factory=set)

    def __post_init__(self) -> None:
        rows = CompetitionEntry.objects.filter(competition=self.competition)
        self.done = set(rows.values_list("uuid", flat=True))

    @property
    def code(self) -> str:
        return str(self.row["competition"]["code"])

    @property
    def competition(self) -> Competition:
        return self.demo.competitions[self.code]

    @property
    def author(self) -> Author:
        return Author(user_id=self.demo.users["organiser"].pk, organises=True)

    def uuid(self, step: str) -> uuids.UUID:
        """Return the uuid that a step has in every database."""
        return named("step", f"{self.code}:{step}")

    def open(self, step: str) -> uuids.UUID | None:
        """Return the uuid of a step that is not taken yet, else None."""
        found = self.uuid(step)
        return None if found in self.done else found

    def players(self, codes: Iterable[str]) -> list[int]:
        return [self.demo.players[code].pk for code in codes]

    def day(self, ahead: int) -> datetime.date:
        return self.demo.now.astimezone(self.demo.zone).date() + datetime.timedelta(days=ahead)

    def begin(self) -> None:
        """Write the regulations and the last day, before anything else is written."""
        if not self.done:
            told = {"regulations": self.row["regulations"], "ends_on": self.day(self.row["ends_in_days"])}
            do_write_competition(self.competition, told)

    def match(self, codes: Iterable[str]) -> Match:
        """Return the match of two players; it is drawn."""
        first, second = self.players(codes)
        both = Match.objects.filter(competition=self.competition, encounter__isnull=True)
        return both.get(entrant_a__in=(first, second), entrant_b__in=(first, second))

    def write(self, match: Match, row: Mapping[str, Any], author: Author) -> None:
        """Write the entries of a match at the hours of the file. Raises NotAccepted."""
        sent = entries_of(row, self.demo.player_ids, self.demo.now, self.demo.zone)
        outcomes, _state = ledger.append_list(match.pk, sent, author)
        for outcome in outcomes:
            if outcome.status == "refused":
                raise NotAccepted(f"{match}: {outcome.reason}")

    def write_totals(
        self, match: Match, row: Mapping[str, Any], when: Mapping[str, Any], confirmed: bool = True
    ) -> None:
        """Write what a sheet of paper says of a match: who started, points, innings and high runs."""
        totals = {
            name: dict(zip(("white", "yellow"), row[key], strict=True))
            for name, key in (("score", "points"), ("high_run", "high_run"))
        }
        told: list[dict[str, Any]] = [
            {"kind": "open", "starter": row["players"][0], "decided_by": "lag"},
            {
                "kind": "result",
                "outcome": "played",
                "innings": dict.fromkeys(("white", "yellow"), row["innings"]),
            }
            | totals,
        ]
        if confirmed:
            told.append({"kind": "confirm", "by": "both players"})
        named_so = {"code": f"{self.code}:{match.uuid}", "entries": told}
        self.write(match, named_so | dict(when), self.author)
