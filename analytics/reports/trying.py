"""What a player tried and what came of it: families, unrecorded strokes, and the promises kept or not.

A family is what was intended, never guessed: strokes without one stand apart, and the share that
was recorded is told for points and misses. Promises of the declared and of the best line, and
those made before, with and after the stroke, are never summed together.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .played import FAMILY_NAMES, LAID, NO_FAMILY, POINT, SOURCES, TOLD, Played
from .promises import Promise, promise
from .rates import Rate, rate

# Promises made before the outcome was known, of which those of a family are told.
IN_TIME = (TOLD.index("blind"), TOLD.index("same-time"))


@dataclass(frozen=True)
class Shares:
    """How many of the points, and of the misses, have something on record."""

    points: int
    of_points: int
    misses: int
    of_misses: int

    @property
    def differ(self) -> bool:
        """Whether the shares lie more than ten points apart: then no rate may be told."""
        if not self.of_points or not self.of_misses:
            return False
        return abs(self.points / self.of_points - self.misses / self.of_misses) > 0.10


@dataclass(frozen=True)
class OfFamily:
    """One family: strokes tried and points made; promised: of each line, of strokes promised in time."""

    family: str
    rate: Rate
    promised: dict[str, Promise]

    @property
    def promise(self) -> tuple[str, Promise] | None:
        """The line with more promises, and these; the promises of two lines are never added up."""
        return max(self.promised.items(), key=lambda one: one[1].strokes, default=None)


@dataclass(frozen=True)
class Trying:
    """Strokes by family, most tried first, and those without one.

    families_told, layouts_told : shares on record. promised : by (when, which line).
    """

    strokes: int
    points: int
    families: tuple[OfFamily, ...]
    not_recorded: Rate
    families_told: Shares
    layouts_told: Shares
    promised: dict[tuple[str, str], Promise]


@dataclass(frozen=True)
class Strokes:
    """Strokes as arrays of one length, in order of play; family: its index, 255 where not recorded."""

    made: NDArray[np.bool_]
    family: NDArray[np.uint8]
    told: NDArray[np.uint8]
    source: NDArray[np.uint8]
    laid: NDArray[np.bool_]
    promised: NDArray[np.float64]


def read_strokes(played: Played) -> Strokes:
    """Return the strokes that were written one by one and count."""
    rows = played.strokes[played.single]
    return Strokes(
        rows["kind"] == POINT,
        rows["family"],
        rows["told"],
        rows["source"],
        rows["bits"] & LAID > 0,
        rows["promised"].astype(np.float64),
    )


def read_trying(played: Played) -> Trying:
    """Return what was tried. Innings written whole are strokes of which nothing is on record."""
    strokes = read_strokes(played)
    innings = played.innings
    whole = ~innings.by_stroke
    points = int(strokes.made.sum()) + int(innings.run[whole].sum())
    misses = int((~strokes.made).sum()) + int((whole & innings.ended).sum())
    known = strokes.family != NO_FAMILY
    tried, made = (
        np.bincount(strokes.family, minlength=256),
        np.bincount(strokes.family, weights=strokes.made, minlength=256).astype(int),
    )
    families = [
        OfFamily(name, rate(int(made[code]), int(tried[code])), _promised(strokes, strokes.family == code))
        for code, name in enumerate(FAMILY_NAMES)
        if tried[code]
    ]
    told = _shares(strokes, known, points, misses)
    return Trying(
        points + misses,
        points,
        tuple(sorted(families, key=lambda row: -row.rate.strokes)),
        rate(points - told.points, points + misses - told.points - told.misses),
        told,
        _shares(strokes, strokes.laid, points, misses),
        _all_promised(strokes),
    )


def _shares(strokes: Strokes, have: NDArray[np.bool_], points: int, misses: int) -> Shares:
    return Shares(int((have & strokes.made).sum()), points, int((have & ~strokes.made).sum()), misses)


def _promised(strokes: Strokes, where: NDArray[np.bool_]) -> dict[str, Promise]:
    """Return the promises of some strokes that were made in time, by the line they are about."""
    in_time = where & np.isin(strokes.told, IN_TIME)
    found = {}
    for code, name in enumerate(SOURCES):
        these = in_time & (strokes.source == code)
        if name and these.any():
            found[name] = promise(strokes.promised[these], strokes.made[these])
    return found


def _all_promised(strokes: Strokes) -> dict[tuple[str, str], Promise]:
    found = {}
    for when, told in enumerate(TOLD):
        for which, source in enumerate(SOURCES):
            these = (strokes.told == when) & (strokes.source == which)
            if told and source and these.any():
                found[told, source] = promise(strokes.promised[these], strokes.made[these])
    return found
