"""What bringing a file in would make, and what is to be chosen or mended before; nothing is written."""

from __future__ import annotations

import datetime
import zoneinfo
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from scoring.models import ColourProjection, ExternalNumber, ImportBatch, Match, Player
from scoring.models.base import today
from scoring.regulations import disciplines_of, find_rule_set
from scoring.rules.importing import columns as cols
from scoring.rules.importing.columns import PLAYERS, RESULTS
from scoring.rules.importing.drafts import (
    MatchDraft,
    Person,
    PlayerDraft,
    Presumed,
    Problem,
    Read,
    plain_name,
    read_drafts,
)
from scoring.rules.importing.sheets import format_of, trouble_of
from scoring.rules.importing.table import Table, read_table
from scoring.rules.said import Malformed, said

# SAME is chosen for all rows at once: each is the one player it may be.
NEW, SKIP, ASK, SAME = "new", "skip", "ask", "same"


@dataclass
class Named:
    """Somebody of a file and the players it may be: `choice` is one of their ids, NEW, or None: not chosen."""

    key: str
    person: Person
    known: list[Player]
    by_number: bool
    choice: str | None


@dataclass
class Twin:
    """A row that is there already, in the club or further up in the file. `choice`: SKIP, NEW, a player's id, None."""

    line: int
    draft: PlayerDraft | MatchDraft
    known: list[Player] = field(default_factory=list)
    match: int | None = None
    above: int | None = None
    by_number: bool = False
    choice: str | None = None


