"""What was agreed before the first stroke, and stays with the match."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from scoring.rules.disciplines import Discipline
from scoring.rules.rulesets import RuleSet

from .colours import Colour


@dataclass(frozen=True)
class Setup:
    """A match before it is opened.

    `entrants` are player ids in the order of the request; `format["distance"][i]`
    [points] belongs to `entrants[i]`. `format` is complete: every field present,
    None meaning none.
    """

    entrants: tuple[int, int]
    discipline: Discipline
    format: Mapping[str, Any]
    rule_set: RuleSet
    id: int | None = None
    competition: int | None = None
    table: int | None = None

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Setup:
        """Read the form that `to_json` writes."""
        first, second = data["entrants"]
        return cls(
            entrants=(first, second),
            discipline=Discipline.from_json(data["discipline"]),
            format=dict(data["format"]),
            rule_set=RuleSet.from_json(data["rule_set"]),
            id=data.get("id"),
            competition=data.get("competition"),
            table=data.get("table"),
        )

    def to_json(self) -> dict[str, Any]:
        return {
            "id": self.id,
            "competition": self.competition,
            "table": self.table,
            "entrants": list(self.entrants),
            "discipline": self.discipline.to_json(),
            "format": dict(self.format),
            "rule_set": self.rule_set.to_json(),
        }

    def rival(self, player: int) -> int:
        """Return the other entrant."""
        first, second = self.entrants
        return second if player == first else first

    def distance(self, players: Mapping[Colour, int | None], colour: Colour) -> int | None:
        """Return the points `colour` must make, or None where no distance was set."""
        player = players[colour]
        if player is None:
            return None
        return self.format["distance"][self.entrants.index(player)]

    def timeouts_allowed(self) -> int:
        return self.format["timeouts"] or 0
