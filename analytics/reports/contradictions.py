"""What cannot have been played as it is written: a sheet against itself, a player at two tables, times.

Every finding is a `Doubt` with its reason; a person decides what was meant.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate

import numpy as np
from numpy.typing import ArrayLike

from scoring.rules.said import Said, said

from .plausible import Doubt
from .races import Rules

# Two strokes of one match are not played closer together, in seconds: a guess.
LEAST_BETWEEN = 3.0


@dataclass(frozen=True)
class Written:
    """A match, or a set of one, as it was written: pairs are the starter's and the second player's.

    runs : inning by inning, or None where totals alone were written; high_run : or None.
    """

    rules: Rules
    points: tuple[int, int]
    innings: tuple[int, int]
    runs: tuple[Sequence[int], Sequence[int]] | None = None
    high_run: tuple[int, int] | None = None


def contradictions(sheet: Written) -> list[Doubt]:
    """Return what a sheet says against itself. Totals of several sets are not for here: give each set."""
    found = _innings(sheet)
    for side in (0, 1):
        found += _one_player(sheet, side)
    if sheet.runs is not None:
        found += _after_the_end(sheet.rules, sheet.runs)
    return found


def _certain(kind: str, reason: Said, side: int | None = None) -> Doubt:
    return Doubt(kind, reason, certain=True, side=side)


def _innings(sheet: Written) -> list[Doubt]:
    first, second = sheet.innings
    found = []
    if not 0 <= first - second <= 1:
        reason = said(
            "%(first)s innings against %(second)s: who starts has as many as the other, or one more.",
            first=first,
            second=second,
        )
        found.append(_certain("innings", reason))
    limit = sheet.rules.innings_limit
    if limit is not None and max(first, second) > limit:
        reason = said(
            "%(innings)s innings, and the match ends after %(limit)s.",
            innings=max(first, second),
            limit=limit,
        )
        found.append(_certain("limit", reason))
    return found


def _one_player(sheet: Written, side: int) -> list[Doubt]:
    points, innings, far = sheet.points[side], sheet.innings[side], sheet.rules.distance[side]
    found = []
    if far is not None and points > far:
        reason = said("%(points)s points at a distance of %(distance)s.", points=points, distance=far)
        found.append(_certain("distance", reason, side))
    if points and not innings:
        one = said("One point without an inning.")
        reason = one if points == 1 else said("%(points)s points without an inning.", points=points)
        found.append(_certain("no-innings", reason, side))
    high = None if sheet.high_run is None else sheet.high_run[side]
    if high is not None and not high <= points <= high * innings:
        reason = said(
            "A high run of %(high)s does not go with %(points)s points in %(innings)s innings.",
            high=high,
            points=points,
            innings=innings,
        )
        found.append(_certain("high-run", reason, side))
    if sheet.runs is None:
        return found
    runs = sheet.runs[side]
    if sum(runs) != points:
        reason = said("The runs add up to %(sum)s, and %(points)s are written.", sum=sum(runs), points=points)
        found.append(_certain("sum", reason, side))
    if len(runs) != innings:
        reason = said("%(runs)s runs stand for %(innings)s innings.", runs=len(runs), innings=innings)
        found.append(_certain("count", reason, side))
    if high is not None and runs and max(runs) != high:
        reason = said(
            "The longest run is %(longest)s, and %(high)s is written.", longest=max(runs), high=high
        )
        found.append(_certain("longest", reason, side))
    return found


def _after_the_end(rules: Rules, runs: tuple[Sequence[int], Sequence[int]]) -> list[Doubt]:
    """Return who has innings after the one in which the match was over."""
    there = [_reached(far, made) for far, made in zip(rules.distance, runs, strict=True)]
    last = [len(runs[0]), len(runs[1])]
    if there[1] is not None:
        last = [there[1], there[1]]
    if there[0] is not None and (there[1] is None or there[0] <= there[1]):
        last = [there[0], there[0] if rules.equalizes(there[0]) else there[0] - 1]
    found = []
    for side in (0, 1):
        more = len(runs[side]) - last[side]
        if more > 0:
            one = said("One inning stands after the end.")
            reason = one if more == 1 else said("%(innings)s innings stand after the end.", innings=more)
            found.append(_certain("after-end", reason, side))
    return found


def _reached(far: int | None, runs: Sequence[int]) -> int | None:
    """Return the inning, from 1, in which a distance was reached; None where it was not."""
    if far is None:
        return None
    return next((at for at, total in enumerate(accumulate(runs), 1) if total >= far), None)


@dataclass(frozen=True)
class Stay:
    """One player's match at a table: when its first and its last stroke were played [s]."""

    player: Hashable
    match: Hashable
    table: Hashable
    since: float
    until: float


def at_two_tables(stays: Iterable[Stay]) -> list[Doubt]:
    """Return matches of one player whose times overlap at different tables.

    Matches at one table, or interrupted ones, may be written one inside the other: those are left alone.
    """
    found = []
    by_player: dict[Hashable, list[Stay]] = defaultdict(list)
    for stay in stays:
        by_player[stay.player].append(stay)
    for played in by_player.values():
        open_still: list[Stay] = []
        for stay in sorted(played, key=lambda one: (one.since, one.until)):
            open_still = [one for one in open_still if one.until > stay.since]
            for other in open_still:
                if other.table != stay.table and other.match != stay.match:
                    reason = said("The same player was at two tables at the same time.")
                    about = (stay.player, other.match, stay.match)
                    found.append(Doubt("two-tables", reason, certain=True, about=about))
            open_still.append(stay)
    return found


def too_fast(
    times: ArrayLike, keys: Sequence[Hashable] | None = None, least: float = LEAST_BETWEEN
) -> list[Doubt]:
    """Return one doubt where strokes written one by one follow each other faster than can be played.

    times : when each stroke of a match was written on its device [s], in the order of play, shape (n,).
    keys : of the strokes; those that came too soon are told in `about`. Not for innings written at once, and no certain doubt:
    whoever scores may have tapped late.
    """
    gaps = np.diff(np.asarray(times, dtype=float))
    soon = np.flatnonzero(gaps < least)
    if not len(soon):
        return []
    seconds, quickest = f"{least:g}", f"{max(0.0, float(gaps.min())):.1f}"
    if len(soon) == 1:
        reason = said(
            "One stroke came less than %(seconds)s seconds after the one before: after %(quickest)s.",
            seconds=seconds,
            quickest=quickest,
        )
    else:
        reason = said(
            "%(strokes)s strokes came less than %(seconds)s seconds after the one before, the quickest after %(quickest)s.",
            strokes=len(soon),
            seconds=seconds,
            quickest=quickest,
        )
    about = tuple((int(at + 1) if keys is None else keys[int(at) + 1]) for at in soon)
    return [Doubt("too-fast", reason, about=about)]
