"""The door for many strokes from one layout: arrays in, arrays out, on all processors.

A stroke in a batch is the same stroke alone, bit for bit, whatever the batch, its order and
the number of threads: every stroke starts from the layout, and threads share nothing.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from scoring.rules.said import Malformed, said

from . import stroke
from .parameters import FINE, TableParameters
from .shots import MISCUE, MOST_SPEED, Met, contacts_of, cue_of, placed

# Fewer strokes than this are not worth a thread.
LEAST_CHUNK = 64


@dataclass(frozen=True)
class Batch:
    """What became of n strokes.

    Attributes
    ----------
    contacts : times [s], codes, x, y [m] of the cue ball's contacts, shape (n, most, 4); codes
        0 to 3 are rails (bottom, right, top, left), 4 to 6 balls (white, yellow, red).
    met : number of contacts, shape (n,); may exceed `most`, whose later ones are not kept.
    rest : where the balls lie at the end [diamonds], shape (n, 3, 2).
    moved : when each ball was first set moving by another [s], -1 for never, shape (n, 3).
    duration : until all have stopped [s], shape (n,).
    complete : False where the bound on events was met, shape (n,).
    scale : metres a diamond, across and along, shape (2,).
    """

    contacts: np.ndarray
    met: np.ndarray
    rest: np.ndarray
    moved: np.ndarray
    duration: np.ndarray
    complete: np.ndarray
    scale: np.ndarray

    def __len__(self) -> int:
        return len(self.met)

    def contacts_of(self, row: int) -> tuple[Met, ...]:
        """Return the contacts that were kept of one stroke, in diamonds."""
        return contacts_of(self.contacts[row, : self.met[row]], self.scale)


def play_strokes(
    layout: Mapping[str, Sequence[float]],
    cue_ball: str,
    strikes: Any,
    table: TableParameters | None = None,
    *,
    most: int = 16,
    threads: int | None = None,
    decided: bool = False,
    fineness: tuple[int, int] = FINE,
) -> Batch:
    """Play many strikes from one layout.

    Parameters
    ----------
    strikes : direction [deg], speed [m/s], side, height [ball radii], shape (n, 4).
    most : contacts to keep of each stroke. threads : by default one a processor.
    decided : end a stroke once the cue ball has met both others: nothing later can change the
        ruling. Its rest and duration are then those of that moment.

    Raises Malformed as `play_stroke` does; for strikes, the first row that cannot be played.
    """
    table = table or TableParameters()
    cue = cue_of(cue_ball)
    lying = placed(layout, table)
    asked = _checked(strikes)
    n = len(asked)
    scale = np.array([table.table_width / 4, table.table_length / 8])
    contacts, rests = np.zeros((n, most, 4)), np.zeros((n, 3, 2))
    moved = np.zeros((n, 3))
    met, events, durations = np.zeros(n, np.int64), np.zeros(n, np.int64), np.zeros(n)
    parameters = table.as_array(fineness)

    def part(begin: int, end: int) -> None:
        rows = slice(begin, end)
        stroke.play_many(
            lying,
            cue,
            asked[rows],
            parameters,
            contacts[rows],
            met[rows],
            durations[rows],
            events[rows],
            rests[rows],
            moved[rows],
            np.zeros((3, 0, 7)),
            np.zeros(3, np.int64),
            np.zeros(stroke.SCRATCH_MANY),
            decided,
        )

    wanted = min(threads or _processors(), max(1, n // LEAST_CHUNK))
    edges = [n * at // wanted for at in range(wanted + 1)]
    if wanted == 1:
        part(0, n)
    else:
        list(_pool().map(part, edges[:-1], edges[1:]))
    return Batch(contacts, met, rests / scale, moved, durations, events >= 0, scale)


def _checked(strikes: Any) -> np.ndarray:
    """Return strikes as an array, shape (n, 4)."""
    try:
        asked = np.ascontiguousarray(strikes, dtype=np.float64)
    except (TypeError, ValueError):
        raise Malformed("strikes", said("Send rows of four numbers.")) from None
    if asked.ndim != 2 or asked.shape[1] != 4:
        raise Malformed("strikes", said("Send rows of four numbers."))
    speed, offset = asked[:, 1], np.hypot(asked[:, 2], asked[:, 3])
    sound = np.isfinite(asked).all(axis=1) & (speed > 0) & (speed <= MOST_SPEED) & (offset <= MISCUE)
    if not sound.all():
        raise Malformed(
            f"strikes.{int(np.argmin(sound))}",
            said(
                "Send a speed above 0 and up to %(most)s m/s, the tip at most %(radii)s radii off the centre.",
                most=MOST_SPEED,
                radii=MISCUE,
            ),
        )
    return asked


def _processors() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@cache
def _pool() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(max_workers=_processors(), thread_name_prefix="strokes")
