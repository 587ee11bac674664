"""Exploring: strokes all over the table, played once without error, and which of them to follow up.

Most points are made off a ball that is met first, and few directions meet one: those get
most of the strokes. How forgiving a stroke is shows in how its neighbours fared.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .errors import SIGMAS, uniforms
from .judging import Game

SLOWEST, FASTEST = 1.5, 6.0
# Plans keep this far from the edge of a sound strike [radii].
MOST_OFFSET = 0.45
# Share of the strokes that is aimed straight at each object ball; the rest goes anywhere.
STRAIGHT = 0.35
STREAM = 1
# Neighbours: within so many standard errors, of a spread that is neither tiny nor huge.
REACH = 2.5
NARROWEST, WIDEST = 0.7, 1.2


@dataclass(frozen=True)
class Explored:
    """Strokes that make the point: strikes (n, 4), their groups (n,), and how many in a hundred
    of their neighbours make it by the same group, as a share (n,)."""

    strikes: np.ndarray
    group: np.ndarray
    promise: np.ndarray


def strikes_all_over(game: Game, n: int) -> np.ndarray:
    """Return n strikes spread over all that may be played, shape (n, 4)."""
    points = uniforms(n, STREAM)
    direction = 360 * (points[:, 0] - 2 * STRAIGHT) / (1 - 2 * STRAIGHT)
    objects = [at for at in range(3) if at != game.cue]
    for place, ball in enumerate(objects):
        dx, dy = (game.metres[ball] - game.metres[game.cue]).tolist()
        share = points[:, 0] / STRAIGHT - place
        rows = (share >= 0) & (share < 1)
        most = np.arcsin(min(1.0, 2 * game.table.radius / np.hypot(dx, dy)))
        # Evenly over what is seen of the ball, from edge to edge.
        aside = np.arcsin((2 * share[rows] - 1) * np.sin(most))
        direction[rows] = np.degrees(np.arctan2(dy, dx) + aside)
    offset, turn = MOST_OFFSET * np.sqrt(points[:, 2]), 2 * np.pi * points[:, 3]
    speed = SLOWEST + (FASTEST - SLOWEST) * points[:, 1]
    return np.column_stack([direction % 360, speed, offset * np.cos(turn), offset * np.sin(turn)])


def explore(game: Game, n: int, spread: float) -> Explored:
    """Play n strokes all over and return those that make the point."""
    strikes = strikes_all_over(game, n)
    found = game.outcomes(strikes)
    hits = np.flatnonzero(found.made)
    return Explored(
        strikes[hits],
        found.group[hits],
        _promise(strikes, found.group, hits, min(max(spread, NARROWEST), WIDEST)),
    )


def _promise(strikes: np.ndarray, group: np.ndarray, hits: np.ndarray, width: float) -> np.ndarray:
    """Return the share of each hit's neighbours that belong to its group, weighed by distance."""
    from scipy.spatial import cKDTree

    if not len(hits):
        return np.zeros(0)
    # Speed errs in proportion: in its logarithm all are alike.
    places = np.column_stack([strikes[:, 0], np.log(strikes[:, 1]), strikes[:, 2:]]) / (SIGMAS * width)
    near = cKDTree(places[hits]).sparse_distance_matrix(cKDTree(places), REACH, output_type="ndarray")
    mine, other = near["i"], near["j"]
    weight = np.exp(-0.5 * near["v"] ** 2)
    alike = group[hits[mine]] == group[other]
    n = len(hits)
    all_of_it = np.bincount(mine, weight, minlength=n)
    # One neighbour of each kind is presumed, so that a lone hit does not look certain.
    return (np.bincount(mine, weight * alike, minlength=n) + 0.2) / (all_of_it + 1.2)


def members(explored: Explored, most: int) -> np.ndarray:
    """Return up to `most` rows of each group: three in four the most promising, the rest spread."""
    chosen: list[np.ndarray] = []
    for group in np.unique(explored.group).tolist():
        rows = np.flatnonzero(explored.group == group)
        if len(rows) > most:
            ranked = rows[np.argsort(-explored.promise[rows], kind="stable")]
            best, rest = ranked[: most - most // 4], ranked[most - most // 4 :]
            rest = rest[np.argsort(explored.strikes[rest, 0], kind="stable")]
            spread = np.linspace(0, len(rest) - 1, most // 4).round().astype(int)
            rows = np.concatenate([best, rest[spread]])
        chosen.append(rows)
    return np.concatenate(chosen) if chosen else np.zeros(0, np.int64)
