"""Which promises may stand beside what was made.

Whoever describes a stroke afterwards knows what came of it, and mostly describes points: such strokes
bring their points and leave their misses behind. What was told afterwards is therefore compared only in
matches in which the player's every stroke was described, where nobody chose. Promises of two models are never
pooled either: the newest alone is compared. Derived here; how far a
choice by outcome goes wrong is played in tests/analytics/reports/test_selecting.py.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .played import COUNTS, EXTRA, INNING, LAID, TOLD

HINDSIGHT = TOLD.index("hindsight")


@dataclass(frozen=True)
class Aside:
    """Promised strokes that are left out of every comparison.

    chosen : told afterwards, where not all were. older : promised by an older model than the newest.
    """

    chosen: int = 0
    older: int = 0


def compared(strokes: NDArray[np.void], of: NDArray[np.int64]) -> tuple[NDArray[np.bool_], Aside]:
    """Return which promises may be compared with what was made, and how many of those that count may not.

    strokes : records of STROKE. of : (n,), which match of which player each belongs to.
    """
    bits = strokes["bits"]
    counting = (bits & COUNTS > 0) & (bits & EXTRA == 0)
    told = strokes["told"] > 0
    # A whole inning written at once has no description either.
    silent = counting & ((~told & (bits & LAID == 0)) | (strokes["kind"] == INNING))
    newest = strokes["model"] == strokes["model"].max(initial=0)
    _, place = np.unique(of, return_inverse=True)
    whole = np.bincount(place[silent], minlength=place.max(initial=-1) + 1) == 0
    chosen = newest & (strokes["told"] == HINDSIGHT) & ~whole[place]
    left = Aside(int((chosen & counting).sum()), int((told & ~newest & counting).sum()))
    return told & newest & ~chosen, left
