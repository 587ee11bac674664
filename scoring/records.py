"""Between an entry as the rules see it and its row in the ledger.

The row holds the fields as they were sent, without free text. Free text stands in an
erasable side row; the ledger keeps a salted hash of it, and the salt goes with the
text: a person can be forgotten, and the record still proves itself.
"""

from __future__ import annotations

import datetime
import hashlib
import json
import secrets
from collections.abc import Iterable, Mapping
from typing import Any

from scoring.models import EntryText, LedgerEntry, MatchEntry
from scoring.rules.match.entry import FREE_TEXT, Entry

# A device's clock may run ahead by this much before it is not believed.
AHEAD = datetime.timedelta(minutes=2)
# What was not entered offline reaches the club within a day.
LATE = datetime.timedelta(hours=24)


def canonical(value: Any) -> str:
    """Return the one JSON text of a value."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def split_text(kind: str, fields: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, str]]:
    """Return the fields without free text, and the free text."""
    free = FREE_TEXT | {"by"} if kind == "confirm" else FREE_TEXT
    return (
        {name: value for name, value in fields.items() if name not in free},
        {name: value for name, value in fields.items() if name in free},
    )


def text_hash(salt: str, texts: Mapping[str, str]) -> str:
    return hashlib.sha256((salt + canonical(texts)).encode()).hexdigest()


def new_text(texts: Mapping[str, str]) -> tuple[str, str]:
    """Return a fresh salt and the hash of `texts` under it; both empty without text."""
    if not texts:
        return "", ""
    salt = secrets.token_hex(32)
    return salt, text_hash(salt, texts)


def fingerprint(previous: str, row: LedgerEntry) -> str:
    """Return the hash of a row and, through `previous`, of all rows before it."""
    proved = [
        previous,
        row.about_id,
        row.seq,
        str(row.uuid),
        row.kind,
        row.data,
        row.stamps,
        row.device_time_text,
        row.received_at.astimezone(datetime.UTC).isoformat(),
        row.dated_at.astimezone(datetime.UTC).isoformat(),
        row.misdated,
        row.offline,
        row.text_hash,
    ]
    return hashlib.sha256(canonical(proved).encode()).hexdigest()


def same_contents(
    row: MatchEntry, entry: Entry, device_time: datetime.datetime | None, text: EntryText | None
) -> bool:
    """Whether a retry says what the stored row says: kind, fields, the device's time."""
    data, texts = split_text(entry.kind, entry.fields)
    if (row.kind, row.data, row.device_time) != (entry.kind, data, device_time):
        return False
    if text is None:
        # Never any text, or erased since: what is gone cannot be compared.
        return bool(row.text_hash) or not texts
    return text_hash(text.salt, texts) == row.text_hash


def dating(
    device_time: datetime.datetime | None, received: datetime.datetime, offline: bool
) -> tuple[datetime.datetime, bool]:
    """Return the moment an entry counts for, and whether its device's clock was not believed."""
    if device_time is None:
        return received, False
    if device_time > received + AHEAD or (not offline and received - device_time > LATE):
        return received, True
    return min(device_time, received), False


def entry_of(row: MatchEntry, texts: Mapping[str, str] | None = None) -> Entry:
    """Return the entry of a row; the fold needs no free text."""
    codes = row.stamps.get("codes")
    return Entry(
        kind=row.kind,
        fields=row.data | dict(texts or {}),
        seq=row.seq,
        uuid=str(row.uuid),
        by=row.stamps.get("by"),
        codes=None if codes is None else tuple(codes),
        misdated=row.misdated,
    )


def stamps_of(entry: Entry) -> dict[str, Any]:
    """Return what the server filled in."""
    stamps: dict[str, Any] = {}
    if entry.by is not None:
        stamps["by"] = entry.by
    if entry.codes is not None:
        stamps["codes"] = list(entry.codes)
    return stamps


def broken_at(rows: Iterable[LedgerEntry]) -> int | None:
    """Return the first seq of one ledger whose fingerprint does not prove it, or None."""
    previous, wanted = "", 1
    for row in rows:
        if row.seq != wanted or row.fingerprint != fingerprint(previous, row):
            return row.seq
        previous, wanted = row.fingerprint, wanted + 1
    return None
