"""Disciplines as data: what a point needs, and what a match is by default."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from .families import FAMILY_PATTERNS, default_families
from .formats import FIELDS, complete_fields
from .reading import a_bool, a_choice, a_code, a_text, an_int, an_object, int_or_none
from .said import Malformed, said

OFF_TABLE = ("only-those", "all-to-opening")
FROZEN = ("only-those-on-request", "all-to-opening", "all-to-opening-on-request")


@dataclass(frozen=True)
class Discipline:
    """A game played on the table.

    required_cushions: impacts needed before the second object ball (0 to 9).
    decimals: of a shown average. announce_last: the referee announces the last so many
    points ("and three"). off_table, frozen: which balls are spotted, see `spots`.
    implausible_run: a longer run is asked about, never refused; None asks nothing.
    families: codes of `families.FAMILY_PATTERNS`, the first that matches names a stroke.
    default_format: all fields of a format.
    """

    code: str
    name: str
    required_cushions: int
    red_first_at_opening: bool
    decimals: int
    announce_last: int
    off_table: str
    frozen: str
    implausible_run: int | None
    default_format: Mapping[str, Any] = field(hash=False)
    families: tuple[str, ...] = ()

    @classmethod
    def from_json(cls, data: Any) -> Discipline:
        """Read a discipline. Raises Malformed with the field (`discipline.required_cushions`)."""
        names = cls.__dataclass_fields__
        data = an_object(data, "discipline", names)
        for name in names:
            if name not in data and name not in ("families", "default_format", "implausible_run"):
                raise Malformed(f"discipline.{name}", said("this is missing"))
        required = an_int(data["required_cushions"], "discipline.required_cushions", 0, 9)
        decimals = an_int(data["decimals"], "discipline.decimals", 0, 6)
        families = data.get("families")
        return cls(
            code=a_code(data["code"], "discipline.code"),
            name=a_text(data["name"], "discipline.name"),
            required_cushions=required,
            red_first_at_opening=a_bool(data["red_first_at_opening"], "discipline.red_first_at_opening"),
            decimals=decimals,
            announce_last=an_int(data["announce_last"], "discipline.announce_last", 0, 99),
            off_table=a_choice(data["off_table"], "discipline.off_table", OFF_TABLE),
            frozen=a_choice(data["frozen"], "discipline.frozen", FROZEN),
            implausible_run=int_or_none(
                data.get("implausible_run"), "discipline.implausible_run", 1, 100_000
            ),
            default_format=complete_fields(
                data.get("default_format", {}), decimals, "discipline.default_format"
            ),
            families=default_families(required) if families is None else _families(families),
        )

    def to_json(self) -> dict[str, Any]:
        """Return the discipline as JSON values; `from_json` reads them back."""
        data = {name: getattr(self, name) for name in self.__dataclass_fields__}
        fields = dict(self.default_format) | {"distance": list(self.default_format["distance"])}
        return data | {
            "families": list(self.families),
            "default_format": {name: fields[name] for name in FIELDS},
        }


def _families(value: Any) -> tuple[str, ...]:
    if not isinstance(value, list | tuple):
        raise Malformed("discipline.families", said("a list of family codes is needed here"))
    return tuple(
        a_choice(code, f"discipline.families[{place}]", FAMILY_PATTERNS) for place, code in enumerate(value)
    )


def load(text: str) -> dict[str, Discipline]:
    """Read a JSON list of disciplines into a mapping by code."""
    return {one.code: one for one in map(Discipline.from_json, json.loads(text))}


DISCIPLINES: Mapping[str, Discipline] = load(
    Path(__file__).with_name("data").joinpath("disciplines.json").read_text("utf-8")
)
