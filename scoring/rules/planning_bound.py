"""Before which minute no plan of a day can end: what the tables, the players and the chains of matches ask for."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Hashable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .planning import Job, Placed, Table


def lower_bound(
    jobs: Sequence[Job],
    tables: Sequence[Table],
    *,
    start: int = 0,
    rest: int = 0,
    referees: int = 0,
    locked: Sequence[Placed] = (),
) -> int:
    """Return a minute that the end of every plan reaches at least; minutes as in planning.py.

    referees: how many there are; 0: none are planned. Tables that certain matches are bound to are left
    aside. The bound holds for plans in which every match has a place, and locked ones do not collide.
    """
    ends: dict[Hashable, int] = {}
    left: Counter[Hashable] = Counter()
    for one in locked:
        ends[one.job] = max(one.end, ends.get(one.job, one.end))
        left[one.job] += max(0, one.end - max(one.start, start))
    for job in jobs:
        if job.key not in ends:
            left[job.key] = job.minutes
    work = sum(left.values())
    if ends and not work:
        # All of it was over before the day began.
        return max(ends.values())
    bounds = [start, *ends.values()]
    # What is locked waits for nothing any more.
    free = [replace(job, after=frozenset()) if job.key in ends else job for job in jobs]
    bounds += _by_tables_and_tails(free, left, tables, start, rest)
    if referees:
        pooled = sum(left[job.key] for job in jobs if job.referee is None and job.key not in ends)
        bounds.append(start - -pooled // referees)
    bounds += _by_people(jobs, ends, left, start, rest)
    bounds += _by_chains(jobs, ends, start, rest)
    return max(bounds)


def _by_tables_and_tails(
    jobs: Sequence[Job], left: Counter[Hashable], tables: Sequence[Table], start: int, rest: int
) -> list[int]:
    """Return, for the matches after which at least so much more must come, when the tables can have
    done with them, and that much later."""
    minutes = {job.key: job.minutes for job in jobs}
    behind = {key: tail - minutes[key] for key, tail in tails(jobs, rest).items()}
    bounds, work = [], 0
    order = sorted(behind, key=lambda key: -behind[key])
    for place, key in enumerate(order):
        work += left[key]
        if place + 1 == len(order) or behind[order[place + 1]] < behind[key]:
            bounds.append(_by_tables(work, tables, start) + (behind[key] if work else 0))
    return bounds


def tails(jobs: Sequence[Job], rest: int) -> dict[Hashable, int]:
    """Return for each match its minutes and those of the longest chain that waits for it."""
    known = {job.key: job for job in jobs}
    following: defaultdict[Hashable, list[Hashable]] = defaultdict(list)
    waits = Counter(dict.fromkeys(known, 0))
    for job in jobs:
        for key in job.after:
            following[job.key].append(key)
            waits[key] += 1
    found = {job.key: job.minutes for job in jobs}
    last = [key for key in known if not waits[key]]
    while last:
        here = last.pop()
        for key in following[here]:
            found[key] = max(found[key], known[key].minutes + rest + found[here])
            waits[key] -= 1
            if not waits[key]:
                last.append(key)
    return found


def _by_tables(work: int, tables: Sequence[Table], start: int) -> int:
    """Return when the tables that can be used have had as many minutes as there is work."""
    turns = Counter({start: 0})
    for table in tables:
        turns[start] += 1
        closed = start
        for begin, end in sorted(table.out, key=lambda span: span[0]):
            begin = max(begin, closed)
            if end is not None and end <= begin:
                continue
            turns[begin] -= 1
            if end is None:
                break
            turns[end] += 1
            closed = end
    now, usable, moments = start, 0, sorted(turns)
    for moment in moments:
        if usable and work <= usable * (moment - now):
            break
        work -= usable * (moment - now)
        now, usable = moment, usable + turns[moment]
    return now + (-(-work // usable) if usable and work > 0 else 0)


def _by_people(
    jobs: Sequence[Job],
    ends: dict[Hashable, int],
    left: Counter[Hashable],
    start: int,
    rest: int,
) -> list[int]:
    """Return for each player when the own matches and the rests between them can be over."""
    minutes: Counter[Hashable] = Counter()
    open_matches: Counter[Hashable] = Counter()
    running: set[Hashable] = set()
    for job in jobs:
        for person in job.people:
            minutes[person] += left[job.key]
            if job.key not in ends:
                open_matches[person] += 1
            elif left[job.key]:
                running.add(person)
    return [
        start + minutes[person] + rest * max(0, open_matches[person] - (person not in running))
        for person in minutes
    ]


def _by_chains(jobs: Sequence[Job], ends: dict[Hashable, int], start: int, rest: int) -> list[int]:
    """Return when each match can be over, after those it waits for; circles are left out."""
    over = dict(ends)
    waiting = [job for job in jobs if job.key not in over]
    while waiting:
        later = []
        for job in waiting:
            if all(key in over for key in job.after):
                begin = max([start, job.earliest, *(over[key] + rest for key in job.after)])
                over[job.key] = begin + job.minutes
            else:
                later.append(job)
        if len(later) == len(waiting):
            break
        waiting = later
    return [end for key, end in over.items() if key not in ends]
