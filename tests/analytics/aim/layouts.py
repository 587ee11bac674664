"""Layouts at random: balls anywhere on the table, at least 3 mm apart."""

from __future__ import annotations

import numpy as np

from analytics.table.parameters import TableParameters
from analytics.table.shots import BALLS, Point

DIAMOND = 0.355
APART = 0.003


def layouts_at_random(n: int, seed: int = 1) -> list[dict[str, Point]]:
    """Return n layouts on the match table [diamonds]."""
    draw = np.random.default_rng(seed)
    radius = TableParameters().radius / DIAMOND
    found: list[dict[str, Point]] = []
    while len(found) < n:
        balls = radius + draw.random((3, 2)) * (np.array([4.0, 8.0]) - 2 * radius)
        gaps = [np.hypot(*(balls[one] - balls[other])) for one, other in ((0, 1), (0, 2), (1, 2))]
        if min(gaps) >= 2 * radius + APART / DIAMOND:
            found.append(dict(zip(BALLS, map(tuple, balls.tolist()), strict=True)))
    return found
