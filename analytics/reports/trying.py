"""What a player tried and what came of it: families, unrecorded strokes, and the promises kept or not.

A family is what was intended, never guessed: strokes without one stand apart, and the share that
was recorded is told for points and misses. Promises of the declared and of the best line, and
those made before, with and after the stroke, are never summed together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .families import Families, table
from .played import FAMILY_NAMES, LAID, POINT, SOURCES, TOLD, Played
from .promises import Promise, promise
from .selecting import Aside, compared
from .shrinking import Club

# Promises made before the outcome was known, of which those of a family are told.
IN_TIME = (TOLD.index("blind"), TOLD.index("same-time"))


@dataclass(frozen=True)
class Shares:
    """How many of the points, and of the misses, have something on record."""

    points: int
    of_points: int
    misses: int
    of_misses: int


@dataclass(frozen=True)
class Strokes:
    """Strokes as arrays of one length; family: an index, 255 where not recorded; promised: nan without.

    A promise that may not be compared is none here; aside : how many those are.
    """

    made: NDArray[np.bool_]
    family: NDArray[np.uint8]
    told: NDArray[np.uint8]
    source: NDArray[np.uint8]
    laid: NDArray[np.bool_]
    promised: NDArray[np.float64]
    aside: Aside

    def promises(self, told: str, source: str) -> NDArray[np.bool_]:
        """Return which strokes have a promise made at this time, about this line."""
        return (self.told == TOLD.index(told)) & (self.source == SOURCES.index(source))

    def in_time(self, source: str) -> NDArray[np.bool_]:
        """Return which strokes have a promise about this line that was made before the outcome."""
        return np.isin(self.told, IN_TIME) & (self.source == SOURCES.index(source))


@dataclass(frozen=True)
class Trying:
    """Strokes by family, and those without one; strokes and points include innings written whole.

    whole : (strokes, points) of innings written whole, of which nothing else is on record; they say
    nothing of how evenly families were recorded, and stand apart from `families`. line : which the
    promises beside the families are about, the one with more of them; None without promises.
    layouts : shares on record. promised : by (when, which line). by_family : strokes of a known family
    whose position nobody wrote down, beside what an ordinary line of it gives at the player's spread;
    None too where families are known of points rather than of misses. aside : promises left out.
    """

    strokes: int
    points: int
    whole: tuple[int, int]
    line: str | None
    families: Families
    layouts: Shares
    promised: dict[tuple[str, str], Promise]
    by_family: Promise | None
    aside: Aside


def read_strokes(played: Played) -> Strokes:
    """Return the strokes that were written one by one and count, in order of play."""
    kept, aside = compared(played.strokes, played.of)
    rows, told = played.strokes[played.single], kept[played.single]
    return Strokes(
        rows["kind"] == POINT,
        rows["family"],
        np.where(told, rows["told"], 0).astype(np.uint8),
        np.where(told, rows["source"], 0).astype(np.uint8),
        rows["bits"] & LAID > 0,
        np.where(told, rows["promised"], np.nan).astype(np.float64),
        aside,
    )


def read_trying(played: Played, club: Club | None = None, ordinary: Sequence[float] | None = None) -> Trying:
    """Return what was tried.

    club : rates of the club, towards which few attempts are drawn. ordinary : success of an ordinary
    line of each family at the player's spread, nan where it is not known.
    """
    strokes = read_strokes(played)
    innings = played.innings
    of_whole = ~innings.by_stroke
    in_whole = int(innings.run[of_whole].sum())
    whole = (in_whole + int((of_whole & innings.ended).sum()), in_whole)
    line = max(SOURCES[1:], key=lambda source: strokes.in_time(source).sum())
    in_time = strokes.in_time(line)
    families = table(
        FAMILY_NAMES, strokes.family, strokes.made, np.where(in_time, strokes.promised, np.nan), club
    )
    return Trying(
        len(strokes.made) + whole[0],
        int(strokes.made.sum()) + whole[1],
        whole,
        line if in_time.any() else None,
        families,
        Shares(
            int((strokes.laid & strokes.made).sum()),
            int(strokes.made.sum()),
            int((strokes.laid & ~strokes.made).sum()),
            int((~strokes.made).sum()),
        ),
        {
            (told, source): promise(strokes.promised[these], strokes.made[these])
            for told in TOLD[1:]
            for source in SOURCES[1:]
            if (these := strokes.promises(told, source)).any()
        },
        None if families.withheld else _by_family(strokes, ordinary),
        strokes.aside,
    )


def _by_family(strokes: Strokes, ordinary: Sequence[float] | None) -> Promise | None:
    """Return the promise of strokes whose family alone is known; those with a promise of their own are left out."""
    if ordinary is None:
        return None
    known = np.r_[np.asarray(ordinary, dtype=float), np.full(256 - len(ordinary), np.nan)]
    chance = known[strokes.family]
    alone = (strokes.told == 0) & ~strokes.laid & (chance > 0.0) & (chance < 1.0)
    return promise(chance[alone], strokes.made[alone]) if alone.any() else None
