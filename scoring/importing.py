"""Bringing files in: opening a batch, setting how it is read, writing it whole, and taking it back whole.

A batch holds the text of its file while it is a draft, and keeps the map of columns afterwards. `made`
names what it made by uuid: {players, memberships, matches}, and numbers as [issuer, number].
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from django.db import models, transaction
from django.utils import timezone

from scoring import summing
from scoring.import_making import Prepared
from scoring.import_trial import Trial
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
)
from scoring.rules.importing.columns import KINDS
from scoring.rules.importing.table import decode, digest, read_table
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed, Said, said
from scoring.storable import fit_to_store
from scoring.whole_sheets import erase_sheets


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
    _check_draft(batch)
    return batch


def _check_draft(batch: ImportBatch | None) -> None:
    if batch is None or not batch.options.get("draft"):
        raise Refused("written", said("This file was brought in already, or thrown away."))


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


def do_write(batch: ImportBatch, user: Any) -> ImportBatch:
    """Bring a file in, all of it or nothing. Raises Refused with what stands in the way."""
    for _done, _of in write_in_steps(batch, user):
        pass
    return ImportBatch.objects.get(pk=batch.pk)


def write_in_steps(batch: ImportBatch, user: Any) -> Iterator[tuple[int, int]]:
    """Bring a file in, telling (matches made ready, matches) on the way; whoever stops before the end, in nothing.

    Everything is made ready while nobody waits; one short transaction at the end stores it. What holds
    of the club is asked once more there. Raises Refused, before the first step where that can be.
    """
    batch = ImportBatch.objects.select_related("club", "competition").get(pk=batch.pk)
    _check_draft(batch)
    trial = Trial(batch, folds=False)
    if not trial.is_ready:
        raise Refused("not-ready", said("Something is to be chosen or mended first."))
    prepared = Prepared(batch, trial)
    yield from prepared.steps()
    with transaction.atomic():
        held = _held_draft(batch.pk)
        if _is_closed([held.competition_id]):
            raise Refused(
                "closed", said("This competition is closed. Open it again first; everybody will see it.")
            )
        if (held.options, held.competition_id) != (batch.options, batch.competition_id):
            raise Refused("changed", said("Somebody chose otherwise meanwhile. Look at it again."))
        if Trial(held).seen_before != trial.seen_before:
            raise Refused("changed", said("Somebody brought the same file in meanwhile. Look at it again."))
        prepared.store()
        kept = {
            name: value
            for name, value in batch.options.items()
            if name not in ("draft", "text", "people", "rows", "again")
        }
        held.options = kept | {"columns": trial.columns, "heads": list(trial.table.heads)}
        held.made, held.made_at, held.user = prepared.made, timezone.now(), user
        held.save()


# --- taking it back --------------------------------------------------------------


@transaction.atomic
def do_undo(batch: ImportBatch, user: Any) -> ImportBatch:
    """Take back all that a batch made. Raises Refused with what was built on it since."""
    batch = ImportBatch.objects.select_for_update(of=("self",)).get(pk=batch.pk)
    if batch.options.get("draft") or batch.undone_at is not None:
        raise Refused("undone", said("There is nothing to take back."))
    made = batch.made
    wanted = Match.objects.filter(uuid__in=made.get("matches", []))
    matches = list(wanted.only("competition_id", "entrant_a_id", "entrant_b_id"))
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
