"""Making the rows of a batch ready: players, names, numbers, memberships, and matches with their ledgers."""

from __future__ import annotations

import datetime
import uuid as uuids
from collections.abc import Iterator
from functools import cache
from typing import Any

from scoring.bulk import Rows, reserve_keys
from scoring.import_trial import NEW, SKIP, Trial
from scoring.ledger import Author
from scoring.models import (
    ExternalNumber,
    ImportBatch,
    Match,
    Membership,
    Player,
    PlayerName,
    search_key,
)
from scoring.models.base import today
from scoring.rules.importing.columns import PLAYERS
from scoring.rules.importing.drafts import MatchDraft
from scoring.rules.importing.sheets import entries_of
from scoring.rules.importing.values import parted
from scoring.rules.match.checks import Refused
from scoring.rules.said import said
from scoring.whole_sheets import Sheets

# Matches that are made ready between two words of how far it is; lists of innings take longer.
A_PART = 250
A_PART_OF_INNINGS = 50


class Prepared:
    """What one batch makes, ready to be stored. Players are known by their keys, new ones by reserved ones."""

    def __init__(self, batch: ImportBatch, trial: Trial) -> None:
        self.batch, self.trial = batch, trial
        self.made: dict[str, list[Any]] = {"players": [], "memberships": [], "numbers": [], "matches": []}
        self._players: list[Player] = []
        self._numbers: list[ExternalNumber] = []
        self._memberships: list[Membership] = []
        self._old: set[int] = set()
        self._sheets = Sheets(Author(batch_id=batch.pk, organises=True))
        # Matches of one format hold equal copies of the regulations.
        self._rule_set = trial.rule_set.to_json()
        self._game = cache(lambda code: trial.games[code].to_json())

    def steps(self) -> Iterator[tuple[int, int]]:
        """Make everything ready, telling (matches that are ready, matches). Raises Refused."""
        if self.batch.kind == PLAYERS:
            self._make_players()
            yield 0, 0
            return
        drafts = [one for one in self.trial.read.matches if one.line not in self.trial.skipped]
        players = self._people(drafts)
        yield 0, len(drafts)
        size = A_PART if self.trial.without_runs else A_PART_OF_INNINGS
        for begin in range(0, len(drafts), size):
            part = drafts[begin : begin + size]
            self._make_matches(part, players)
            yield begin + len(part), len(drafts)

    # --- players

    def _make_players(self) -> None:
        """Enrol players, and add numbers and memberships to those who are there."""
        chosen = {twin.line: twin.choice for twin in self.trial.twins}
        drafts = [one for one in self.trial.read.players if chosen.get(one.line) != SKIP]
        fresh = [one for one in drafts if chosen.get(one.line, NEW) == NEW]
        enrolled = self._enrol([(one.given, one.family, one.guest) for one in fresh])
        players = {one.line: player for one, player in zip(fresh, enrolled, strict=True)}
        known = {one.line: int(chosen[one.line] or 0) for one in drafts if one.line not in players}
        self._old |= set(known.values())
        players |= known
        self._numbers += [
            ExternalNumber(player_id=players[one.line], issuer=one.issuer, number=one.number)
            for one in drafts
            if one.number
        ]
        self._memberships += [
            Membership(
                player_id=players[one.line],
                club=self.batch.club,
                since=one.since or today(),
                until=one.until,
            )
            for one in drafts
            if not one.guest
        ]

    def _enrol(self, names: list[tuple[str, str, bool]]) -> list[int]:
        """Make new players, nobody's name open to outsiders; return their keys."""
        keys = reserve_keys(Player, len(names))
        for key, (given, family, guest) in zip(keys, names, strict=True):
            player = Player(pk=key, guest=guest, created_by=self.batch.user)
            player.name = PlayerName(
                player=player, given=given, family=family, search_key=search_key(f"{given} {family}")
            )
            self._players.append(player)
        return keys

    def _people(self, drafts: list[MatchDraft]) -> dict[str, int]:
        """Return the players of matches by what names them, those among it who are enrolled now."""
        needed = {person.key for draft in drafts for person in draft.players}
        named = [one for one in self.trial.people if one.key in needed]
        fresh = [one for one in named if one.choice == NEW]
        # Whether they belong to the club is not known: guests, until somebody says otherwise.
        enrolled = self._enrol([(*parted(one.person.name), True) for one in fresh])
        players = {one.key: key for one, key in zip(fresh, enrolled, strict=True)}
        issuer = self.trial.presumed.issuer
        self._numbers += [
            ExternalNumber(player_id=players[one.key], issuer=issuer, number=one.person.number)
            for one in fresh
            if one.person.number and issuer
        ]
        old = {one.key: int(one.choice or 0) for one in named if one.choice != NEW}
        self._old |= set(old.values())
        return players | old

    # --- matches

    def _make_matches(self, drafts: list[MatchDraft], players: dict[str, int]) -> None:
        """Make matches through the ledger, the batch being the author of each entry."""
        lines, told = {}, []
        for key, draft in zip(reserve_keys(Match, len(drafts)), drafts, strict=True):
            match = self._match(key, draft, [players[person.key] for person in draft.players])
            told.append((match, self._sent(draft, match)))
            lines[key] = draft.line
        refusal = self._sheets.take(told)
        if refusal is not None:
            match, outcome = refusal
            raise Refused(
                "refused",
                said("Line %(line)s: %(reason)s", line=lines[match.pk], reason=outcome.reason or ""),
            )
        self.made["matches"] += [str(match.uuid) for match, _sent in told]

    def _match(self, key: int, draft: MatchDraft, pair: list[int]) -> Match:
        form = self.trial.format_of(draft)
        return Match(
            pk=key,
            club=self.batch.club,
            competition=self.batch.competition,
            discipline_code=draft.discipline,
            discipline=self._game(draft.discipline),
            format=form,
            rule_set=self._rule_set,
            entrant_a_id=pair[0],
            entrant_b_id=pair[1],
            distance_a=form["distance"][0],
            distance_b=form["distance"][1],
            created_by=self.batch.user,
        )

    def _sent(self, draft: MatchDraft, row: Match) -> list[dict[str, Any]]:
        noon = datetime.datetime.combine(draft.day, datetime.time(12), self.trial.zone)
        told = {"device_time": noon.isoformat(), "offline": True}
        entries = entries_of(draft, row.entrant_ids, self.batch.source)
        return [
            entry | told | {"uuid": str(uuids.uuid4()), "after": seq} for seq, entry in enumerate(entries)
        ]

    # --- storing

    def store(self) -> None:
        """Store all of it, inside the transaction of whoever calls. Raises Refused where somebody is gone."""
        if Player.objects.filter(pk__in=self._old).count() != len(self._old):
            raise Refused("changed", said("A player was taken back meanwhile. Look at it again."))
        there = {(row.issuer, row.number) for row in ExternalNumber.objects.all()}
        numbers = [row for row in self._numbers if (row.issuer, row.number) not in there]
        belonging = set(Membership.objects.filter(club=self.batch.club).values_list("player", flat=True))
        memberships = [row for row in self._memberships if row.player_id not in belonging]
        made = (
            (Player, self._players),
            (PlayerName, [player.name for player in self._players]),
            (ExternalNumber, numbers),
            (Membership, memberships),
        )
        for model, fresh in made:
            rows = Rows(model)
            rows.add(fresh)
            rows.store()
        self.made["players"] = [str(player.uuid) for player in self._players]
        self.made["numbers"] = [[row.issuer, row.number] for row in numbers]
        self.made["memberships"] = [str(row.uuid) for row in memberships]
        self._sheets.store()
