"""The JSON schema of an entry, one object a kind, out of the fields each kind knows."""

from __future__ import annotations

from typing import Any

from scoring.rules.contacts import BALLS, CUE_BALLS, MOST_CONTACTS, RAILS
from scoring.rules.families import FAMILIES
from scoring.rules.fouls import FOUL_REASONS
from scoring.rules.match.entry import KINDS, OUTCOMES
from scoring.rules.match.fields import MAX_ID, MAX_TEXT

Schema = dict[str, Any]

_TEXT: Schema = {"type": "string", "maxLength": MAX_TEXT}
_ID: Schema = {"type": "integer", "minimum": 1, "maximum": MAX_ID}
_COLOUR: Schema = {"type": "string", "enum": list(CUE_BALLS)}
_SECONDS: Schema = {"type": "number", "minimum": 0, "maximum": 3600}
_UUID: Schema = {"type": "string", "format": "uuid"}
_REFERENCE: Schema = {"oneOf": [_ID, _UUID], "description": "The seq or the uuid of an entry."}


def _object(properties: Schema, required: list[str]) -> Schema:
    return {
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": False,
    }


def _number(low: float, high: float) -> Schema:
    return {"type": "number", "minimum": low, "maximum": high}


def _pair(most: int) -> Schema:
    whole = {"type": "integer", "minimum": 0, "maximum": most}
    return _object({"white": whole, "yellow": whole}, ["white", "yellow"])


_CENTRE: Schema = {
    "type": "array",
    "items": {"type": "number"},
    "minItems": 2,
    "maxItems": 2,
    "description": "The centre [x, y] in diamonds, x 0 to 4, y 0 to 8.",
}
_CONTACT: Schema = {
    "oneOf": [
        _object({"ball": {"type": "string", "enum": list(BALLS)}, "tie": {"type": "boolean"}}, ["ball"]),
        _object({"rail": {"type": "string", "enum": list(RAILS)}, "tie": {"type": "boolean"}}, ["rail"]),
    ]
}
_OFFSET = _number(-0.5, 0.5)

FIELDS: dict[str, Schema] = {
    "starter": _ID,
    "decided_by": {"type": "string", "enum": ["lag", "draw", "home", "other"]},
    "contacts": {"type": "array", "items": _CONTACT, "maxItems": MOST_CONTACTS},
    "family": {"type": "string", "enum": list(FAMILIES)},
    "layout": _object(dict.fromkeys(BALLS, _CENTRE), list(BALLS)),
    "cue_ball": _COLOUR,
    "line": _object(
        {
            "direction": _number(-360, 360),
            "speed": _number(0, 12),
            "side": _OFFSET,
            "height": _OFFSET,
        },
        ["direction", "speed", "side", "height"],
    ),
    "instead_of": _REFERENCE,
    "before": _REFERENCE,
    "target": _REFERENCE,
    "why": _TEXT,
    "decision": _TEXT,
    "source": _TEXT,
    "by": _COLOUR,
    "clock": _SECONDS,
    "seconds": _SECONDS,
    "opening": {"type": "boolean"},
    "reason": {"type": "string", "enum": list(FOUL_REASONS)},
    "run": {"type": "integer", "minimum": 0, "maximum": 1000},
    "table": _ID,
    "player": _ID,
    "outcome": {"type": "string", "enum": list(OUTCOMES)},
    "score": _pair(100_000),
    "innings": _pair(100_000),
    "high_run": _pair(100_000),
}
_WRITTEN: dict[str, Schema] = {
    "uuid": _UUID,
    "after": {"type": "integer", "minimum": 0, "maximum": MAX_ID},
    "device_time": {"type": "string", "format": "date-time", "nullable": True},
    "offline": {"type": "boolean", "nullable": True},
}


def _kind(kind: str) -> Schema:
    required, optional = KINDS[kind]
    own = {name: FIELDS[name] for name in [*required, *optional]}
    if kind == "confirm":
        own["by"] = _TEXT  # who confirms, not a colour
    return _object(
        {"kind": {"type": "string", "enum": [kind]}} | _WRITTEN | own,
        ["uuid", "after", "kind", *required],
    )


ENTRY: Schema = {"oneOf": [_kind(kind) for kind in KINDS]}
ENTRIES: Schema = {"type": "array", "items": ENTRY, "minItems": 1, "maxItems": 500}