class Trial:
    """A file, read as a batch says; every part is worked out when it is asked for.

    folds: whether lists of innings are tried against the rules; whoever brings them in folds them anyway.
    """

    def __init__(self, batch: ImportBatch, *, folds: bool = True) -> None:
        self.batch, self.options = batch, batch.options
        self._folds = folds
        self.kind = batch.kind
        self.club = batch.club
        self.zone = zoneinfo.ZoneInfo(self.club.time_zone)

    # --- the file

    @cached_property
    def table(self) -> Table:
        return read_table(
            self.options["text"],
            self.options.get("separator"),
            self.options["encoding"],
            self.options.get("headless"),
        )

    @cached_property
    def columns(self) -> dict[str, int]:
        chosen = self.options.get("columns")
        if chosen is None:
            return cols.guess(self.kind, self.table.heads)
        return cols.read_map(self.kind, chosen, len(self.table.heads))

    @property
    def missing(self) -> list[tuple[str, ...]]:
        return cols.missing(self.kind, self.columns)

    @cached_property
    def games(self) -> dict[str, Any]:
        return disciplines_of(self.club)

    @cached_property
    def presumed(self) -> Presumed:
        names = {cols.plain(one.name): code for code, one in self.games.items()}
        names |= {cols.plain(code): code for code in self.games}
        return Presumed(
            disciplines=names,
            discipline=self.options.get("discipline") or self._usual_discipline(),
            distance=self.options.get("distance"),
            issuer=self.options.get("issuer", ""),
            today=today() + datetime.timedelta(days=1),
        )

    def _usual_discipline(self) -> str:
        """Return the competition's discipline, or that of the club's latest match."""
        if self.batch.competition is not None:
            return self.batch.competition.discipline
        latest = (
            Match.objects.filter(club=self.club).order_by("-pk").values_list("discipline_code", flat=True)
        )
        code = latest.first()
        return code if code in self.games else next(iter(self.games))

    @cached_property
    def read(self) -> Read:
        if self.missing:
            return Read()
        return read_drafts(self.kind, self.table, self.columns, self.presumed)

    @cached_property
    def problems(self) -> list[Problem]:
        """What is to be mended, by line and column."""
        found = [*self.read.problems, *self._unknown_numbers(), *self._troubles(), *self._same_people()]
        return sorted(found, key=lambda one: one.line)

    # --- who they are

    @cached_property
    def _index(self) -> tuple[dict[tuple[str, str], Player], dict[str, list[Player]]]:
        players = list(Player.objects.named().filter(merged_into__isnull=True))
        names = defaultdict(list)
        for one in players:
            if one.name_or_none is not None:
                names[plain_name(f"{one.name.given} {one.name.family}".strip())].append(one)
        whole = {one.pk: one for one in players}
        numbers = {}
        for row in ExternalNumber.objects.select_related("player"):
            known = whole.get(row.player.merged_into_id or row.player_id)
            if known is not None:
                numbers[row.issuer.casefold(), row.number.casefold()] = known
        return numbers, names

    def known_as(self, person: Person, issuer: str) -> tuple[list[Player], bool]:
        """Return the players somebody may be, and whether a number says so."""
        numbers, names = self._index
        if person.number:
            found = numbers.get((issuer.casefold(), person.number.casefold()))
            if found is not None:
                return [found], True
        return (names.get(plain_name(person.name), []) if person.name else []), False

    @cached_property
    def people(self) -> list[Named]:
        """Everybody whom matches name."""
        chosen: Mapping[str, str] = self.options.get("people", {})
        same = bool(self.options.get("same_names"))
        found = []
        for key, person in self.read.people.items():
            known, by_number = self.known_as(person, self.presumed.issuer)
            allowed = {NEW, *(str(one.pk) for one in known)}
            choice = chosen.get(key) if chosen.get(key) in allowed else None
            if choice is None and not known:
                choice = NEW
            if choice is None and len(known) == 1 and (by_number or same):
                choice = str(known[0].pk)
            found.append(Named(key, person, known, by_number, choice))
        return found

    def _unknown_numbers(self) -> Iterable[Problem]:
        nameless = {one.key for one in self.people if not one.known and not one.person.name}
        for match in self.read.matches:
            for side, person in zip("ab", match.players, strict=True):
                if person.key in nameless:
                    yield Problem(
                        match.line,
                        f"number_{side}",
                        said("Nobody in the club has this number, and no name is told."),
                    )

    def _same_people(self) -> Iterable[Problem]:
        ids = {one.key: one.choice for one in self.people if one.choice not in (None, NEW)}
        for match in self.read.matches:
            first, second = (ids.get(one.key) for one in match.players)
            if first is not None and first == second:
                yield Problem(match.line, "player_b", said("Both are the same player of the club."))

    # --- whether it fits

    @cached_property
    def _regulations(self) -> tuple[Any, Any]:
        cup = self.batch.competition
        rules = find_rule_set(self.club, None if cup is None else cup.rule_set or None)
        return rules, None if cup is None else cup.format_defaults

    @property
    def rule_set(self) -> Any:
        return self._regulations[0]

    def format_of(self, draft: MatchDraft) -> dict[str, Any]:
        """Return the format a match is made with. Raises Malformed."""
        return format_of(draft, self._regulations[1], self.games[draft.discipline])

    def _troubles(self) -> Iterable[Problem]:
        for draft in self.read.matches:
            try:
                form = self.format_of(draft)
            except Malformed as error:
                yield Problem(draft.line, "", error.reason)
                continue
            game = self.games[draft.discipline]
            trouble = trouble_of(draft, form, game, self.rule_set) if self._folds else None
            if trouble is not None:
                yield Problem(draft.line, "", trouble)

    # --- what is there already

    @cached_property
    def twins(self) -> list[Twin]:
        found = self._player_twins() if self.kind == PLAYERS else self._match_twins()
        chosen: Mapping[str, str] = self.options.get("rows", {})
        usual = self.options.get("twins", ASK)
        twins = []
        for twin in found:
            allowed = {SKIP, *(str(one.pk) for one in twin.known)} | (set() if twin.by_number else {NEW})
            choice = chosen.get(str(twin.line), usual)
            if choice == SAME and len(twin.known) == 1:
                choice = str(twin.known[0].pk)
            twin.choice = choice if choice in allowed else None
            twins.append(twin)
        return twins

    def _player_twins(self) -> Iterable[Twin]:
        seen: dict[str, int] = {}
        for draft in self.read.players:
            known, by_number = self.known_as(draft.person, draft.issuer)
            name = plain_name(draft.person.name)
            above = seen.setdefault(name, draft.line)
            if known or above != draft.line:
                yield Twin(
                    draft.line,
                    draft,
                    known,
                    above=above if above != draft.line else None,
                    by_number=by_number,
                )

    def _match_twins(self) -> Iterable[Twin]:
        ids = {one.key: one.choice for one in self.people}
        there = self._matches_there([int(one) for one in ids.values() if one not in (None, NEW)])
        seen: dict[Any, int] = {}
        for draft in self.read.matches:
            sides = frozenset(
                (ids.get(person.key) if ids.get(person.key) not in (None, NEW) else person.key, made)
                for person, made in zip(draft.players, draft.score, strict=True)
            )
            key = (draft.day, draft.discipline, sides)
            match = there.get(key)
            above = seen.setdefault(key, draft.line)
            if match is not None or above != draft.line:
                yield Twin(draft.line, draft, match=match, above=above if above != draft.line else None)

    def _matches_there(self, players: list[int]) -> dict[Any, int]:
        """Return the matches these players have, by day, discipline and who made how many."""
        days = [draft.day for draft in self.read.matches]
        if not days or not players:
            return {}
        own = set(players)
        day = datetime.timedelta(days=1)
        first = datetime.datetime.combine(min(days) - day, datetime.time(), self.zone)
        last = datetime.datetime.combine(max(days) + 2 * day, datetime.time(), self.zone)
        rows = ColourProjection.objects.filter(
            match__projection__started_at__range=(first, last), player__isnull=False
        ).values_list(
            "match_id", "player_id", "player__merged_into_id", "score", "match__projection__started_at",
            "match__discipline_code",
        )  # fmt: skip
        sides: dict[int, set[tuple[str, int]]] = defaultdict(set)
        about: dict[int, tuple[datetime.date, str]] = {}
        for match, player, merged, score, started, code in rows.iterator():
            if (merged or player) in own:
                sides[match].add((str(merged or player), score))
                about[match] = (started.astimezone(self.zone).date(), code)
        return {(*about[match], frozenset(both)): match for match, both in sides.items() if len(both) == 2}

    # --- in short

    @property
    def skipped(self) -> set[int]:
        return {twin.line for twin in self.twins if twin.choice == SKIP}

    @cached_property
    def to_choose(self) -> int:
        """How many choices are open."""
        return sum(one.choice is None for one in [*self.people, *self.twins])

    @property
    def is_ready(self) -> bool:
        """Whether it can be brought in as it is."""
        seen = not self.seen_before or bool(self.options.get("again"))
        return (
            not (self.missing or self.problems or self.to_choose) and seen and bool(sum(self.counts.values()))
        )

    @cached_property
    def seen_before(self) -> ImportBatch | None:
        """The batch that brought the same file in and still stands."""
        same = ImportBatch.objects.filter(digest=self.batch.digest, undone_at__isnull=True)
        return next((one for one in same.exclude(pk=self.batch.pk) if not one.options.get("draft")), None)

    @cached_property
    def counts(self) -> dict[str, int]:
        """How many rows of each kind it would make."""
        if self.kind == PLAYERS:
            old = {twin.line for twin in self.twins if twin.choice not in (None, NEW)}
            return {
                "players": sum(one.line not in old for one in self.read.players),
                "numbers": sum(bool(one.number) for one in self.read.players if one.line not in self.skipped),
                "matches": 0,
            }
        matches = [one for one in self.read.matches if one.line not in self.skipped]
        needed = {person.key for match in matches for person in match.players}
        return {
            "players": sum(one.choice == NEW and one.key in needed for one in self.people),
            "numbers": 0,
            "matches": len(matches),
        }

    @property
    def without_runs(self) -> bool:
        """Whether no match comes with its innings."""
        return all(one.runs is None for one in self.read.matches)

    @property
    def without_innings(self) -> int:
        """How many matches come as a result only."""
        if self.kind != RESULTS:
            return 0
        return sum(one.runs is None and one.line not in self.skipped for one in self.read.matches)
