"""What a device sends for one entry: the entry, and how it was written."""

from __future__ import annotations

import datetime
import uuid as uuids
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils import timezone
from django.utils.dateparse import parse_datetime

from scoring.rules.match.entry import Entry, read_entry
from scoring.rules.match.fields import MAX_ID, flag, whole
from scoring.rules.said import Malformed, said
from scoring.storable import fit_to_store

_OURS = frozenset({"uuid", "after", "device_time", "offline"})
_after = whole(0, MAX_ID)


@dataclass(frozen=True)
class Sent:
    """One entry as sent. `after` is the last seq the device knew."""

    uuid: str
    after: int
    entry: Entry
    device_time: datetime.datetime | None
    device_time_text: str
    offline: bool


def read_sent(value: Any) -> Sent:
    """Return what `value` says. Raises Malformed with the field."""
    if not isinstance(value, Mapping):
        raise Malformed("entry", said("Send one object: uuid, after, kind and its fields."))
    if not fit_to_store(value):
        raise Malformed("entry", said("Leave out signs that no text can hold."))
    for name in ("uuid", "after"):
        if value.get(name) is None:
            raise Malformed(name, said("This field is needed."))
    moment, text = read_device_time(value.get("device_time"))
    offline = value.get("offline")
    return Sent(
        uuid=read_uuid(value["uuid"]),
        after=_after(value["after"], "after"),
        entry=read_entry({name: part for name, part in value.items() if name not in _OURS}),
        device_time=moment,
        device_time_text=text,
        offline=False if offline is None else flag(offline, "offline"),
    )


def named_uuid(value: Any) -> str | None:
    """Return the uuid of what could not be read otherwise, if it has one."""
    try:
        return read_uuid(value.get("uuid")) if isinstance(value, Mapping) else None
    except Malformed:
        return None


def read_uuid(value: Any) -> str:
    """Return a uuid in lower case. Raises Malformed (`uuid`)."""
    if isinstance(value, str) and len(value) == 36:
        try:
            return str(uuids.UUID(value))
        except ValueError:
            pass
    raise Malformed("uuid", said("Send a uuid of 36 characters, made on the device."))


def read_device_time(value: Any) -> tuple[datetime.datetime | None, str]:
    """Return a device's moment in UTC, and as it was sent. Raises Malformed (`device_time`)."""
    if value is None:
        return None, ""
    wanted = said("Send the moment with its offset, such as 2026-11-25T19:30:00+01:00.")
    if not isinstance(value, str) or len(value) > 64:
        raise Malformed("device_time", wanted)
    try:
        moment = parse_datetime(value)
    except ValueError:
        moment = None
    if moment is None or timezone.is_naive(moment):
        raise Malformed("device_time", wanted)
    try:
        return moment.astimezone(datetime.UTC), value
    except OverflowError:
        raise Malformed("device_time", wanted) from None
