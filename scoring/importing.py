"""Bringing files in: opening a batch, setting how it is read, writing it whole, and taking it back whole.

A batch holds the text of its file while it is a draft, and keeps the map of columns afterwards. `made`
names what it made by uuid: {players, memberships, matches}, and numbers as [issuer, number].
"""

from __future__ import annotations

import datetime
import uuid as uuids
from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from django.db import models, transaction
from django.utils import timezone

from scoring import summing
from scoring.following import gathered
from scoring.import_trial import NEW, SKIP, Trial
from scoring.ledger import Author
from scoring.models import (
    Club,
    Competition,
    CompetitionEntry,
    Encounter,
    ExternalNumber,
    ImportBatch,
    Match,
    Membership,
    Player,
    PlayerName,
    search_key,
)
from scoring.models.base import today
from scoring.rules.importing.columns import KINDS, PLAYERS
from scoring.rules.importing.drafts import MatchDraft, PlayerDraft
from scoring.rules.importing.sheets import entries_of
from scoring.rules.importing.table import decode, digest, read_table
from scoring.rules.importing.values import parted
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed, Said, said
from scoring.storable import fit_to_store
from scoring.whole_sheets import erase_sheets, write_sheets

# Matches that are stored at once.
A_PART = 250


def do_open_batch(
    club: Club, user: Any, kind: str, name: str, data: bytes, competition: Competition | None = None
) -> ImportBatch:
    """Keep a file as a draft; nothing of it is in the club yet. Raises Malformed (`file`, `kind`)."""
    if kind not in KINDS:
        raise Malformed("kind", said("Choose one of the list."))
    text, encoding = decode(data)
    table = read_table(text, None, encoding)
    if not fit_to_store(text):
        raise Malformed("file", said("Leave out signs that no text can hold."))
    options = {"draft": True, "text": text, "encoding": encoding, "separator": table.separator}
    return ImportBatch.objects.create(
        user=user,
        club=club,
        kind=kind,
        source=name[:200] or "csv",
        competition=competition,
        digest=digest(data),
        options=options,
    )


def _is_closed(wanted: Iterable[int | None]) -> bool:
    """Whether one of these competitions is frozen; they are held, so that none is closed in between."""
    held = Competition.objects.select_for_update(of=("self",)).filter(pk__in=[one for one in wanted if one])
    return any(one.closed_at is not None for one in held.order_by("pk"))


def _held_draft(pk: int) -> ImportBatch:
    """Return a batch as it is now, held until the transaction ends. Raises Refused for one that is no draft."""
    batch = ImportBatch.objects.select_for_update(of=("self",)).select_related("club").filter(pk=pk).first()
    if batch is None or not batch.options.get("draft"):
        raise Refused("written", said("This file was brought in already, or thrown away."))
    return batch


@transaction.atomic
def do_set(batch: ImportBatch, changed: Mapping[str, Any]) -> None:
    """Set how a draft is read and what was chosen. Raises Malformed, and Refused for one that is no draft."""
    if not fit_to_store(dict(changed)):
        raise Malformed("choice", said("Choose one of the list."))
    batch.options = _held_draft(batch.pk).options | dict(changed)
    batch.save(update_fields=["options"])


@transaction.atomic
def do_drop(batch: ImportBatch) -> None:
    """Throw a draft away."""
    _held_draft(batch.pk).delete()


@transaction.atomic
def do_write(batch: ImportBatch, user: Any) -> ImportBatch:
    """Bring a file in, all of it or nothing. Raises Refused with what stands in the way."""
    batch = _held_draft(batch.pk)
    if _is_closed([batch.competition_id]):
        raise Refused(
            "closed", said("This competition is closed. Open it again first; everybody will see it.")
        )
    trial = Trial(batch)
    if not trial.is_ready:
        raise Refused("not-ready", said("Something is to be chosen or mended first."))
    writer = _Writer(batch, trial)
    if batch.kind == PLAYERS:
        writer.write_players()
    else:
        writer.write_matches()
    kept = {
        name: value
        for name, value in batch.options.items()
        if name not in ("draft", "text", "people", "rows", "again")
    }
    batch.options = kept | {"columns": trial.columns, "heads": list(trial.table.heads)}
    batch.made, batch.made_at, batch.user = writer.made, timezone.now(), user
    batch.save()
    return batch


