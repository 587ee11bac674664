"""Formats: how far a match goes, who gets a last inning, how much time there is."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .reading import a_bool, a_choice, a_code, a_date, a_text, an_int, an_object, int_or_none
from .said import Malformed, said

if TYPE_CHECKING:
    from .disciplines import Discipline

FIELDS = (
    "distance",
    "equalizing",
    "equalizing_from",
    "innings_limit",
    "sets_to_win",
    "shot_seconds",
    "warning_seconds",
    "timeouts",
    "timeout_seconds",
    "timeout_mode",
    "average_decimals",
    "average_rounding",
)
EQUALIZING_FROM = ("opening", "as-they-lie")
TIMEOUT_MODES = ("automatic", "called")
ROUNDINGS = ("truncate", "half-up")

# All published clocks warn ten seconds before the time is up.
WARNING_BEFORE_END = 10


@dataclass(frozen=True)
class FormatPreset:
    """A format that is in use somewhere; `fields` leaves out what the discipline decides."""

    code: str
    name: str
    fields: Mapping[str, Any]
    source: str
    since: date | None = None

    def to_json(self) -> dict[str, Any]:
        """Return the preset as JSON values."""
        return {
            "code": self.code,
            "name": self.name,
            "fields": dict(self.fields),
            "source": self.source,
            "since": self.since.isoformat() if self.since else None,
        }


def complete_format(
    given: Mapping[str, Any] | None,
    competition_defaults: Mapping[str, Any] | None,
    discipline: Discipline,
) -> dict[str, Any]:
    """Return all fields of a format: as given, else the competition's, else the discipline's.

    null means none (no distance, no limit, no clock). `preset` names one of FORMATS, whose
    fields stand below those given beside it. Raises Malformed with the field (`format.distance`).
    """
    layers = [dict(discipline.default_format)]
    if competition_defaults is not None:
        layers.append(read_fields(competition_defaults, "competition.format"))
    if given is not None:
        layers.append(read_fields(given, "format"))
    merged: dict[str, Any] = {}
    for layer in layers:
        merged |= _settle_warning(merged, layer)
    _check_together(merged, "format")
    return {name: merged[name] for name in FIELDS}


def complete_fields(value: Any, decimals: int, field: str) -> dict[str, Any]:
    """Return all fields of a discipline's own default format; what is left out means none."""
    plain: dict[str, Any] = dict.fromkeys(FIELDS) | {
        "distance": [None, None],
        "equalizing": True,
        "equalizing_from": "opening",
        "timeout_mode": "called",
        "average_decimals": decimals,
        "average_rounding": "truncate",
    }
    fields = plain | read_fields(value, field)
    _check_together(fields, field)
    return fields


def read_fields(value: Any, field: str) -> dict[str, Any]:
    """Validate the fields of a format that are there; `preset` is resolved."""
    given = dict(an_object(value, field, (*FIELDS, "preset")))
    preset = given.pop("preset", None)
    read = {name: _READERS[name](part, f"{field}.{name}") for name, part in given.items()}
    if preset is None:
        return read
    return dict(FORMATS[a_choice(preset, f"{field}.preset", FORMATS)].fields) | read


def _settle_warning(below: Mapping[str, Any], layer: dict[str, Any]) -> dict[str, Any]:
    """Move an inherited warning along with the limit that this layer sets."""
    if "shot_seconds" not in layer or "warning_seconds" in layer:
        return layer
    limit, warning = layer["shot_seconds"], below.get("warning_seconds")
    if limit is None:
        return layer | {"warning_seconds": None}
    if warning is not None and warning >= limit:
        return layer | {"warning_seconds": limit - WARNING_BEFORE_END if limit > WARNING_BEFORE_END else None}
    return layer


def _check_together(merged: Mapping[str, Any], field: str) -> None:
    limit, warning = merged["shot_seconds"], merged["warning_seconds"]
    if warning is not None and (limit is None or warning >= limit):
        raise Malformed(
            f"{field}.warning_seconds",
            said("the warning comes before the time is up: fewer seconds than shot_seconds"),
        )
    if merged["sets_to_win"] is not None and None in merged["distance"]:
        raise Malformed(f"{field}.distance", said("a set is a race to a distance: give both players one"))


# Points or innings that a match can go to.
LONGEST_DISTANCE = 1000


def _distance(value: Any, field: str) -> list[int | None]:
    if value is None:
        return [None, None]
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise Malformed(field, said("two distances are needed here, one for each player"))
    return [int_or_none(part, field, 1, LONGEST_DISTANCE) for part in value]


def _number(low: int, high: int) -> Any:
    return lambda value, field: int_or_none(value, field, low, high)


def _choice(choices: tuple[str, ...]) -> Any:
    return lambda value, field: a_choice(value, field, choices)


_READERS: dict[str, Any] = {
    "distance": _distance,
    "equalizing": a_bool,
    "equalizing_from": _choice(EQUALIZING_FROM),
    "innings_limit": _number(1, 1000),
    "sets_to_win": _number(1, 50),
    "shot_seconds": _number(5, 600),
    "warning_seconds": _number(1, 599),
    "timeouts": _number(0, 20),
    "timeout_seconds": _number(1, 600),
    "timeout_mode": _choice(TIMEOUT_MODES),
    "average_decimals": lambda value, field: an_int(value, field, 0, 6),
    "average_rounding": _choice(ROUNDINGS),
}


def _presets() -> dict[str, FormatPreset]:
    rows = json.loads(Path(__file__).with_name("data").joinpath("formats.json").read_text("utf-8"))
    presets = {}
    for row in rows:
        code = a_code(row["code"], "formats.code")
        presets[code] = FormatPreset(
            code=code,
            name=a_text(row["name"], f"formats.{code}.name"),
            fields=read_fields(row["fields"], f"formats.{code}"),
            source=a_text(row["source"], f"formats.{code}.source", 200),
            since=a_date(row["since"], f"formats.{code}.since") if row.get("since") else None,
        )
    return presets


FORMATS: Mapping[str, FormatPreset] = _presets()
