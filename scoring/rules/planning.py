"""A day's schedule: which match is played when, on which table, with which referee.

List scheduling: at every moment when something becomes free, the matches that are ready are placed,
first those on which most hangs. Nobody plays or referees twice at once, players rest between matches,
and what is locked (running, played, fixed by the organiser) stays where it is. Minutes are
whole numbers from any origin, the same one throughout.
"""

from __future__ import annotations

import heapq
from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, field

from .planning_bound import lower_bound, tails

Key = Hashable
Span = tuple[int, int]


@dataclass(frozen=True)
class Job:
    """A match to be played. people: its players, as far as known; referee: a named one.

    minutes: above 0. after: matches that must be over first, with a rest, as whoever wins there plays here.
    earliest: not before. tables: only on these (None: on any). first: before every match that is not.
    """

    key: Key
    minutes: int
    people: frozenset[Key] = frozenset()
    referee: Key | None = None
    after: frozenset[Key] = frozenset()
    earliest: int = 0
    tables: frozenset[Key] | None = None
    first: bool = False


@dataclass(frozen=True)
class Table:
    """A table. out: spans in which it cannot be used, from/to; to None: for the rest of the day."""

    key: Key
    out: tuple[tuple[int, int | None], ...] = ()


@dataclass(frozen=True)
class Placed:
    """A match, or a part of one, on a table from start to end. A match moved in the middle has two parts."""

    job: Key
    table: Key
    start: int
    end: int
    locked: bool = False
    referee: Key | None = None


@dataclass(frozen=True)
class Plan:
    """A schedule by start; unplaced: matches that found no place; bound: before which minute no plan of
    these matches on these tables can end."""

    placed: tuple[Placed, ...]
    unplaced: tuple[Key, ...]
    bound: int

    @property
    def end(self) -> int | None:
        """When the day will end; None with nothing to play."""
        return max((one.end for one in self.placed), default=None)

    def due(self, now: int) -> list[Placed]:
        """Return what should have begun by now and is not locked: to be called, in order."""
        return [one for one in self.placed if one.start <= now and not one.locked]


def plan(
    jobs: Sequence[Job],
    tables: Sequence[Table],
    *,
    start: int = 0,
    rest: int = 0,
    referees: Sequence[Key] = (),
    locked: Iterable[Placed] = (),
) -> Plan:
    """Plan the matches that are not locked, from `start` on.

    rest: minutes between two matches of a player. referees: a pool of which each match without a named
    one gets one, players of the pool included while they do not play; empty: no referees are planned.
    Raises ValueError for a key that comes twice, an unknown match or table, a length below 1,
    or a player who is to referee the own match.
    """
    fixed = tuple(locked)
    _check(jobs, tables, fixed)
    board = _Board(jobs, tables, start, rest, tuple(dict.fromkeys(referees)))
    for one in fixed:
        board.take(one, locked=True)
    board.run()
    placed = sorted(board.placed, key=lambda one: (one.start, board.order[one.job], one.end))
    bound = lower_bound(jobs, tables, start=start, rest=rest, referees=len(board.referees), locked=fixed)
    return Plan(tuple(placed), tuple(job.key for job in jobs if job.key in board.waiting), bound)


def _check(jobs: Sequence[Job], tables: Sequence[Table], locked: Sequence[Placed]) -> None:
    known, places = {job.key for job in jobs}, {table.key for table in tables}
    if len(known) < len(jobs) or len(places) < len(tables):
        raise ValueError("a key comes twice")
    for job in jobs:
        if job.minutes < 1 or not job.after <= known or not (job.tables or places) <= places:
            raise ValueError(job.key)
        if job.referee in job.people:
            raise ValueError(job.key)
    for one in locked:
        if one.job not in known or one.table not in places or one.end < one.start:
            raise ValueError(one.job)


@dataclass
class _Spans:
    """What somebody or something is taken for, in no order; few enough to look through."""

    taken: list[Span] = field(default_factory=list)

    def free(self, start: int, end: int, gap: int = 0) -> bool:
        return all(end + gap <= other or one + gap <= start for other, one in self.taken)


FOREVER = 10**9


