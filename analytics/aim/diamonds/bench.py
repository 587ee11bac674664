"""The table as one- and two-rail shots see it: from the rail that faces the first one."""

from __future__ import annotations

from dataclasses import dataclass

from .geometry import LENGTH, WIDTH, Point


@dataclass(frozen=True)
class Bench:
    """The table seen from the rail that faces the first one: points are (across, along)."""

    first: str

    @property
    def upright(self) -> bool:
        return self.first == "right"

    @property
    def side(self) -> str:
        return "left" if self.upright else "bottom"

    @property
    def end(self) -> str:
        """The rail at the far end, from which the numbers count."""
        return "top" if self.upright else "right"

    @property
    def across(self) -> float:
        return WIDTH if self.upright else LENGTH

    @property
    def along(self) -> float:
        return LENGTH if self.upright else WIDTH

    def swap(self, point: Point) -> Point:
        """Return a table point as bench point, or the other way about."""
        return point if self.upright else (point[1], point[0])

    def reaches(self, aim: float, facing: float) -> Point:
        """Return where the line from the aim to the facing rail, or drawn on to it, leaves."""
        most = self.along
        if 0 <= facing <= most:
            return (0.0, facing)
        edge = 0.0 if facing < 0 else most
        return (self.across * (1 - (edge - aim) / (facing - aim)), edge)

    def number(self, facing: float) -> float | None:
        """Return the number of a place on the facing rail; None beside it."""
        return self.along - facing if -1e-9 <= facing <= self.along + 1e-9 else None


@dataclass(frozen=True)
class Balls:
    """What is known, as bench points; a number stands for a ball on the facing rail."""

    cue: Point | None
    ball: Point | None
    aim: float | None
