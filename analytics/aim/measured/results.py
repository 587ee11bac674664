"""What a measured set says, and the refusal of one that says nothing."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from scoring.rules.said import Said, said

from .correcting import Correction

WORDS = {
    "cushion_restitution": said("Restitution of the cushion"),
    "cushion_friction": said("Friction of the cushion"),
    "cloth_rolling_friction": said("Rolling friction of the cloth"),
    "side": said("Side struck beyond what was asked"),
}


class Unfit(Exception):
    """A set that nothing can be made of: why, and the stroke that is to be struck again, if one is."""

    def __init__(self, reason: Said, stroke: str | None = None) -> None:
        super().__init__(reason.template)
        self.reason = reason
        self.stroke = stroke


@dataclass(frozen=True)
class Value:
    """A fitted parameter with its interval of 90 %, and the value it had before."""

    name: str
    value: float
    low: float
    high: float
    before: float


@dataclass(frozen=True)
class Left:
    """A reading beside what the fitted table makes of it [diamonds], and their difference.

    `seconds` for the second number of a lag, then all three are in seconds.
    """

    code: str
    read: float
    fitted: float
    left: float
    seconds: bool = False


@dataclass(frozen=True)
class Fitted:
    """What a set says of its table.

    side : how much more side was struck than asked [ball radii], with its interval. scatter :
    of the readings about the fit [diamonds]. correction : None where too few tracks were read.
    """

    values: tuple[Value, ...]
    side: Value
    left: tuple[Left, ...]
    scatter: float
    correction: Correction | None

    def changes(self) -> dict[str, float]:
        """Return the fitted values by the names of the table's parameters."""
        return {one.name: one.value for one in self.values}

    def to_json(self) -> dict[str, Any]:
        """Return it as JSON values."""
        return {
            "values": [asdict(one) for one in self.values],
            "side": asdict(self.side),
            "left": [asdict(one) for one in self.left],
            "scatter": self.scatter,
            "correction": None if self.correction is None else self.correction.to_json(),
        }