class _Board:
    """The schedule while it is made."""

    def __init__(
        self, jobs: Sequence[Job], tables: Sequence[Table], start: int, rest: int, referees: tuple[Key, ...]
    ) -> None:
        self.jobs = {job.key: job for job in jobs}
        self.order = {job.key: place for place, job in enumerate(jobs)}
        self.start, self.rest, self.referees = start, rest, referees
        self.waiting = dict.fromkeys(self.jobs)
        self.placed: list[Placed] = []
        self.ends: dict[Key, int] = {}
        # Duties are playing and refereeing; a rest is kept between matches played.
        self.duties: defaultdict[Key, _Spans] = defaultdict(_Spans)
        self.played: defaultdict[Key, _Spans] = defaultdict(_Spans)
        self.tables = {
            one.key: _Spans([(begin, FOREVER if end is None else end) for begin, end in one.out])
            for one in tables
        }
        self.used: Counter[Key] = Counter()
        self.visits: Counter[tuple[Key, Key]] = Counter()
        self.refereed: Counter[Key] = Counter()
        self.times = [start, *(job.earliest for job in jobs)]
        self.times += [end for one in tables for _, end in one.out if end is not None]
        self.tails = tails(jobs, rest)
        self.load: Counter[Key] = Counter()
        for job in jobs:
            for person in job.people:
                self.load[person] += job.minutes + rest

    def take(self, one: Placed, locked: bool = False) -> None:
        """Write a match, or a part of one, into the schedule."""
        job, span = self.jobs[one.job], (one.start, one.end)
        referee = one.referee if one.referee is not None else job.referee
        self.placed.append(Placed(one.job, one.table, one.start, one.end, locked, referee))
        first = one.job in self.waiting
        self.waiting.pop(one.job, None)
        self.ends[one.job] = max(one.end, self.ends.get(one.job, one.end))
        self.tables[one.table].taken.append(span)
        self.used[one.table] += one.end - one.start
        for person in job.people:
            self.duties[person].taken.append(span)
            self.played[person].taken.append(span)
            self.visits[person, one.table] += 1
            self.load[person] -= job.minutes + self.rest if first else 0
        if referee is not None:
            self.duties[referee].taken.append(span)
            self.refereed[referee] += 1
        self.times += [one.end, one.end + self.rest]

    def run(self) -> None:
        """Go from moment to moment and place what is ready."""
        heapq.heapify(self.times)
        before = self.start - 1
        while self.times and self.waiting:
            now = heapq.heappop(self.times)
            if now > before:
                before = now
                self._place(now)
                # Placing appends moments; they are few, and all later than now.
                heapq.heapify(self.times)

    def _place(self, now: int) -> None:
        ready = [self.jobs[key] for key in self.waiting if self._ready(self.jobs[key], now)]
        for job in sorted(ready, key=lambda job: (not job.first, -self._urgency(job), self.order[job.key])):
            self._try(job, now)

    def _ready(self, job: Job, now: int) -> bool:
        if job.earliest > now or any(
            key in self.waiting or self.ends[key] + self.rest > now for key in job.after
        ):
            return False
        end = now + job.minutes
        return all(
            self.played[person].free(now, end, self.rest) and self.duties[person].free(now, end)
            for person in job.people
        ) and (job.referee is None or self.duties[job.referee].free(now, end))

    def _urgency(self, job: Job) -> int:
        """Return the minutes that still hang on a match: the longest chain, or a player's own matches."""
        return max([self.tails[job.key], *(self.load[person] for person in job.people)])

    def _try(self, job: Job, now: int) -> None:
        """Place a ready match, unless what was placed at this moment is in the way."""
        end = now + job.minutes
        free = [
            key
            for key in self.tables
            if (job.tables is None or key in job.tables) and self.tables[key].free(now, end)
        ]
        if not free or not self._ready(job, now):
            return
        referee = job.referee
        if referee is None and self.referees:
            idle = [one for one in self.referees if one not in job.people and self.duties[one].free(now, end)]
            if not idle:
                return
            referee = min(idle, key=lambda one: self.refereed[one])
        table = min(free, key=lambda key: (sum(self.visits[one, key] for one in job.people), self.used[key]))
        self.take(Placed(job.key, table, now, end, referee=referee))


def collisions(
    placed: Iterable[Placed], jobs: Sequence[Job], tables: Sequence[Table], rest: int = 0
) -> list[tuple[Key, Key]]:
    """Return the pairs of matches that cannot be as placed: one person, or one table, at the same time,
    too short a rest, or a match before one it waits for is over; (match, table) where a table is out.

    For schedules made or changed by hand; a plan of ours has none but among locked matches.
    """
    known = {job.key: job for job in jobs}
    listed = sorted(placed, key=lambda one: one.start)
    found = []
    for place, one in enumerate(listed):
        for other in listed[place + 1 :]:
            if one.job != other.job and _collide(one, other, known[one.job], known[other.job], rest):
                found.append((one.job, other.job))
    outs = {table.key: table.out for table in tables}
    for one in listed:
        for begin, end in outs[one.table]:
            if one.start < (FOREVER if end is None else end) and begin < one.end:
                found.append((one.job, one.table))
    return found


def _collide(one: Placed, other: Placed, first: Job, second: Job, rest: int) -> bool:
    """Judge two parts of different matches, of which `one` starts no later."""
    overlap = other.start < one.end
    too_close = other.start < one.end + rest
    duties = [set(job.people) | {part.referee} - {None} for part, job in ((one, first), (other, second))]
    return (
        (overlap and (one.table == other.table or bool(duties[0] & duties[1])))
        or (too_close and bool(first.people & second.people))
        or (too_close and one.job in second.after)
        or other.job in first.after
    )
