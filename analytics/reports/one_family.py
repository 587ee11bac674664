"""One family of a player: its strokes in order, success through time, and promises by their size.

Between two halves stands Newcombe's interval on the difference of two rates, from Wilson's of each
(R. G. Newcombe, Statistics in Medicine 17 (1998) 873-890, method 10).
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot

import numpy as np
from numpy.typing import NDArray

from .calibration import by_tenths
from .common import Interval
from .played import FAMILY_NAMES, POINT, SOURCES, TOLD, Played
from .promises import Promise, promise
from .rates import Rate, rate
from .selecting import compared
from .wording import FOR_ESTIMATE, FOR_WORDS

# Parts of time: each of so many strokes or more, and so many of them at most.
LEAST_IN_PART = FOR_ESTIMATE
PARTS = 10


@dataclass(frozen=True)
class Part:
    """Strokes one after the other: the first and last day, and how many were made."""

    first: datetime.date
    last: datetime.date
    rate: Rate


@dataclass(frozen=True)
class Change:
    """The later half of the strokes against the earlier one: difference of rates, and its interval.

    clear : the interval stands clear of no change, of strokes enough for words.
    """

    earlier: Rate
    later: Rate
    difference: float
    interval: Interval
    clear: bool


@dataclass(frozen=True)
class Promised:
    """Strokes promised at one time about one line: all of them, and those promised about k in 10 by k."""

    told: str
    source: str
    promise: Promise
    tenths: Mapping[int, Promise]


@dataclass(frozen=True)
class OneFamily:
    """The strokes of a family that count. at : their places among the strokes of what was played, in order."""

    at: NDArray[np.int64]
    made: NDArray[np.bool_]
    parts: tuple[Part, ...]
    change: Change | None
    promised: tuple[Promised, ...]


def read_family(played: Played, family: str) -> OneFamily:
    """Return the strokes of one family. Raises ValueError for a name that is none."""
    rows = played.strokes
    at = np.flatnonzero(played.single & (rows["family"] == FAMILY_NAMES.index(family)))
    strokes = rows[at]
    made = strokes["kind"] == POINT
    days = played.matches["date"].to_numpy(dtype="datetime64[D]")[played.of[at]]
    kept, _ = compared(rows, played.of)
    told = kept[at]
    return OneFamily(at, made, _parts(made, days), _change(made), tuple(_promised(strokes[told], made[told])))


def _parts(made: NDArray[np.bool_], days: NDArray[np.datetime64]) -> tuple[Part, ...]:
    """Return the strokes in parts of equal length; the rest, less than one, joins the last."""
    if not made.size:
        return ()
    length = max(LEAST_IN_PART, -(-made.size // PARTS))
    starts = [length * part for part in range(max(1, made.size // length))]
    ends = [*starts[1:], made.size]
    return tuple(
        Part(
            days[begin].astype(object),
            days[end - 1].astype(object),
            rate(int(made[begin:end].sum()), end - begin),
        )
        for begin, end in zip(starts, ends, strict=True)
    )


def _change(made: NDArray[np.bool_]) -> Change | None:
    """Return how the later half differs; None with too few strokes for a rate in either."""
    half = made.size // 2
    if half < FOR_ESTIMATE:
        return None
    sides = [rate(int(side.sum()), side.size) for side in (made[:half], made[half:])]
    return change(sides[0], sides[1], made.size >= FOR_WORDS)


def change(earlier: Rate, later: Rate, enough: bool = True) -> Change:
    """Return the difference of two rates with Newcombe's interval. Raises ValueError without a stroke in one."""
    one, two, before, after = earlier.interval, later.interval, earlier.success, later.success
    if one is None or two is None or before is None or after is None:
        raise ValueError("strokes are needed on both sides")
    difference = after - before
    interval = Interval(
        difference - hypot(after - two.low, one.high - before),
        difference + hypot(two.high - after, before - one.low),
        one.level,
    )
    return Change(earlier, later, difference, interval, enough and not interval.holds(0.0))


def _promised(strokes: NDArray[np.void], made: NDArray[np.bool_]) -> list[Promised]:
    """Return promises by time and line, never added up."""
    found = []
    for told in TOLD[1:]:
        for source in SOURCES[1:]:
            these = (strokes["told"] == TOLD.index(told)) & (strokes["source"] == SOURCES.index(source))
            if these.any():
                chances = strokes["promised"][these].astype(np.float64)
                kept = made[these]
                found.append(Promised(told, source, promise(chances, kept), by_tenths(chances, kept)))
    return found