class _Writer:
    """What is being made of one batch."""

    def __init__(self, batch: ImportBatch, trial: Trial) -> None:
        self.batch, self.trial = batch, trial
        self.made: dict[str, list[Any]] = {"players": [], "memberships": [], "numbers": [], "matches": []}

    def write_players(self) -> None:
        """Enrol players, and add numbers and memberships to those who are there."""
        chosen = {twin.line: twin.choice for twin in self.trial.twins}
        drafts = [one for one in self.trial.read.players if chosen.get(one.line) != SKIP]
        fresh = [one for one in drafts if chosen.get(one.line, NEW) == NEW]
        enrolled = self._enrol([(one.given, one.family, one.guest) for one in fresh])
        players = {one.line: player for one, player in zip(fresh, enrolled, strict=True)}
        known = {one.line: int(chosen[one.line] or 0) for one in drafts if one.line not in players}
        old = Player.objects.in_bulk(known.values())
        players |= {line: old[pk] for line, pk in known.items()}
        self._number([(players[one.line], one.issuer, one.number) for one in drafts if one.number])
        self._belong([(players[one.line], one) for one in drafts if not one.guest])

    def _enrol(self, names: list[tuple[str, str, bool]]) -> list[Player]:
        """Return new players, nobody's name open to outsiders."""
        user = self.batch.user
        players = Player.objects.bulk_create(
            [Player(guest=guest, created_by=user) for *_name, guest in names], batch_size=500
        )
        PlayerName.objects.bulk_create(
            [
                PlayerName(
                    player=player, given=given, family=family, search_key=search_key(f"{given} {family}")
                )
                for player, (given, family, _guest) in zip(players, names, strict=True)
            ],
            batch_size=500,
        )
        self.made["players"] += [str(player.uuid) for player in players]
        return players

    def _number(self, wanted: list[tuple[Player, str, str]]) -> None:
        there = {(row.issuer, row.number) for row in ExternalNumber.objects.all()}
        rows = [
            ExternalNumber(player=player, issuer=issuer, number=number)
            for player, issuer, number in wanted
            if (issuer, number) not in there
        ]
        ExternalNumber.objects.bulk_create(rows, batch_size=500)
        self.made["numbers"] += [[row.issuer, row.number] for row in rows]

    def _belong(self, wanted: list[tuple[Player, PlayerDraft]]) -> None:
        there = set(Membership.objects.filter(club=self.batch.club).values_list("player", flat=True))
        rows = [
            Membership(player=player, club=self.batch.club, since=one.since or today(), until=one.until)
            for player, one in wanted
            if player.pk not in there
        ]
        Membership.objects.bulk_create(rows, batch_size=500)
        self.made["memberships"] += [str(row.uuid) for row in rows]

    def write_matches(self) -> None:
        """Write matches through the ledger, the batch being the author of each entry."""
        drafts = [one for one in self.trial.read.matches if one.line not in self.trial.skipped]
        players = self._people(drafts)
        author = Author(batch_id=self.batch.pk, organises=True)
        # Sums follow once, at the end.
        with gathered():
            for begin in range(0, len(drafts), A_PART):
                self._write_part(drafts[begin : begin + A_PART], players, author)

    def _write_part(self, drafts: list[MatchDraft], players: dict[str, Player], author: Author) -> None:
        rows = [
            self._match(draft, tuple(players[person.key] for person in draft.players)) for draft in drafts
        ]
        Match.objects.bulk_create(rows)
        told = list(zip(drafts, rows, strict=True))
        refused = write_sheets([(row, self._sent(draft, row)) for draft, row in told], author)
        if refused:
            match, outcome = refused[0]
            line = next(draft.line for draft, row in told if row is match)
            raise Refused(
                "refused", said("Line %(line)s: %(reason)s", line=line, reason=outcome.reason or "")
            )
        self.made["matches"] += [str(row.uuid) for row in rows]

    def _people(self, drafts: list[MatchDraft]) -> dict[str, Player]:
        needed = {person.key for draft in drafts for person in draft.players}
        named = [one for one in self.trial.people if one.key in needed]
        fresh = [one for one in named if one.choice == NEW]
        # Whether they belong to the club is not known: guests, until somebody says otherwise.
        enrolled = self._enrol([(*parted(one.person.name), True) for one in fresh])
        players = {one.key: player for one, player in zip(fresh, enrolled, strict=True)}
        issuer = self.trial.presumed.issuer
        self._number(
            [(players[one.key], issuer, one.person.number) for one in fresh if one.person.number and issuer]
        )
        old = {one.key: int(one.choice or 0) for one in named if one.choice != NEW}
        found = Player.objects.in_bulk(old.values())
        return players | {key: found[pk] for key, pk in old.items()}

    def _match(self, draft: MatchDraft, pair: tuple[Player, ...]) -> Match:
        game = self.trial.games[draft.discipline]
        form = self.trial.format_of(draft)
        return Match(
            club=self.batch.club,
            competition=self.batch.competition,
            discipline_code=game.code,
            discipline=game.to_json(),
            format=form,
            rule_set=self.trial.rule_set.to_json(),
            entrant_a=pair[0],
            entrant_b=pair[1],
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


# --- taking it back --------------------------------------------------------------


@transaction.atomic
def do_undo(batch: ImportBatch, user: Any) -> ImportBatch:
    """Take back all that a batch made. Raises Refused with what was built on it since."""
    batch = ImportBatch.objects.select_for_update(of=("self",)).get(pk=batch.pk)
    if batch.options.get("draft") or batch.undone_at is not None:
        raise Refused("undone", said("There is nothing to take back."))
    made = batch.made
    matches = list(Match.objects.filter(uuid__in=made.get("matches", [])))
    if _is_closed({match.competition_id for match in matches}):
        raise Refused(
            "closed", said("This competition is closed. Open it again first; everybody will see it.")
        )
    try:
        erase_sheets([match.pk for match in matches], batch.pk)
    except models.ProtectedError as error:
        raise Refused("built-on", _built_on(error.protected_objects)) from error
    sums: dict[int, set[int]] = {}
    for match in matches:
        if match.competition_id is not None:
            sums.setdefault(match.competition_id, set()).update(match.entrant_ids)
    for competition, ids in sums.items():
        summing.do_add_up(competition, ids)
    for issuer, number in made.get("numbers", []):
        ExternalNumber.objects.filter(issuer=issuer, number=number).delete()
    Membership.objects.filter(uuid__in=made.get("memberships", [])).delete()
    _erase_players(made.get("players", []))
    batch.undone_at, batch.undone_by = timezone.now(), user
    batch.save(update_fields=["undone_at", "undone_by"])
    return batch


def _erase_players(wanted: list[str]) -> None:
    players = list(Player.objects.filter(uuid__in=wanted))
    ids = [player.pk for player in players]
    if any(player.user_id is not None for player in players):
        raise Refused("built-on", said("A user is linked to one of its players since."))
    for relation in Player._meta.related_objects:
        model = relation.related_model
        # Above this layer stands what was computed; it goes with the player unless it protects itself.
        if model is PlayerName or model._meta.app_label != Player._meta.app_label:
            continue
        if model.__name__ == "StandingSums":
            continue
        built = model._default_manager.filter(**{f"{relation.field.name}__in": ids})[:50]
        if built:
            raise Refused("built-on", _built_on(built))
    if _entered(ids):
        raise Refused("built-on", said("One of its players was entered in a competition since."))
    try:
        Player.objects.filter(pk__in=ids).delete()
    except models.ProtectedError as error:
        raise Refused("built-on", _built_on(error.protected_objects)) from error


def _entered(ids: list[int]) -> bool:
    """Whether a competition names one of the players: its own ledger, or a line-up."""
    if not ids:
        return False
    own = set(ids)
    kinds = ("enter", "referees", "reveal")
    entries = CompetitionEntry.objects.filter(kind__in=kinds).order_by().values_list("data", flat=True)
    named = ("players", "home", "away")
    if any(own.intersection(data.get(name, [])) for data in entries.iterator() for name in named):
        return True
    # A line-up that nobody reads yet waits in its encounter.
    kept = Encounter.objects.order_by().values_list("home_line_up", "away_line_up")
    return any(own.intersection(one["players"]) for pair in kept for one in pair if isinstance(one, dict))


def _built_on(rows: Any) -> Said:
    """Return which rows stand in the way: how many of which kind."""
    kinds = Counter(str(type(row)._meta.verbose_name_plural) for row in rows)
    told = ", ".join(f"{count} {kind}" for kind, count in sorted(kinds.items()))
    return said("Something was built on it since: %(told)s.", told=told)
