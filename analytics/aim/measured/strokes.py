"""The guided set: sixteen test strokes of one ball, and what is read of each.

Chosen by what each tells, on the simulator: tracks with running side tell hardly anything but
how much side was struck; long tracks without side tell the cushion's restitution and friction,
in two different mixtures; only a slow ball and a watch tell the rolling friction. Tracks whose
reading lies near a corner, or hangs on the pace, were left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan2, degrees

from analytics.aim.diamonds.geometry import LENGTH, LONG_RAILS, WIDTH, Point, at_across
from analytics.aim.diamonds.question import MARK_OFFSET
from analytics.aim.diamonds.scales import SCHOOLS
from analytics.table.alone import Run
from analytics.table.parameters import TableParameters
from analytics.table.shots import RAILS

SIDE = 0.3  # [ball radii]; the corner's numbers presume about so much
PACE = 3.0  # [m/s]
HEIGHT = 0.05  # [ball radii]
LAG_PACE = 1.2  # [m/s], to begin with: nobody knows how hard a lag was struck
LAG, PLAIN, ACROSS, TRACK = "lag", "plain", "across", "track"


@dataclass(frozen=True)
class TestStroke:
    """A stroke to shoot with one ball on the table, and what to read.

    kind : lag, plain (a track without side), across, track (of the corner system). line : the
    two places on the frame, or its corner, that the aim line joins. start : the ball's centre,
    on that line. side : [ball radii], right positive; 0.3 to the left runs with the corner's
    track. contact : which cushion's contact is read, 0 for where the ball comes to lie.
    rail, end : the rail on which it is read, and the rail from which it is counted. origin,
    aim : the corner's numbers, where it is a track of that system.
    """

    code: str
    kind: str
    line: tuple[Point, Point]
    start: Point
    side: float
    contact: int
    rail: str
    end: str
    origin: float | None = None
    aim: float | None = None
    # Tests are collected by this name otherwise.
    __test__ = False

    @property
    def book(self) -> float | None:
        """The arrival that the corner's arithmetic says."""
        return None if self.origin is None or self.aim is None else self.origin - self.aim

    @property
    def most(self) -> float:
        """The highest number that can be read [diamonds]."""
        return LENGTH if self.rail in LONG_RAILS else WIDTH

    @property
    def fields(self) -> int:
        """How many numbers are read: of a lag where it lies, and the seconds of its last run."""
        return 2 if self.kind == LAG else 1

    def strike(self, table: TableParameters, pace: float, side: float = 0.0) -> tuple[float, ...]:
        """Return the strike: direction [deg], speed [m/s], side and height [ball radii].

        side : how much more side than asked was struck, as a share of none or of all side.
        """
        mark = self.line[1]
        across = (mark[0] - self.start[0]) * table.table_width / WIDTH
        along = (mark[1] - self.start[1]) * table.table_length / LENGTH
        more = 0.0 if self.side == 0 else side if self.side > 0 else -side
        height = 0.0 if self.kind in (LAG, ACROSS) else HEIGHT
        return (degrees(atan2(along, across)), pace, self.side + more, height)

    def read(self, run: Run) -> float | None:
        """Return what would be read of a run; None where the ball never met that rail so."""
        which = RAILS.index(self.rail)
        axis = 3 if self.rail in LONG_RAILS else 2
        for at in run.contacts[max(self.contact - 2, 0) :]:
            if int(at[1]) == which:
                along = float(at[axis])
                return self.most - along if self.end in ("top", "right") else along
        return None


def _through(one: Point, other: Point, x: float) -> Point:
    return (x, at_across(x, one, other))


def _corner(code: str, origin: float, aim: float, x: float) -> TestStroke:
    school = SCHOOLS["linear"]
    ox, oy = school.origin_point(origin)
    start = (0.0, 0.0) if origin == 5 else (-MARK_OFFSET, oy) if ox == 0 else (ox, -MARK_OFFSET)
    ax, ay = school.aim_point(aim)
    line = (start, (ax + MARK_OFFSET, ay))
    return TestStroke(code, TRACK, line, _through(*line, x), -SIDE, 3, "left", "top", origin=origin, aim=aim)


def _plain(code: str, low: float, high: float, contact: int, rail: str, end: str) -> TestStroke:
    """Return a track without side from a mark of the left rail to one of the right."""
    line = ((-MARK_OFFSET, low), (WIDTH + MARK_OFFSET, high))
    return TestStroke(code, PLAIN, line, _through(*line, 1.0), 0.0, contact, rail, end)


def _end_first(code: str, down: float) -> TestStroke:
    """Return a track without side that meets the top rail first, half a diamond from the corner."""
    line = ((-MARK_OFFSET, LENGTH - down), (WIDTH - 0.5, LENGTH + MARK_OFFSET))
    return TestStroke(code, PLAIN, line, _through(*line, 1.0), 0.0, 3, "left", "top")


def _across(code: str, side: float) -> TestStroke:
    line = ((-MARK_OFFSET, 4.0), (WIDTH + MARK_OFFSET, 4.0))
    return TestStroke(code, ACROSS, line, (1.0, 4.0), side, 2, "left", "bottom")


def _lag(code: str) -> TestStroke:
    line = ((2.0, -MARK_OFFSET), (2.0, LENGTH + MARK_OFFSET))
    return TestStroke(code, LAG, line, (2.0, 1.0), 0.0, 0, "left", "bottom")


STROKES: Mapping[str, TestStroke] = {
    one.code: one
    for one in (
        _lag("lag-1"),
        _lag("lag-2"),
        _plain("plain-1", 1.0, 4.0, 3, "top", "left"),
        _plain("plain-2", 1.0, 6.0, 3, "left", "top"),
        _plain("plain-3", 2.0, 4.0, 2, "left", "bottom"),
        _plain("plain-4", 2.0, 6.0, 3, "left", "top"),
        _end_first("plain-5", 4.0),
        _end_first("plain-6", 3.0),
        _across("across-1", -SIDE),
        _across("across-2", SIDE),
        _corner("track-5-4", 5.0, 4.0, 1.0),
        _corner("track-5-3", 5.0, 3.0, 1.0),
        _corner("track-5-1", 5.0, 1.0, 1.0),
        _corner("track-4-2", 4.0, 2.0, 1.0),
        _corner("track-4-1", 4.0, 1.0, 1.0),
        _corner("track-6-3", 6.0, 3.0, 2.0),
    )
}
