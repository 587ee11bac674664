"""Each track played on the simulated table, the cue ball alone on it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import atan2, degrees, hypot

import numpy as np

from analytics.aim.diamonds.geometry import LENGTH, WIDTH, Point
from analytics.table.alone import run_alone
from analytics.table.parameters import TableParameters
from analytics.table.shots import RAILS as RAIL_NAMES

from .tracks import RAILS, STROKES, TURNS, Track, tracks

# How far out from the nose the cue ball lies on the aim line [diamonds].
OUT = 1.0


@dataclass(frozen=True)
class Checked:
    """A track, and what became of it on the table.

    arrival : where the ball came [the system's diamonds]; None where other rails came first.
    fourth : likewise, the way along the noses down the right rail to its corner (negative),
    then along the bottom rail; book_fourth : the published place in the same count.
    way : start and contacts of the ball's centre, one contact after the last that is checked.
    """

    track: Track
    arrival: float | None
    fourth: float | None
    book_fourth: float | None
    way: tuple[Point, ...]

    @property
    def residual(self) -> float | None:
        """Simulated less arithmetic [diamonds]: positive where the ball comes long."""
        return None if self.arrival is None else self.arrival - self.track.arrival

    @property
    def fourth_residual(self) -> float | None:
        """The same on the fourth rail [diamonds]; None where nothing is published or met."""
        if self.fourth is None or self.book_fourth is None:
            return None
        return self.fourth - self.book_fourth


@lru_cache(maxsize=64)
def check(system: str, table: TableParameters) -> tuple[Checked, ...]:
    """Play all tracks of a system on a table. Raises KeyError for an unknown system."""
    return tuple(_checked(track, table) for track in tracks(system))


def _checked(track: Track, table: TableParameters) -> Checked:
    across, along = table.table_width / WIDTH, table.table_length / LENGTH
    reach = (table.radius / across, table.radius / along)
    start, (dx, dy) = _start(track, reach)
    speed, side, height = STROKES[track.system]
    direction = degrees(atan2(dy * along, dx * across))
    strike = (direction, speed, side * TURNS.get(track.system, 0), height)
    met = run_alone(start, strike, table).contacts
    names = [RAIL_NAMES[int(code)] for code in met[:, 1]]
    at = _arrives(track, names)
    fourth = _fourth(track, names, at)
    last = max(at if at is not None else 2, fourth if fourth is not None else 0)
    return Checked(
        track,
        None if at is None else _arrival(track, names[at], met[at], reach),
        None if fourth is None else _way_round(names[fourth], met[fourth]),
        _book_fourth(track),
        (start, *((float(x), float(y)) for x, y in met[: last + 1, 2:])),
    )


def _start(track: Track, reach: Point) -> tuple[Point, Point]:
    """Return where the cue ball lies on the aim line, and which way it goes [diamonds]."""
    (x0, y0), (x1, y1) = track.answer.line
    dx, dy = x1 - x0, y1 - y0
    far = hypot(dx, dy)
    # From where the line leaves the frame to where it crosses the noses, and on from there.
    inside = max(
        -x0 / dx if x0 < 0 and dx > 0 else 0.0,
        -y0 / dy if y0 < 0 and dy > 0 else 0.0,
        0.0,
    )
    share = inside + OUT / far
    x = min(max(x0 + dx * share, reach[0]), WIDTH - reach[0])
    y = min(max(y0 + dy * share, reach[1]), LENGTH - reach[1])
    return (x, y), (dx, dy)


def _arrives(track: Track, names: list[str]) -> int | None:
    """Return which contact carries the arrival; None where other rails came first."""
    wanted = RAILS[track.system]
    last = len(wanted) - 1
    if tuple(names[: last + 1]) == wanted:
        return last
    # In a corner either of its rails may be met first.
    if track.arrival >= LENGTH and names[: last + 1] == [*wanted[:-1], "bottom"]:
        return last
    if track.arrival > 1e-9:
        return None
    if track.system == "half" and names[:2] == ["right", "top"]:
        return 1
    if names[:3] == ["right", "left", "top"] and wanted == ("right", "top", "left"):
        return 1
    return None


def _arrival(track: Track, rail: str, met: np.ndarray, reach: Point) -> float:
    """Return the arrival of a contact: abreast of it on the nose, down the rail.

    Into the corner (half): how far the ball missed it, on the top rail negative.
    """
    x, y = float(met[2]), float(met[3])
    if track.system == "half":
        return LENGTH - reach[1] - y if rail == "left" else reach[0] - x
    # Past the far corner the way goes on along the short rail.
    return LENGTH + x if rail == "bottom" else LENGTH - y


def _fourth(track: Track, names: list[str], at: int | None) -> int | None:
    """Return which contact is the fourth rail's; None where there is none to compare."""
    if not track.fourth or at is None:
        return None
    rails = ("right",) if track.system == "half" else ("right", "bottom")
    # Out of a corner its second rail is met on the way.
    corner = {"left", "top"} if track.system == "half" else set()
    nxt = next((on for on in range(at + 1, len(names)) if names[on] not in corner), None)
    return nxt if nxt is not None and names[nxt] in rails else None


def _way_round(rail: str, met: np.ndarray) -> float:
    return -float(met[3]) if rail == "right" else WIDTH - float(met[2])


def _book_fourth(track: Track) -> float | None:
    place = track.answer.points.get("fourth")
    if not track.fourth or place is None:
        return None
    return -place[1] if place[0] == WIDTH else WIDTH - place[0]
