"""Reflections: every layout is searched as the one of its four images that comes first.

So the lines of a mirrored layout are the mirrored lines, and nothing depends on which way
round somebody stood at the table.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from analytics.table.shots import BALLS, Point

ACROSS, ALONG = 4.0, 8.0
# Diamonds: finer than any placing, coarser than the rounding of a reflection.
DECIMALS = 12


@dataclass(frozen=True)
class Mirror:
    """Reflect across (x to 4 - x), along (y to 8 - y), both or not at all; its own inverse."""

    across: bool = False
    along: bool = False

    def layout(self, layout: Mapping[str, Sequence[float]]) -> dict[str, Point]:
        """Return a layout's image [diamonds]."""
        return {name: self._point(layout[name]) for name in BALLS}

    def strikes(self, strikes: np.ndarray) -> np.ndarray:
        """Return the images of strikes, or of errors, shape (..., 4); directions are not folded."""
        image = np.array(strikes, dtype=np.float64)
        if self.across:
            image[..., 0] = 180 - image[..., 0]
            image[..., 2] *= -1
        if self.along:
            image[..., 0] *= -1
            image[..., 2] *= -1
        return image

    def _point(self, point: Sequence[float]) -> Point:
        x, y = point
        x, y = ACROSS - x if self.across else x, ALONG - y if self.along else y
        return round(x, DECIMALS), round(y, DECIMALS)


def first_image(layout: Mapping[str, Sequence[float]], cue_ball: str) -> Mirror:
    """Return the reflection under which cue ball and object balls lie nearest the bottom left."""
    order = (cue_ball, *(name for name in reversed(BALLS) if name != cue_ball))
    flips = []
    for axis, length in enumerate((ACROSS, ALONG)):
        places = [round(layout[name][axis], DECIMALS) for name in order]
        flips.append([round(length - place, DECIMALS) for place in places] < places)
    return Mirror(*flips)
