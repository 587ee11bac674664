"""The way to the compiled simulator: loaded when the first stroke is asked for, never before.

Importing the compiler takes longer than starting the site, and most processes (migrations,
commands, a server that only keeps scores) never play a stroke.
"""

from __future__ import annotations

from types import ModuleType

LAYOUT = {"white": (1.0, 1.0), "yellow": (3.1, 2.3), "red": (2.1, 5.9)}


class NotReady(Exception):
    """The kernels can be kept nowhere, so they cannot be compiled."""


def load() -> ModuleType:
    """Return `analytics.table.shots`. Raises NotReady."""
    try:
        from analytics.table import shots
    except RuntimeError as fault:  # what the compiler says where no folder can be written
        raise NotReady(str(fault)) from fault
    return shots


def do_warm() -> None:
    """Compile every kernel that a stroke needs, and keep it on disk. Raises NotReady."""
    shots = load()
    from analytics.table import batches

    try:
        shots.play_stroke(LAYOUT, "white", shots.Strike(direction=75.0, speed=3.0, side=0.2, height=0.1))
        batches.play_strokes(LAYOUT, "white", [[75.0, 3.0, 0.2, 0.1]])
    except OSError as fault:
        raise NotReady(str(fault)) from fault


def do_warm_search() -> None:
    """Look for lines once, so that the first search in this process need not load what it takes."""
    do_warm()
    from analytics.aim.lines.search import FIRST, find_lines

    find_lines(LAYOUT, "white", budget=FIRST, limit=1, threads=1)
