"""What a device sends for one attempt at practice, or to strike one out; shape alone is judged."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from scoring.rules.match import fields as read
from scoring.rules.said import Malformed, said
from scoring.sent import read_device_time, read_uuid
from scoring.storable import fit_to_store

OUTCOMES = ("made", "missed")
HOW = ("short", "long", "thin", "thick")
_OURS = frozenset({"uuid", "device_time", "offline"})


def id_or_uuid(value: Any, name: str) -> int | str:
    """Read what names an object: its id, or the uuid it was made with."""
    if type(value) is int:
        return read.identity(value, name)
    try:
        return read_uuid(value)
    except Malformed:
        raise Malformed(name, said("Send an id, or a uuid of 36 characters.")) from None


_READERS: dict[str, Callable[[Any, str], Any]] = {
    "layout": read.layout,
    "cue_ball": read.colour,
    "line": read.strike,
    "position": id_or_uuid,
    "family": read.family,
    "contacts": read.contacts,
    "outcome": read.one_of(*OUTCOMES),
    "how": read.one_of(*HOW),
    "from_match": read.identity,
    "from_place": read.identity,
}


@dataclass(frozen=True)
class SentAttempt:
    """One row as sent: `kind` is `attempt`, or `void` with a `target`."""

    uuid: str
    kind: str
    data: Mapping[str, Any]
    device_time: datetime.datetime | None
    device_time_text: str
    offline: bool


def read_attempt(value: Any) -> SentAttempt:
    """Return what `value` says. Raises Malformed with the field."""
    if not isinstance(value, Mapping):
        raise Malformed("attempt", said("Send one object: uuid, layout, cue_ball and what came of it."))
    if not fit_to_store(value):
        raise Malformed("attempt", said("Leave out signs that no text can hold."))
    if value.get("uuid") is None:
        raise Malformed("uuid", said("This field is needed."))
    moment, text = read_device_time(value.get("device_time"))
    offline = value.get("offline")
    told = {name: part for name, part in value.items() if name not in _OURS and part is not None}
    strikes = "void" in told
    return SentAttempt(
        uuid=read_uuid(value["uuid"]),
        kind="void" if strikes else "attempt",
        data=_void(told) if strikes else _attempt(told),
        device_time=moment,
        device_time_text=text,
        offline=False if offline is None else read.flag(offline, "offline"),
    )


def _void(told: Mapping[str, Any]) -> dict[str, Any]:
    for name in told:
        if name != "void":
            raise Malformed(_printable(name), said("A strike-out has no such field; leave it out."))
    try:
        return {"target": read_uuid(told["void"])}
    except Malformed as wrong:
        raise Malformed("void", wrong.reason) from None


def _attempt(told: Mapping[str, Any]) -> dict[str, Any]:
    got: dict[str, Any] = {}
    for name, raw in told.items():
        if name not in _READERS:
            raise Malformed(_printable(name), said("An attempt has no such field; leave it out."))
        got[name] = _READERS[name](raw, name)
    if not got.keys() & {"outcome", "contacts"}:
        raise Malformed("outcome", said("Say what came of it: made or missed, or the contacts."))
    for name, other in (("from_match", "from_place"), ("from_place", "from_match")):
        if name in got and other not in got:
            raise Malformed(other, said("A stroke is named by its match and its place, both."))
    if not got.keys() & {"layout", "position", "from_match"}:
        raise Malformed("layout", said("Say where the balls lay: a layout, a position, or a match's stroke."))
    return got


def _printable(name: object) -> str:
    """Return a field's name as it may be answered: nothing that no answer can carry."""
    return name if isinstance(name, str) and 0 < len(name) <= 40 and name.isprintable() else "?"
