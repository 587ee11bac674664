"""Ranking and climbing: from strokes that make the point to those that forgive most.

A plan moves to the mean of what of its own executions made the point, and stays where it was
if that is no better under the same errors. All plans meet the same errors.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .errors import SIGMAS, executed, normals
from .exploring import MOST_OFFSET
from .judging import Game

RANK, WIDE, CLIMB, CHOOSE = 11, 12, 13, 14
WIDENED = 1.6
# The mean of what succeeds lies short of the best plan where much succeeds: go further.
STRIDE = 1.8
# Slower is a touch, faster is hardly ever struck with any aim [m/s].
PLANNED_SPEED = (0.3, 8.0)


@dataclass(frozen=True)
class Plans:
    """Plans that make the point: strikes (n, 4), groups (n,), success (n,) under some errors, and
    the mean of the executions that made it by the plan's own group, shape (n, 4)."""

    strikes: np.ndarray
    group: np.ndarray
    success: np.ndarray
    centre: np.ndarray

    def __len__(self) -> int:
        return len(self.group)

    def taken(self, rows: np.ndarray) -> Plans:
        """Return some of the plans."""
        return Plans(self.strikes[rows], self.group[rows], self.success[rows], self.centre[rows])


def tried(game: Game, strikes: np.ndarray, n: int, stream: int, spread: float) -> Plans:
    """Play each plan once as meant and n times with errors.

    Plans that do not make the point as meant have no group (NO_GROUP) and no success.
    """
    errors = np.vstack([np.zeros((1, 4)), normals(n, stream)])
    done, sound = executed(strikes, errors, spread)
    found = game.outcomes(done.reshape(-1, 4), sound.ravel())
    made, group = found.made.reshape(len(strikes), -1), found.group.reshape(len(strikes), -1)
    own = made & (group == group[:, :1])
    weight = own[:, :, None] / np.maximum(1, own.sum(axis=1))[:, None, None]
    centre = strikes + STRIDE * ((done * weight).sum(axis=1) - strikes) * own.any(axis=1)[:, None]
    return Plans(strikes, group[:, 0], made[:, 1:].mean(axis=1) * made[:, 0], _kept_in(centre))


def _kept_in(strikes: np.ndarray) -> np.ndarray:
    """Return plans moved in where they lie beyond what may be planned: tip, then speed."""
    offset = np.hypot(strikes[:, 2], strikes[:, 3])
    strikes[:, 2:] *= np.minimum(1, MOST_OFFSET / np.maximum(offset, 1e-12))[:, None]
    np.clip(strikes[:, 1], *PLANNED_SPEED, out=strikes[:, 1])
    return strikes


def best_of_groups(plans: Plans, each: int, groups: int | None = None) -> np.ndarray:
    """Return the rows of the best `each` of every group, the best group first; at most `groups`."""
    order = np.lexsort((np.arange(len(plans)), -plans.success))
    count: dict[int, int] = {}
    rows = []
    for row in order.tolist():
        group = int(plans.group[row])
        if group < 0 or (group not in count and groups is not None and len(count) >= groups):
            continue
        count[group] = count.get(group, 0) + 1
        if count[group] <= each:
            rows.append(row)
    return np.array(rows, np.int64)


def climb(
    game: Game,
    plans: Plans,
    spread: float,
    rounds: tuple[int, ...],
    kept: tuple[int, int],
    stopped: Callable[[], bool],
) -> Plans:
    """Move plans uphill, first with wider errors, then round by round with more of them.

    kept : plans of a group and groups that are still followed after the second round.
    """
    for at, n in enumerate(rounds):
        if stopped() or not len(plans):
            break
        wide = at == 0
        width, stream = (spread * WIDENED, WIDE) if wide else (spread, CLIMB)
        if at < 2 or n != rounds[at - 1]:
            plans = tried(game, plans.strikes, n, stream, width)
        moved = tried(game, plans.centre, n, stream, width)
        better = (moved.group >= 0) & (moved.success > plans.success)
        plans = Plans(
            np.where(better[:, None], moved.strikes, plans.strikes),
            np.where(better, moved.group, plans.group),
            np.where(better, moved.success, plans.success),
            np.where(better[:, None], moved.centre, plans.centre),
        )
        if at == 1:
            plans = plans.taken(best_of_groups(plans, *kept))
    return plans


def apart(plans: Plans, spread: float, each: int) -> np.ndarray:
    """Return the best `each` rows of every group, none within one standard error of another."""
    rows: list[int] = []
    count: dict[int, list[np.ndarray]] = {}
    for row in best_of_groups(plans, len(plans)).tolist():
        place = plans.strikes[row] / (SIGMAS * spread * np.array([1, plans.strikes[row, 1], 1, 1]))
        others = count.setdefault(int(plans.group[row]), [])
        if len(others) < each and all(np.abs(place - one).max() > 1 for one in others):
            others.append(place)
            rows.append(row)
    return np.array(rows, np.int64)
