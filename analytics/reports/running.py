"""A player's runs: how long they are beside what chance alone gives, and what follows a point or a miss."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .permuting import Streak, streak
from .played import Innings, Played
from .rates import Rate, rate
from .runs import Histogram, Tail, chance_of_run, expected_high_run, histogram, tail
from .streaks import Streakiness, Strokes, stratified

# What follows on so many points in a row; orders drawn of few strokes, in which chances move by 1 in 2,000.
AFTER, ORDERS = 2, 1_999


@dataclass(frozen=True)
class Running:
    """Runs as they were made. counts: (length, how often), zeros included, the cut ones too.

    histogram, tail : beside the geometric law; None without an inning that ended by a miss.
    expected_high, chance_of_high : the longest run that chance alone leads to expect in so many
    innings, and the chance of one as long as the player's.
    first, after_point, opening : strokes that begin an inning, that follow an own point, and the
    opening strokes; the first two leave the opening out.
    """

    innings: int
    cut: int
    counts: tuple[tuple[int, int], ...]
    histogram: Histogram | None
    tail: Tail | None
    expected_high: float | None
    chance_of_high: float | None
    streaks: Streakiness | None
    first: Rate
    after_point: Rate
    opening: Rate


def read_running(played: Played) -> Running:
    """Return what a player's innings tell."""
    innings = played.innings
    lengths, often = np.unique(innings.run, return_counts=True)
    told = innings.misses > 0
    shape = histogram(innings.run, ~innings.ended) if told else None
    p = None if shape is None else shape.p
    high = int(innings.run.max()) if len(innings.run) else 0
    return Running(
        innings=len(innings.run),
        cut=int((~innings.ended).sum()),
        counts=tuple(zip(lengths.tolist(), often.tolist(), strict=True)),
        histogram=shape,
        tail=tail(innings.run, ~innings.ended) if told else None,
        expected_high=None if p is None else expected_high_run(p, len(innings.run)),
        chance_of_high=None if p is None else chance_of_run(p, len(innings.run), high),
        streaks=_streaks(innings),
        first=_first(innings, opening=False),
        after_point=_after_point(innings),
        opening=_first(innings, opening=True),
    )


def read_streak(played: Played, after: int = AFTER, draws: int = ORDERS) -> Streak | None:
    """Return whether more follows on so many points in a row than chance gives; None without a stroke.

    Innings written whole serve as well: a run is so many points and, unless it was cut, a miss.
    """
    innings = played.innings
    if not len(innings.run):
        return None
    lengths = innings.run + innings.ended
    made = np.ones(int(lengths.sum()), dtype=np.int8)
    made[np.cumsum(lengths)[innings.ended] - 1] = 0
    new = np.flatnonzero(np.r_[True, (np.diff(innings.of) != 0) | (np.diff(innings.set) != 0)])
    begins = np.r_[0, np.cumsum(lengths)][new]
    parts = np.split(made, begins[1:])
    last = np.r_[new[1:], len(innings.run)] - 1
    rows = [
        (part, not ended)
        for part, ended in zip(parts, innings.ended[last].tolist(), strict=True)
        if part.size
    ]
    return streak(rows, after, draws) if rows else None


def _first(innings: Innings, *, opening: bool) -> Rate:
    """Return how often the first stroke of an inning scored."""
    of = innings.opening == opening
    # An inning without a point that nobody missed has no stroke at all.
    stroke = of & (innings.ended | (innings.run > 0))
    return rate(int((innings.run[stroke] > 0).sum()), int(stroke.sum()))


def _after_point(innings: Innings) -> Rate:
    """Return how often a stroke that followed an own point scored."""
    scoring = innings.run > 0
    points = int((innings.run[scoring] - 1).sum())
    return rate(points, points + int((scoring & innings.ended).sum()))


def _streaks(innings: Innings) -> Streakiness | None:
    """Return the exact test, a law for each match and set; None without a stroke."""
    if not len(innings.run):
        return None
    new = np.r_[True, (np.diff(innings.of) != 0) | (np.diff(innings.set) != 0)]
    first = np.flatnonzero(new)
    last = np.r_[first[1:], len(innings.run)] - 1
    points = np.add.reduceat(innings.run, first)
    misses = np.add.reduceat(innings.ended.astype(np.int64), first)
    scoring = np.add.reduceat((innings.run > 0).astype(np.int64), first)
    # Innings that were cut amid a part (a slip in the sheet) fit no law; such parts are left out.
    cut = np.add.reduceat((~innings.ended).astype(np.int64), first)
    fits = (points + misses > 0) & (cut == ~innings.ended[last]) & (innings.ended[last] | (points > 0))
    rows = [
        Strokes(
            int(misses[at]), int(points[at]), int(scoring[at]), "miss" if innings.ended[last[at]] else "point"
        )
        for at in np.flatnonzero(fits)
    ]
    return stratified(rows) if rows else None
