"""The last matches of a player beside all before: both averages with their intervals, and whether they differ."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .averages import Sheet
from .common import Interval
from .comparing import innings_to_tell, seasons
from .intervals import LEAST_MATCHES, Estimate, estimate

WINDOW = 10
# A difference worth telling: a fifth more.
WORTH_TELLING = 1.2
# The interval of the ratio needs no draws; the chance by parting matches, which does, is not told.
FEW = 9


@dataclass(frozen=True)
class Lately:
    """The last ten matches, and all before.

    ratio, interval : points per miss of the last over those before; None below six matches on a
    side, or without points. clear : the interval leaves out no change. to_tell : innings on each
    side that would show a fifth more; None without points.
    """

    last: Estimate
    before: Estimate
    ratio: float | None
    interval: Interval | None
    clear: bool
    to_tell: int | None


def read_lately(sheets: Sequence[Sheet], window: int = WINDOW) -> Lately:
    """Return the last `window` matches beside those before, in order of play."""
    played = [sheet for sheet in sheets if sheet.innings > 0]
    sides = played[:-window], played[-window:]
    before, last = (estimate(side) for side in sides)
    ratio = interval = None
    if min(_telling(side) for side in sides) >= LEAST_MATCHES and min(before.points, last.points) > 0:
        pairs = [[(sheet.points, sheet.misses) for sheet in side] for side in sides]
        found = seasons(pairs[0], pairs[1], draws=FEW)
        ratio, interval = found.ratio, found.interval
    level = before.points_per_miss or last.points_per_miss
    return Lately(
        last,
        before,
        ratio,
        interval,
        interval is not None and not interval.holds(1.0),
        innings_to_tell(float(level), WORTH_TELLING * float(level)) if level else None,
    )


def _telling(side: Sequence[Sheet]) -> int:
    return sum(sheet.misses > 0 for sheet in side)
