"""A player's averages: over all matches, by competition, opponent and distance, and moving through time."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from .averages import Sheet, best, moving
from .common import Interval
from .comparing import seasons, two_averages
from .intervals import LEAST_MATCHES, Estimate, estimate, through_matches
from .played import Played

# The moving average looks back over so many matches.
WINDOW = 10
PARTS = ("competition", "opponent", "distance", "table")


@dataclass(frozen=True)
class Part:
    """The average of some matches: `key` is the id of a competition, an opponent or a table, or a distance."""

    key: int | None
    won: int
    drawn: int
    lost: int
    estimate: Estimate


@dataclass(frozen=True)
class Moved:
    """After one match: its own points and innings, and the average of the last ten; None without innings.

    interval: on points per miss, from six matches in the window on.
    """

    match: int
    date: datetime.date
    opponent: int
    points: int
    innings: int
    average: Fraction | None
    interval: Interval | None


@dataclass(frozen=True)
class Halves:
    """Points per miss of the later half of the matches over the earlier one, with its interval.

    of_matches : the interval is over matches, and so allows for form; else it holds at constant form.
    """

    ratio: float
    interval: Interval
    of_matches: bool


@dataclass(frozen=True)
class Form:
    """Official figures first. best: points, innings and id of the match; high_run_open: the distance cut it.

    pending: matches that are over and wait for their confirmation, and so count in nothing here.
    """

    matches: int
    won: int
    drawn: int
    lost: int
    pending: int
    estimate: Estimate
    best: tuple[int, int, int] | None
    high_run: int
    high_run_open: bool
    moving: tuple[Moved, ...]
    parts: dict[str, tuple[Part, ...]]
    halves: Halves | None


def read_form(played: Played, window: int = WINDOW) -> Form:
    """Return the averages of a player's confirmed matches."""
    official = played.official
    sheets = played.sheets()
    outcomes = official["outcome"].value_counts()
    keys = {name: official[name].tolist() for name in PARTS}
    results = official["outcome"].tolist()
    parts = {name: _parts(keys[name], results, sheets) for name in PARTS}
    waiting = played.matches["finished"] & ~played.matches["confirmed"] & played.matches["counted"]
    high = int(official["high_run"].max()) if len(official) else 0
    return Form(
        matches=len(official),
        won=int(outcomes.get("won", 0)),
        drawn=int(outcomes.get("drawn", 0)),
        lost=int(outcomes.get("lost", 0)),
        pending=int(waiting.sum()),
        estimate=estimate(sheets),
        best=_best(official["match"].tolist(), sheets),
        high_run=high,
        high_run_open=high > 0 and _cut(played, high),
        moving=_moving(played, sheets, window),
        parts=parts,
        halves=_halves(sheets),
    )


def _parts(keys: Sequence[object], results: Sequence[str], sheets: Sequence[Sheet]) -> tuple[Part, ...]:
    """Return a part for each key, the one of most innings first."""
    rows: dict[int | None, list[int]] = {}
    for at, key in enumerate(keys):
        rows.setdefault(int(key) if isinstance(key, int | np.integer) else None, []).append(at)
    found = [
        Part(
            key,
            sum(results[at] == "won" for at in where),
            sum(results[at] == "drawn" for at in where),
            sum(results[at] == "lost" for at in where),
            estimate([sheets[at] for at in where]),
        )
        for key, where in rows.items()
    ]
    return tuple(sorted(found, key=lambda part: -part.estimate.innings))


def _best(matches: Sequence[int], sheets: Sequence[Sheet]) -> tuple[int, int, int] | None:
    """Return the best single match; of equal ones the latest."""
    pairs = [(sheet.points, sheet.innings) for sheet in sheets]
    top = best(pairs)
    if top is None:
        return None
    at = max(at for at, pair in enumerate(pairs) if pair == top)
    return (*top, matches[at])


def _cut(played: Played, high: int) -> bool:
    """Whether every inning of the high run was cut by the distance: then it is "at least" so long."""
    innings = played.innings
    confirmed = (played.matches["confirmed"] & played.matches["counted"]).to_numpy(dtype=bool)
    at = (innings.run == high) & confirmed[innings.of]
    return bool(at.any()) and not innings.ended[at].any()


def _moving(played: Played, sheets: Sequence[Sheet], window: int) -> tuple[Moved, ...]:
    official = played.official
    pairs = [(sheet.points, sheet.innings) for sheet in sheets]
    rows = zip(
        official["match"].tolist(),
        [day.date() for day in official["date"]],
        official["opponent"].tolist(),
        pairs,
        moving(pairs, window) if pairs else (),
        through_matches([(sheet.points, sheet.misses) for sheet in sheets], window),
        strict=True,
    )
    return tuple(Moved(match, day, other, *pair, *rest) for match, day, other, pair, *rest in rows)


def _halves(sheets: Sequence[Sheet]) -> Halves | None:
    """Return the later half of the matches against the earlier one; None where one has no miss or point.

    Over matches from six with a miss on each side on.
    """
    half = len(sheets) // 2
    if half < 1:
        return None
    sides = (sheets[:half], sheets[half:])
    points = tuple(sum(sheet.points for sheet in side) for side in sides)
    misses = tuple(sum(sheet.misses for sheet in side) for side in sides)
    if min(misses) < 1 or min(points) < 1:
        return None
    told = [[(sheet.points, sheet.misses) for sheet in side if sheet.misses] for side in sides]
    if min(map(len, told)) >= LEAST_MATCHES and all(any(made for made, _ in side) for side in told):
        # The interval needs no draws, and the chance of it is not told.
        found = seasons(told[0], told[1], draws=1)
        return Halves(found.ratio, found.interval, True)
    alike = two_averages((points[0], points[1]), (misses[0], misses[1]))
    return None if alike.interval is None else Halves(alike.ratio, alike.interval, False)
