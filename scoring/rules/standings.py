"""From results to the rows that are ranked: sums over matches, by settings that a competition chooses.

Standings are a pure function of results and settings. Which sums a walkover, an award, a retirement
or a disqualification brings differs between regulations (from memory: match points alone, and what
was played before a retirement counts for both).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

from .averages import average
from .ranking import Met, Row

# How a match came out. `played` has a winner or is a draw; None instead of these: not played yet.
OUTCOMES = ("played", "retired", "walkover", "award", "disqualified", "annulled")
# What an outcome brings: everything, match points alone, or nothing.
COUNTS = ("all", "match-points", "nothing")
WITHDRAWALS = ("keep", "annul")


@dataclass(frozen=True)
class Side:
    """What one made in a match. match_points: as a points scheme gave them, else by the setting.

    points and innings of a walkover are what an absent opponent is credited with, if anything.
    """

    key: Any
    points: int = 0
    innings: int = 0
    high_run: int = 0
    distance: int | None = None
    sets_won: int = 0
    match_points: int | Fraction | None = None


@dataclass(frozen=True)
class Result:
    """A match: its sides, how it came out (None: not played yet), who won (None: a draw).

    protested: counts, and is not settled yet.
    """

    first: Side
    second: Side
    outcome: str | None = "played"
    winner: Any = None
    protested: bool = False

    @property
    def sides(self) -> tuple[Side, Side]:
        return self.first, self.second


@dataclass(frozen=True)
class Counting:
    """Match points of a match (2/1/0: federation pages), and what each outcome brings to the sums."""

    win: int = 2
    draw: int = 1
    loss: int = 0
    counts: Mapping[str, str] = field(
        default_factory=lambda: {
            "played": "all",
            "retired": "all",
            "walkover": "match-points",
            "award": "match-points",
            "disqualified": "match-points",
            "annulled": "nothing",
        }
    )


PLAIN = Counting()


def match_points(result: Result, side: Side, counting: Counting = PLAIN) -> int | Fraction:
    """Return the match points that a result brings one side."""
    if result.outcome is None or counting.counts[result.outcome] == "nothing":
        return 0
    if side.match_points is not None:
        return side.match_points
    if result.winner is None:
        return counting.draw if result.outcome == "played" else counting.loss
    return counting.win if result.winner == side.key else counting.loss


def rows(entrants: Iterable[Any], results: Iterable[Result], counting: Counting = PLAIN) -> list[Row]:
    """Return a row for every entrant, in their order. Raises KeyError for a result of somebody else."""
    sums = {key: _Sums() for key in entrants}
    for result in results:
        for side, other in (result.sides, result.sides[::-1]):
            sums[side.key].take(result, side, other, counting)
    return [one.row(key) for key, one in sums.items()]


def row_of(key: Any, results: Iterable[Result], counting: Counting = PLAIN) -> Row:
    """Return the row of one entrant; what it did not take part in is passed over."""
    sums = _Sums()
    for result in results:
        for side, other in (result.sides, result.sides[::-1]):
            if side.key == key:
                sums.take(result, side, other, counting)
    return sums.row(key)


def with_withdrawn(results: Sequence[Result], withdrawn: Collection[Any], rule: str = "keep") -> list[Result]:
    """Return the results after some withdrew.

    keep: what was played stays, the rest is forfeited (Garno, *Modern Billiards*); nobody wins where both
    withdrew. annul: every match of theirs counts for nobody (from memory). Raises ValueError else.
    """
    if rule not in WITHDRAWALS:
        raise ValueError(rule)
    after = []
    for result in results:
        there = [side.key for side in result.sides if side.key not in withdrawn]
        if len(there) == 2:
            after.append(result)
        elif rule == "annul":
            after.append(replace(result, outcome="annulled", winner=None))
        elif result.outcome is None:
            after.append(replace(result, outcome="walkover", winner=there[0] if there else None))
        else:
            after.append(result)
    return after


@dataclass
class _Sums:
    """What adds up for one entrant."""

    match_points: int | Fraction = 0
    points: int = 0
    innings: int = 0
    high_run: int = 0
    best: tuple[int, int] | None = None
    sets_won: int = 0
    sets_lost: int = 0
    distances: int = 0
    pending: int = 0
    played: int = 0
    against: dict[Any, Met] = field(default_factory=dict)

    def take(self, result: Result, side: Side, other: Side, counting: Counting) -> None:
        """Count a result of this side: as played, as pending, or as neither."""
        if result.outcome is None or result.protested:
            self.pending += 1
        if result.outcome is None:
            return
        self.played += result.outcome != "annulled"
        full = counting.counts[result.outcome] == "all"
        self.add(result, side, other, match_points(result, side, counting), full)

    def add(self, result: Result, side: Side, other: Side, won: int | Fraction, full: bool) -> None:
        self.match_points += won
        met = self.against.get(other.key, Met())
        points, innings = (side.points, side.innings) if full else (0, 0)
        self.against[other.key] = Met(met.match_points + won, met.points + points, met.innings + innings)
        if not full:
            return
        self.points += points
        self.innings += innings
        self.distances += side.distance or 0
        self.high_run = max(self.high_run, side.high_run)
        self.sets_won += side.sets_won
        self.sets_lost += other.sets_won
        if result.outcome == "played" and innings:
            self.best = better_match(self.best, (points, innings))

    def row(self, key: Any) -> Row:
        return Row(
            key=key,
            match_points=self.match_points,
            points=self.points,
            innings=self.innings,
            high_run=self.high_run,
            best=self.best,
            sets_won=self.sets_won,
            sets_lost=self.sets_lost,
            against=self.against,
            distances=self.distances,
            pending=self.pending,
            played=self.played,
        )


def better_match(one: tuple[int, int] | None, other: tuple[int, int]) -> tuple[int, int]:
    """Return the match with the better average, as (points, innings); of equal ones that with more points."""
    if one is None:
        return other
    first, second = average(*one), average(*other)
    if first is None or second is None:
        return other if first is None else one
    return max((first, one), (second, other), key=lambda pair: (pair[0], pair[1][0]))[1]
