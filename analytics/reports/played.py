"""What was played, as arrays: the shapes that every report is computed from.

A stroke, or a whole inning written at once, is one record of `STROKE`; a player's records stand in
the order of play, match after match. Innings are read off them once and shared by all figures.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scoring.rules.families import FAMILIES

from .averages import Sheet

KINDS = ("inning", "point", "miss", "foul")
INNING, POINT, MISS, FOUL = range(len(KINDS))
COUNTS, OPENING, EXTRA, LAID, FLAGGED = 1, 2, 4, 8, 16
FAMILY_NAMES = tuple(sorted(FAMILIES))
NO_FAMILY = 255
# When a prediction was made, and of which line; 0 where there is none.
TOLD = ("", "blind", "same-time", "hindsight")
SOURCES = ("", "declared", "best")

# One stroke. run: points, 0 or 1, or the run of a whole inning; bits: COUNTS and the others;
# family: what was tried, an index of FAMILY_NAMES; promised: success as it was predicted;
# model: by which version of the sums, 0 without.
STROKE = np.dtype(
    [
        ("kind", "<u1"),
        ("set", "<u1"),
        ("inning", "<u2"),
        ("run", "<u2"),
        ("bits", "<u1"),
        ("family", "<u1"),
        ("told", "<u1"),
        ("source", "<u1"),
        ("place", "<u4"),
        ("promised", "<f4"),
        ("model", "<u2"),
    ]
)
# One match of the player: what was agreed, what the ledger adds up to, and where it stands.
MATCH_COLUMNS = (
    "match",
    "date",
    "competition",
    "table",
    "opponent",
    "points",
    "innings",
    "high_run",
    "distance",
    "outcome",
    "counted",
    "confirmed",
    "finished",
)


@dataclass(frozen=True)
class Innings:
    """Innings in order of play. of: the row of the match; ended: by a miss or foul, not by the distance.

    opening: it began with the opening stroke; by_stroke: its strokes are known, not its run alone.
    """

    of: NDArray[np.int64]
    set: NDArray[np.int64]
    run: NDArray[np.int64]
    ended: NDArray[np.bool_]
    by_stroke: NDArray[np.bool_]
    opening: NDArray[np.bool_]

    @property
    def points(self) -> int:
        """S: points of all innings."""
        return int(self.run.sum())

    @property
    def misses(self) -> int:
        """M: innings that a miss or foul ended."""
        return int(self.ended.sum())


@dataclass(frozen=True)
class Played:
    """A player's matches, one row each in order of play, and the strokes; `of` is a stroke's row of match."""

    matches: pd.DataFrame
    strokes: NDArray[np.void]
    of: NDArray[np.int64]

    @cached_property
    def official(self) -> pd.DataFrame:
        """The matches that count in averages: confirmed, and played in a known number of innings."""
        rows = self.matches
        return rows[rows["confirmed"] & rows["counted"] & (rows["innings"] > 0)]

    @cached_property
    def counting(self) -> NDArray[np.bool_]:
        """The strokes that count in figures; of extra innings none does."""
        bits = self.strokes["bits"]
        return (bits & COUNTS > 0) & (bits & EXTRA == 0)

    @cached_property
    def innings(self) -> Innings:
        """The innings that count, read off the strokes."""
        return read_innings(self)

    @cached_property
    def single(self) -> NDArray[np.bool_]:
        """The counting records that are one stroke each, not a whole inning."""
        return self.counting & (self.strokes["kind"] != INNING)

    def sheets(self) -> list[Sheet]:
        """Return points, innings and misses of each official match; only totals known: by the distance."""
        official, innings = self.official, self.innings
        count = len(self.matches)
        misses = np.bincount(innings.of[innings.ended], minlength=count)
        written = np.bincount(innings.of, minlength=count) > 0
        found = []
        # Without a distance nobody reached it.
        columns = (official[name].fillna(-1).tolist() for name in ("points", "innings", "distance"))
        for at, points, played, distance in zip(official.index, *columns, strict=True):
            missed = int(misses[at]) if written[at] else int(played) - int(points == distance)
            found.append(Sheet(int(points), int(played), max(0, missed)))
        return found


def no_strokes() -> NDArray[np.void]:
    """Return no strokes, in the right shape."""
    return np.zeros(0, dtype=STROKE)


def read_innings(played: Played) -> Innings:
    """Return the innings of what was played.

    A stroke-by-stroke inning is ended where its last stroke is a miss or foul; one written whole,
    unless the player then stood at the distance of the set.
    """
    kept = played.counting
    strokes, of = played.strokes[kept], played.of[kept]
    if not len(strokes):
        none, never = np.zeros(0, dtype=np.int64), np.zeros(0, dtype=bool)
        return Innings(none, none, none, never, never, never)
    sets, numbers = strokes["set"].astype(np.int64), strokes["inning"].astype(np.int64)
    new_set = np.r_[True, (np.diff(of) != 0) | (np.diff(sets) != 0)]
    first = np.flatnonzero(new_set | np.r_[True, np.diff(numbers) != 0])
    last = np.r_[first[1:], len(strokes)] - 1
    points = strokes["run"].astype(np.int64)
    run = np.add.reduceat(points, first)
    total = np.cumsum(points)
    # Points in the set up to the end of the inning.
    opened = np.flatnonzero(new_set)
    before = (total - points)[opened][np.searchsorted(opened, last, side="right") - 1]
    distance = played.matches["distance"].to_numpy(dtype=float)[of[last]]
    kinds = strokes["kind"][last]
    whole = kinds == INNING
    ended = np.where(whole, total[last] - before != distance, kinds != POINT)
    opening = strokes["bits"][first] & OPENING > 0
    return Innings(of[last], sets[last], run, ended, ~whole, opening)
