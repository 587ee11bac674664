"""A club out of a file, into an empty database, proved on the way."""

from __future__ import annotations

import hashlib
import json
import zipfile
import zlib
from collections.abc import Callable, Iterator
from typing import IO, Any

from django.contrib.auth import get_user_model
from django.contrib.auth.hashers import make_password
from django.core.exceptions import ObjectDoesNotExist, ValidationError
from django.core.management.color import no_style
from django.db import DataError, IntegrityError, connection, transaction

from scoring import ledger, projecting, records, summing
from scoring.conducting import do_rebuild_competition
from scoring.encounter_sums import do_rebuild_boards
from scoring.models import Club, Competition, CompetitionProjection, Match, PracticePosition, PracticeSession
from scoring.positions import do_ship_positions
from scoring.rebuilding import do_rebuild
from scoring.rules.match.checks import Refused
from scoring.rules.said import said

from .shapes import MANIFEST, PROOFS, VERSION, Shape, row_from_json, shapes
from .writing import proof_of_match

A_PART = 500
Teller = Callable[[str, int, int], None]
# No row is longer, so that memory does not grow with what somebody packed into a small file.
LONGEST_LINE = 64_000_000
# What a file brings about that is damaged or was written by somebody else.
UNREADABLE = (
    zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, LookupError, AttributeError, TypeError, ValueError,
    OverflowError, ValidationError, ObjectDoesNotExist, IntegrityError, DataError,
)  # fmt: skip


@transaction.atomic
def read_archive(source: IO[bytes], tell: Teller = lambda *_told: None) -> dict[str, Any]:
    """Bring a club in; return the manifest. Raises Refused: not-empty, unreadable, changed, not-proved.

    tell: is told how far it is: the name of a member, its rows that are done, its rows.
    """
    check_empty()
    try:
        with zipfile.ZipFile(source) as archive:
            manifest = _manifest(archive)
            told = {one["name"]: one for one in manifest["members"]}
            wanted = [f"{shape.name}.jsonl" for shape in shapes()]
            if set(told) != {*wanted, PROOFS}:
                raise Refused("unreadable", said("The archive holds other rows than this version knows."))
            PracticePosition.objects.all().delete()
            Club.objects.all().delete()
            for shape, name in zip(shapes(), wanted, strict=True):
                _store(shape, _lines(archive, told[name], tell))
            _reset_sequences()
            _prove(_lines(archive, told[PROOFS], tell))
    except UNREADABLE as error:
        raise Refused("unreadable", said("This is no archive of a club: %(why)s.", why=str(error))) from error
    do_ship_positions()
    return manifest


def check_empty() -> None:
    """Raise Refused unless the database holds nothing but what every new one holds."""
    for shape in shapes():
        rows = shape.model._default_manager.all()
        if shape.model is PracticePosition:
            rows = rows.filter(shipped=False)
        # A club is made at its first need; alone it says nothing.
        if shape.model is not Club and rows.exists():
            raise Refused(
                "not-empty",
                said(
                    "The database holds %(rows)s already. Bring an archive into an empty one, just migrated.",
                    rows=str(shape.model._meta.verbose_name_plural),
                ),
            )


def _manifest(archive: zipfile.ZipFile) -> dict[str, Any]:
    with archive.open(MANIFEST) as member:
        manifest = json.loads(member.read(LONGEST_LINE))
    if manifest["format"] != "cushion-ledger-club" or manifest["version"] != VERSION:
        raise Refused("unreadable", said("The archive is of another format or version."))
    return manifest


def _lines(archive: zipfile.ZipFile, told: dict[str, Any], tell: Teller) -> Iterator[dict[str, Any]]:
    """Yield the rows of a member; Refused (changed) at its end where it is not the one that was written."""
    digest, count = hashlib.sha256(), 0
    with archive.open(told["name"]) as member:
        while line := member.readline(LONGEST_LINE + 1):
            if len(line) > LONGEST_LINE:
                raise Refused("unreadable", said("The archive holds a row that is too long."))
            digest.update(line)
            count += 1
            yield json.loads(line)
            if count % A_PART == 0 or count == told["rows"]:
                tell(told["name"], count, told["rows"])
    if digest.hexdigest() != told["sha256"] or count != told["rows"]:
        raise Refused("changed", said("%(name)s is not as it was written.", name=told["name"]))


def _store(shape: Shape, rows: Iterator[dict[str, Any]]) -> None:
    part = []
    for told in rows:
        row = row_from_json(shape, told)
        if shape.model is get_user_model() and "password" not in told:
            row.password = make_password(None)
        part.append(row)
        if len(part) == A_PART:
            shape.model._default_manager.bulk_create(part)
            part = []
    shape.model._default_manager.bulk_create(part)


def _reset_sequences() -> None:
    """Let new rows be numbered behind those that kept their numbers."""
    made = [shape.model for shape in shapes()]
    statements = connection.ops.sequence_reset_sql(no_style(), made)
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def _prove(proofs: Iterator[dict[str, Any]]) -> None:
    """Work out what the ledgers add up to, and compare it with what it was."""
    for told in proofs:
        if "match" in told:
            _prove_match(told)
        else:
            competition = Competition.objects.get(pk=told["competition"])
            do_rebuild_competition(competition)
            head = CompetitionProjection.objects.filter(competition=competition).first()
            if head is None or (head.seq, head.fingerprint) != (told["seq"], told["fingerprint"]):
                raise Refused("not-proved", said("The ledger of %(name)s differs.", name=competition.name))
    for competition in Competition.objects.order_by("pk"):
        summing.do_add_up(competition.pk)
        do_rebuild_boards(competition)
    for session in PracticeSession.objects.iterator(chunk_size=A_PART):
        if records.broken_at(session.entries.order_by("seq").iterator(chunk_size=A_PART)) is not None:
            raise Refused("not-proved", said("The ledger of practice %(number)s differs.", number=session.pk))


def _prove_match(told: dict[str, Any]) -> None:
    match = Match.objects.get(pk=told["match"])
    projecting.begin(match, projecting.setup_of(match))
    found = [one for one in do_rebuild(match.pk) if one.startswith("entry")]
    fresh = ledger.lock(match.pk)
    if found or proof_of_match(fresh) != told["sha256"]:
        raise Refused("not-proved", said("The ledger of match %(number)s differs.", number=match.pk))
