"""Searches for lines: at once for people of the club, one at a time and at low priority for visitors.

A search for a visitor never slows a score: each web process has one thread for them, which
gives way to everything else on the machine, and few may wait for it.
"""

from __future__ import annotations

import os
import sys
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from analytics.aim.lines.leaving import Left
    from analytics.aim.lines.search import Found

# Only stops what runs away: a search is ended by its budget of strokes long before.
RUNAWAY_SECONDS = 20.0
MOST_WAITING = 4
GIVING_WAY = 10

_room = threading.BoundedSemaphore(MOST_WAITING)


class Busy(Exception):
    """Too many visitors wait; `seconds` until it is worth asking again."""

    def __init__(self, seconds: int) -> None:
        super().__init__(seconds)
        self.seconds = seconds


def search(layout: Any, cue_ball: str, *, visitor: bool, quick: bool, **how: Any) -> Found:
    """Find lines; `how` is handed to `find_lines`. Raises Busy, and Malformed as it does."""
    return _in_turn(_find, visitor, layout=layout, cue_ball=cue_ball, quick=quick, **how)


def leaves(*, visitor: bool, **how: Any) -> Left:
    """Find what a line leaves; `how` is handed to `leaves` of the lines. Raises as `search`."""
    return _in_turn(_leaves, visitor, **how)


def _in_turn(task: Callable[..., Any], visitor: bool, **how: Any) -> Any:
    if not visitor:
        return task(**how)
    if not _room.acquire(blocking=False):
        raise Busy(MOST_WAITING)
    try:
        return _visitors().submit(task, threads=1, **how).result()
    finally:
        _room.release()


def _find(layout: Any, cue_ball: str, quick: bool, **how: Any) -> Found:
    from analytics.aim.lines import search as lines

    return lines.find_lines(
        layout, cue_ball, budget=lines.FIRST if quick else lines.FULL, stopped=_runaway(), **how
    )


def _leaves(**how: Any) -> Left:
    from analytics.aim.lines import leaving

    return leaving.leaves(stopped=_runaway(), **how)


def _runaway() -> Callable[[], bool]:
    ends = time.monotonic() + RUNAWAY_SECONDS
    return lambda: time.monotonic() > ends


@cache
def _visitors() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(max_workers=1, thread_name_prefix="visitors", initializer=_give_way)


def _give_way() -> None:
    # Only here is a thread's priority its own.
    if sys.platform == "linux":
        os.nice(GIVING_WAY)
