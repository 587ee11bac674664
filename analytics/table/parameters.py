"""What the simulation depends on: one record, with bounds, sources and presets."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from math import isfinite, sqrt
from typing import Any

import numpy as np

from scoring.rules.said import Malformed, said


def _parameter(default: float, low: float, high: float, unit: str, source: str) -> Any:
    return field(default=default, metadata={"low": low, "high": high, "unit": unit, "source": source})


# How finely a cushion's impulse is followed: steps while it is compressed, passes a step. Fine is
# what every answer is computed with; coarse tells a search where to look.
FINE, COARSE = (12, 3), (6, 2)
# What is left of the cushion's push to turn a ball round when all friction holds it in.
LEAST_GIVE = 0.2

_PROPERTIES = "Alciatore, physical properties page"
_MARLOW = "fit of Marlow's data, Alciatore TP A.14 (from memory)"
_WORLD = "World rules of carom billiard, art. 11"


@dataclass(frozen=True, kw_only=True)
class TableParameters:
    """A table, its cloth, cushions and balls. The defaults are the heated match table.

    Every field has bounds, a unit and a source in its metadata; the order of the fields is
    the order in which kernels read them.
    """

    table_length: float = _parameter(2.84, 1.0, 4.0, "m", _WORLD)
    table_width: float = _parameter(1.42, 0.5, 2.0, "m", _WORLD)
    radius: float = _parameter(0.03075, 0.02, 0.04, "m", _WORLD + ": 61 to 61.5 mm")
    mass: float = _parameter(0.21, 0.1, 0.4, "kg", _WORLD + ": 205 to 220 g; cancels everywhere")
    nose_height: float = _parameter(0.037, 0.03, 0.05, "m", _WORLD + ": 37 mm, 1 mm either way")
    gravity: float = _parameter(9.81, 9.7, 9.9, "m/s2", "standard")
    cloth_sliding_friction: float = _parameter(0.20, 0.05, 0.5, "1", _PROPERTIES + ": 0.15 to 0.4")
    cloth_rolling_friction: float = _parameter(
        0.006, 0.002, 0.03, "1", _PROPERTIES + ": 0.005 to 0.015; chosen for a heated cloth"
    )
    spin_deceleration: float = _parameter(10.0, 1.0, 40.0, "rad/s2", _PROPERTIES + ": 5 to 15")
    ball_restitution: float = _parameter(0.95, 0.5, 1.0, "1", _PROPERTIES + ": 0.92 to 0.98")
    ball_friction_fast: float = _parameter(0.00995, 0.0, 0.5, "1", _MARLOW)
    ball_friction_slow: float = _parameter(0.108, 0.0, 0.5, "1", _MARLOW)
    ball_friction_decay: float = _parameter(1.088, 0.0, 10.0, "s/m", _MARLOW)
    cushion_restitution: float = _parameter(
        0.95, 0.3, 1.0, "1", "energetic, fitted to the corner tracks; Mathavan et al. 2010 give 0.98"
    )
    cushion_friction: float = _parameter(0.18, 0.0, 0.5, "1", "fitted to the corner tracks")

    def __post_init__(self) -> None:
        for one in fields(self):
            value = getattr(self, one.name)
            low, high = one.metadata["low"], one.metadata["high"]
            if (
                isinstance(value, bool)
                or not isinstance(value, int | float)
                or not low <= value <= high
                or not isfinite(value)
            ):
                raise Malformed(
                    one.name,
                    said(
                        "Send a number from %(low)s to %(high)s %(unit)s.",
                        low=low,
                        high=high,
                        unit=one.metadata["unit"],
                    ),
                )
        if not self.radius < self.nose_height < 2 * self.radius:
            raise Malformed("nose_height", said("The nose lies above a ball's centre and below its top."))
        sine = (self.nose_height - self.radius) / self.radius
        cosine = sqrt(1 - sine * sine)
        pressed = self.cloth_sliding_friction * (sine + self.cushion_friction * cosine)
        if cosine - self.cushion_friction * sine - pressed < LEAST_GIVE:
            raise Malformed(
                "nose_height",
                said("A ball would jam under so high a nose with so much friction; lower one of them."),
            )

    def overridden(self, changes: Mapping[str, Any]) -> TableParameters:
        """Return the record with some values changed. Raises Malformed for unknown names."""
        for name in changes:
            if name not in NAMES:
                raise Malformed(str(name)[:60], said("Send one of: %(names)s.", names=", ".join(NAMES)))
        return replace(self, **changes)

    def as_array(self, fineness: tuple[int, int] = FINE) -> np.ndarray:
        """Return the values in the order of the fields and the fineness, shape (17,), float64."""
        return np.array([*(getattr(self, name) for name in NAMES), *fineness], dtype=np.float64)


NAMES = tuple(one.name for one in fields(TableParameters))
(
    LENGTH,
    WIDTH,
    RADIUS,
    MASS,
    NOSE,
    GRAVITY,
    SLIDING,
    ROLLING,
    SPIN,
    BALL_RESTITUTION,
    BALL_FAST,
    BALL_SLOW,
    BALL_DECAY,
    CUSHION_RESTITUTION,
    CUSHION_FRICTION,
    STEPS,
    PASSES,
) = range(len(NAMES) + 2)

PRESETS: Mapping[str, TableParameters] = {
    "match-heated": TableParameters(),
    # A club's cloth is not heated: the slow end of the same published range.
    "club": TableParameters(cloth_rolling_friction=0.010),
    # German material standard: 2.30 x 1.15 m and 2.10 x 1.05 m.
    "small-230": TableParameters(table_length=2.30, table_width=1.15, cloth_rolling_friction=0.010),
    "small-210": TableParameters(table_length=2.10, table_width=1.05, cloth_rolling_friction=0.010),
}
