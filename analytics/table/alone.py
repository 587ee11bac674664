"""The door for a ball alone on the table: where it meets the rails, and where it comes to lie."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from . import stroke
from .parameters import FINE, TableParameters

# Where the other two balls wait: so far outside that nothing meets them [m].
_AWAY = ((-50.0, -50.0), (-60.0, -50.0))


@dataclass(frozen=True)
class Run:
    """What became of one ball struck on an empty table.

    contacts : time [s], rail (0 to 3: bottom, right, top, left), x, y of the centre [diamonds],
    shape (n, 4). rest : where it lies at the end [diamonds], shape (2,). duration : [s], until
    it neither rolls nor spins.
    """

    contacts: np.ndarray
    rest: np.ndarray
    duration: float


def run_alone(
    start: Sequence[float],
    strike: Sequence[float],
    table: TableParameters,
    *,
    most: int = 12,
    fineness: tuple[int, int] = FINE,
) -> Run:
    """Play one strike from `start` [diamonds] with no other ball on the table.

    strike : direction [deg], speed [m/s], side, height [radii]; neither it nor the start is
    judged. most : contacts to keep.
    """
    scale = np.array([table.table_width / 4, table.table_length / 8])
    lying = np.zeros((3, 7))
    lying[0, :2] = np.asarray(start, dtype=np.float64) * scale
    lying[1:, :2] = _AWAY
    contacts, rests, moved = np.zeros((1, most, 4)), np.zeros((1, 3, 2)), np.zeros((1, 3))
    met, events, durations = np.zeros(1, np.int64), np.zeros(1, np.int64), np.zeros(1)
    stroke.play_many(
        lying,
        0,
        np.array([strike], dtype=np.float64),
        table.as_array(fineness),
        contacts,
        met,
        durations,
        events,
        rests,
        moved,
        np.zeros((3, 0, 7)),
        np.zeros(3, np.int64),
        np.zeros(stroke.SCRATCH_MANY),
        False,
    )
    found = contacts[0, : min(int(met[0]), most)].copy()
    found[:, 2:] /= scale
    return Run(found, rests[0, 0] / scale, float(durations[0]))
