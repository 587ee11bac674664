"""A club's season: matches a week, how players' averages lie, high runs, families, how long matches last.

Averages and high runs are official figures, of confirmed matches. Nobody is ranked by anything else.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor

import numpy as np
import pandas as pd

from .families import Families, table
from .intervals import LEAST_INNINGS
from .played import FAMILY_NAMES, Played
from .trying import read_strokes

# Rows of a list of the best.
LISTED = 10
# Of matches below or above nothing is said of how long they took: written afterwards, or over days [min].
SHORTEST, LONGEST = 5.0, 720.0
# Classes of how long a match took [min], and the classes of averages at most.
CLASS = 15
CLASSES = 14
# Widths that a class of averages may have.
WIDTHS = (0.05, 0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 25.0, 50.0)
MIDDLE = (0.1, 0.5, 0.9)


@dataclass(frozen=True)
class Best:
    """A side of a match that stands in a list: whose, in which match, points and innings, its high run."""

    player: int
    match: int
    date: datetime.date
    points: int
    innings: int
    high_run: int


@dataclass(frozen=True)
class Lengths:
    """How long matches took: matches of each class of 15 minutes from `first` on, and quantiles [min].

    left_out : matches over, of which the clock tells nothing. innings : median of a match, of both
    players the one with more.
    """

    matches: int
    left_out: int
    first: int
    classes: tuple[int, ...]
    low: float
    median: float
    high: float
    innings: float


@dataclass(frozen=True)
class Season:
    """What everybody played. averages : (points, innings) of each player with innings enough, by id.

    matches : over, `confirmed` of them confirmed; under_way : begun, not over. weeks : first days,
    without a gap, and the matches of each. few : players with too few innings for an average.
    """

    matches: int
    confirmed: int
    under_way: int
    players: int
    points: int
    innings: int
    strokes: int
    high_run: int
    weeks: tuple[datetime.date, ...]
    a_week: tuple[int, ...]
    averages: dict[int, tuple[int, int]]
    few: int
    edges: tuple[float, ...]
    classes: tuple[int, ...]
    high_runs: tuple[Best, ...]
    best_averages: tuple[Best, ...]
    lengths: Lengths | None
    families: Families


def read_season(together: Played) -> Season:
    """Return the figures of a season; `together`: sides of matches with `player` and `minutes`."""
    sides, official = together.matches, together.official
    over = sides[sides["finished"]].drop_duplicates("match")
    sums = official.groupby("player")[["points", "innings"]].sum()
    enough = sums[sums["innings"] >= LEAST_INNINGS]
    averages = {
        int(player): (int(points), int(innings))
        for player, points, innings in enough.itertuples(index=True, name=None)
    }
    weeks, a_week = _weeks(over["date"])
    edges, classes = classed([points / innings for points, innings in averages.values()])
    strokes = read_strokes(together)
    return Season(
        matches=len(over),
        confirmed=int(over["confirmed"].sum()),
        under_way=int(sides["match"].nunique()) - len(over),
        players=int(sides["player"].nunique()),
        points=int(official["points"].sum()),
        innings=int(official["innings"].sum()),
        strokes=int(together.single.sum()),
        high_run=int(official["high_run"].max()) if len(official) else 0,
        weeks=weeks,
        a_week=a_week,
        averages=averages,
        few=len(sums) - len(enough),
        edges=edges,
        classes=classes,
        high_runs=_high_runs(official),
        best_averages=_best_averages(official),
        lengths=_lengths(sides),
        families=table(FAMILY_NAMES, strokes.family, strokes.made),
    )


def _weeks(days: pd.Series) -> tuple[tuple[datetime.date, ...], tuple[int, ...]]:
    """Return the Mondays from the first week to the last, and the matches of each."""
    if not len(days):
        return (), ()
    played = days.to_numpy(dtype="datetime64[D]")
    # Day 0 of the count was a Thursday.
    mondays = played - (played.astype(np.int64) + 3) % 7
    first = mondays.min()
    at = ((mondays - first) // np.timedelta64(7, "D")).astype(int)
    counts = np.bincount(at)
    begun: datetime.date = first.astype(object)
    return tuple(begun + datetime.timedelta(weeks=week) for week in range(len(counts))), tuple(
        counts.tolist()
    )


def classed(averages: Sequence[float]) -> tuple[tuple[float, ...], tuple[int, ...]]:
    """Return edges of classes of equal width, 14 at most, and how many averages lie from one up to the next."""
    if not averages:
        return (), ()
    low, high = min(averages), max(averages)
    width = WIDTHS[-1]
    for width in WIDTHS:
        if floor(high / width) - floor(low / width) < CLASSES:
            break
    first, last = floor(low / width), floor(high / width) + 1
    # Where a quotient falls a hair short of a whole number, the edge as it is shown decides.
    edges = [round(step * width, 6) for step in range(first, last + 2)]
    at = np.searchsorted(edges, averages, side="right") - 1
    counts = np.bincount(at, minlength=last - first).tolist()
    return tuple(edges[: len(counts) + 1]), tuple(counts)


def _high_runs(official: pd.DataFrame) -> tuple[Best, ...]:
    """Return the longest runs; of equal ones the earlier first."""
    top = official[official["high_run"] > 0].sort_values(
        ["high_run", "date", "match", "player"], ascending=[False, True, True, True]
    )
    return tuple(_best(top.head(LISTED)))


def _best_averages(official: pd.DataFrame) -> tuple[Best, ...]:
    """Return the best averages of one match, compared as fractions; of equal ones more points first."""
    played = official[(official["innings"] > 0) & (official["points"] > 0)]
    rough = played["points"] / played["innings"]
    # Floats choose whom to compare exactly: those within a hair of the last one too.
    edge = rough.nlargest(LISTED).min() if len(rough) else 0.0
    near = sorted(
        _best(played[rough >= edge * (1.0 - 1e-9)]),
        key=lambda one: (-Fraction(one.points, one.innings), -one.points, one.date, one.match),
    )
    return tuple(near[:LISTED])


def _best(rows: pd.DataFrame) -> list[Best]:
    return [
        Best(int(player), int(match), date.date(), int(points), int(innings), int(high))
        for player, match, date, points, innings, high in zip(
            rows["player"],
            rows["match"],
            rows["date"],
            rows["points"],
            rows["innings"],
            rows["high_run"],
            strict=True,
        )
    ]


def _lengths(sides: pd.DataFrame) -> Lengths | None:
    """Return how long matches took that were played to their end; None where no clock tells."""
    over = sides[sides["finished"] & sides["counted"]]
    each = over.groupby("match").agg(minutes=("minutes", "first"), innings=("innings", "max"))
    minutes = each["minutes"].to_numpy(dtype=float)
    known = (minutes >= SHORTEST) & (minutes <= LONGEST)
    if not known.any():
        return None
    told = minutes[known]
    at = np.floor(told / CLASS).astype(int)
    low, median, high = np.quantile(told, MIDDLE)
    return Lengths(
        matches=int(known.sum()),
        left_out=int((~known).sum()),
        first=int(at.min()) * CLASS,
        classes=tuple(np.bincount(at - at.min()).tolist()),
        low=float(low),
        median=float(median),
        high=float(high),
        innings=float(np.median(each["innings"].to_numpy()[known])),
    )
