"""The whole club into one file."""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import IO, Any

from django.contrib.auth import get_user_model
from django.db import connection, transaction

from scoring.models import CompetitionProjection, Match
from scoring.rebuilding import columns_of
from scoring.records import canonical

from .shapes import LEFT_OUT_WORDS, MANIFEST, PASSWORD, PROOFS, VERSION, Shape, encoded, row_to_json, shapes

# The earliest moment a zip can tell: equal clubs make equal files.
MOMENT = (1980, 1, 1, 0, 0, 0)
A_PART = 500


@contextmanager
def snapshot() -> Iterator[None]:
    """See the club as it is at one moment, without keeping anybody from writing."""
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "sqlite":
        # Django's own transactions take the lock of writers at once; a reader needs none.
        with connection.cursor() as cursor:
            cursor.execute("BEGIN DEFERRED")
            try:
                yield
            finally:
                cursor.execute("ROLLBACK")
    else:
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
            yield


def write_archive(target: IO[bytes], *, passwords: bool = False) -> dict[str, Any]:
    """Write the club to `target`; return the manifest. Memory does not grow with the club.

    passwords: with the hashes of the users' passwords, so that everybody signs in as before.
    """
    members = []
    with snapshot(), zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        for shape in shapes():
            members.append(_member(archive, f"{shape.name}.jsonl", _rows(shape, passwords)))
        members.append(_member(archive, PROOFS, _proofs()))
        manifest = {
            "format": "cushion-ledger-club",
            "version": VERSION,
            "passwords": passwords,
            "left_out": list(LEFT_OUT_WORDS),
            "members": members,
        }
        with archive.open(_info(MANIFEST), "w") as out:
            out.write((json.dumps(manifest, indent=1, sort_keys=True) + "\n").encode())
    return manifest


def _info(name: str) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, MOMENT)
    info.compress_type = zipfile.ZIP_DEFLATED
    info.external_attr = 0o600 << 16
    info.create_system = 3
    return info


def _member(archive: zipfile.ZipFile, name: str, rows: Iterable[dict[str, Any]]) -> dict[str, Any]:
    digest, count = hashlib.sha256(), 0
    with archive.open(_info(name), "w", force_zip64=True) as out:
        for row in rows:
            line = (canonical(row) + "\n").encode()
            digest.update(line)
            out.write(line)
            count += 1
    return {"name": name, "rows": count, "sha256": digest.hexdigest()}


def _rows(shape: Shape, passwords: bool) -> Iterator[dict[str, Any]]:
    names = [field.attname for field in shape.fields]
    if shape.model is get_user_model() and not passwords:
        names.remove(PASSWORD)
    rows = shape.model._default_manager.order_by("pk").values_list(*names)
    for values in rows.iterator(chunk_size=A_PART):
        yield row_to_json(names, values)


def _proofs() -> Iterator[dict[str, Any]]:
    """Yield what the ledgers add up to: whoever reads the archive works it out again and compares."""
    for match in Match.objects.select_related("projection").order_by("pk").iterator(chunk_size=A_PART):
        yield {"match": match.pk, "sha256": proof_of_match(match)}
    heads = CompetitionProjection.objects.order_by("pk").values_list("competition", "seq", "fingerprint")
    for competition, seq, fingerprint in heads.iterator(chunk_size=A_PART):
        yield {"competition": competition, "seq": seq, "fingerprint": fingerprint}


def proof_of_match(match: Match) -> str:
    """Return the SHA-256 of every column of a match's projections."""
    return hashlib.sha256(canonical(_plain(columns_of(match))).encode()).hexdigest()


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _plain(part) for name, part in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(part) for part in value]
    return encoded(value)
