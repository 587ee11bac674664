"""Least squares over the readings: the unknowns, the residuals, the solution.

Unknown are the cushion's restitution and friction, the cloth's rolling friction, how much more
or less side was struck than asked, and the pace of each lag, which nobody knows beforehand.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from math import sqrt

import numpy as np

from analytics.table.alone import Run, run_alone
from analytics.table.parameters import TableParameters

from .correcting import CONFIDENCE, TrackNumber, correction_of
from .results import Fitted, Left, Value
from .strokes import LAG, LAG_PACE, PACE, STROKES, TRACK, TestStroke

READ, WATCH = 0.1, 0.15  # [diamonds], [s]: a careful reading
SIDE_PRIOR = 0.03  # [ball radii]: how well side is struck as asked
FITTED = ("cushion_restitution", "cushion_friction", "cloth_rolling_friction")
# What one step of an unknown is in the fit, so that all are of a size.
STEPS = {
    "cushion_restitution": 0.02,
    "cushion_friction": 0.02,
    "cloth_rolling_friction": 0.001,
    "side": 0.03,
    "pace": 0.05,
}
LEAST_SPREAD = 0.3  # [units of a careful reading]: rails are read no finer
# What is left of a stroke whose ball never meets the rail that was read [diamonds].
NEVER_MET = 2.0

Readings = Mapping[str, Sequence[float]]


class Problem:
    """The readings as residuals of the unknowns, each residual in units of a careful reading."""

    def __init__(self, read: Mapping[str, Sequence[float]], table: TableParameters) -> None:
        self.read, self.table = read, table
        self.lags = [code for code in read if STROKES[code].kind == LAG]
        known = FITTED if self.lags else FITTED[:2]
        self.names: tuple[str, ...] = (*known, "side", *("pace" for _ in self.lags))
        self.steps = np.array([STEPS[name] for name in self.names])
        limits = {one.name: (one.metadata["low"], one.metadata["high"]) for one in fields(table)}
        limits |= {"side": (-0.15, 0.15), "pace": (0.5, 3.0)}
        self.bounds = tuple(
            np.array(edge) for edge in zip(*(limits[name] for name in self.names), strict=True)
        )

    def start(self) -> np.ndarray:
        """Return where the fit begins: the table as known, no more side, lags that lie where they lay."""
        paces = [self._pace(code) for code in self.lags]
        known = [getattr(self.table, name) for name in self.names if name in FITTED]
        low, high = self.bounds
        return np.clip(np.array([*known, 0.0, *paces]), low + 0.05 * self.steps, high - 0.05 * self.steps)

    def _pace(self, code: str) -> float:
        low, high = 0.6, 2.5
        for _ in range(20):
            middle = (low + high) / 2
            run = _played(STROKES[code], self.table, middle, 0.0)
            if _rolled(run) > _lag_way(self.read[code][0], run):
                high = middle
            else:
                low = middle
        return (low + high) / 2 if low > 0.6 else LAG_PACE

    def table_at(self, at: np.ndarray) -> TableParameters:
        """Return the table with these unknowns."""
        return self.table.overridden(
            {name: float(value) for name, value in zip(self.names, at, strict=True) if name in FITTED}
        )

    def residuals(self, at: np.ndarray) -> np.ndarray:
        """Return fitted less read, and last the side's prior."""
        table, side = self.table_at(at), float(at[self.names.index("side")])
        found = []
        for code, read in self.read.items():
            found += _off(STROKES[code], read, table, self.pace(code, at), side)
        return np.array([*found, side / SIDE_PRIOR])

    def pace(self, code: str, at: np.ndarray) -> float:
        """Return how hard a stroke is struck [m/s]."""
        return float(at[self.names.index("pace") + self.lags.index(code)]) if code in self.lags else PACE

    def off(self, at: np.ndarray) -> dict[str, float]:
        """Return of each stroke the residual that is farthest off."""
        left = iter(self.residuals(at))
        return {
            code: max((float(next(left)) for _ in range(STROKES[code].fields)), key=abs) for code in self.read
        }

    def jacobian(self, at: np.ndarray) -> np.ndarray:
        """Return the slopes of the residuals, by differences to both sides, cut at the bounds."""
        low, high = self.bounds
        columns = []
        for which, step in enumerate(0.2 * self.steps):
            up, down = at.copy(), at.copy()
            up[which], down[which] = min(at[which] + step, high[which]), max(at[which] - step, low[which])
            columns.append((self.residuals(up) - self.residuals(down)) / (up[which] - down[which]))
        return np.array(columns).T

    def solved(self) -> Solution:
        """Return the least squares."""
        from scipy.optimize import least_squares

        done = least_squares(
            self.residuals,
            self.start(),
            jac=self.jacobian,
            bounds=self.bounds,
            x_scale=self.steps,
            xtol=1e-4,
            ftol=1e-5,
            max_nfev=20,
        )
        return Solution(self, done.x, done.fun, self.jacobian(done.x))


@dataclass(frozen=True)
class Solution:
    """Least squares: where, what is left, the slopes there."""

    problem: Problem
    at: np.ndarray
    left: np.ndarray
    slopes: np.ndarray

    @property
    def free(self) -> int:
        return max(len(self.left) - len(self.at), 1)

    @property
    def spread(self) -> float:
        """What is left over, in units of a careful reading."""
        return max(sqrt(float(self.left @ self.left) / self.free), LEAST_SPREAD)

    def hold(self, code: str) -> float:
        """Return how much of a stroke's fitted reading is its own doing, 0 to 1: its leverage."""
        scaled = self.slopes * self.problem.steps
        hat = np.einsum("ij,ji->i", scaled, np.linalg.pinv(scaled))
        rows = [one for one in self.problem.read for _ in range(STROKES[one].fields)]
        return min(max(float(hat[at]) for at, one in enumerate(rows) if one == code), 0.99)

    def doubt(self, code: str) -> float:
        """Return how uncertain a stroke is that was left out, read and foretold, in units of `spread`."""
        if STROKES[code].kind == LAG:
            # Foretold from the other lag alone: as uncertain again.
            return sqrt(2.0) if self.problem.lags else sqrt(1e3)
        one = Problem({code: (0.0,)}, self.problem.table)
        slope = np.zeros(len(self.at))
        shared = [self.problem.names.index(name) for name in one.names]
        slope[shared] = one.jacobian(self.at[shared])[0]
        scaled = self.slopes * self.problem.steps
        covariance = np.linalg.pinv(scaled.T @ scaled)
        slope = slope * self.problem.steps
        return sqrt(1.0 + float(slope @ covariance @ slope))

    def off_by(self, code: str, read: Sequence[float]) -> float:
        """Return how far off a stroke is that was left out, in units of a careful reading."""
        problem = self.problem
        side = float(self.at[problem.names.index("side")])
        table, stroke = problem.table_at(self.at), STROKES[code]
        if stroke.kind != LAG:
            return _off(stroke, read, table, PACE, side)[0]
        pace = Problem({code: read}, table).start()[-1]
        return max(_off(stroke, read, table, float(pace), side), key=abs)

    def told(self) -> Fitted:
        """Return what the solution says."""
        problem = self.problem
        halves = self._halves()
        values = {}
        for at, name in enumerate(problem.names):
            if name == "pace":
                break
            low, high = problem.bounds[0][at], problem.bounds[1][at]
            value, half = float(self.at[at]), float(halves[at])
            before = 0.0 if name == "side" else getattr(problem.table, name)
            values[name] = Value(
                name, value, max(value - half, float(low)), min(value + half, float(high)), before
            )
        side = values.pop("side")
        return Fitted(
            tuple(values.values()),
            side,
            self._left(),
            self.spread * READ,
            correction_of(tracks_of(problem.read)),
        )

    def _halves(self) -> np.ndarray:
        from scipy.stats import t

        steps = self.problem.steps
        scaled = self.slopes * steps
        sds = np.sqrt(np.diag(np.linalg.pinv(scaled.T @ scaled))) * steps * self.spread
        return np.asarray(sds * t.ppf((1 + CONFIDENCE) / 2, self.free))

    def _left(self) -> tuple[Left, ...]:
        found, at = [], 0
        for code, read in self.problem.read.items():
            for which, (value, unit) in enumerate(zip(read, (READ, WATCH), strict=False)):
                off = float(self.left[at]) * unit
                found.append(Left(code, value, value + off, -off, seconds=which == 1))
                at += 1
        return tuple(found)


def tracks_of(read: Readings) -> list[TrackNumber]:
    """Return the corner's tracks that were read."""
    found = []
    for code, (own, *_) in read.items():
        stroke = STROKES[code]
        if stroke.kind == TRACK and stroke.origin is not None and stroke.aim is not None:
            found.append(TrackNumber(code, stroke.origin, stroke.aim, stroke.origin - stroke.aim, own))
    return found


def readings_of(
    table: TableParameters, paces: Mapping[str, float], side: float = 0.0
) -> dict[str, list[float]]:
    """Return what a perfect reader would read of every stroke on a table; for trials of the fit.

    paces : of the lags [m/s]. Strokes whose ball never meets the rail are left out.
    """
    found = {}
    for code, stroke in STROKES.items():
        run = _played(stroke, table, paces.get(code, PACE), side)
        read = stroke.read(run) if stroke.contact else float(run.rest[1])
        if read is not None:
            found[code] = [read, _last_run(run)] if stroke.kind == LAG else [read]
    return found


def _played(stroke: TestStroke, table: TableParameters, pace: float, side: float) -> Run:
    return run_alone(stroke.start, stroke.strike(table, pace, side), table)


def _off(
    stroke: TestStroke, read: Sequence[float], table: TableParameters, pace: float, side: float
) -> list[float]:
    """Return fitted less read of a stroke, in units of a careful reading."""
    run = _played(stroke, table, pace, side)
    if stroke.kind == LAG:
        # A reading above is a shorter way: the ball comes back.
        return [
            (_lag_way(read[0], run) - _rolled(run)) / READ,
            (_last_run(run) - read[1]) / WATCH,
        ]
    came = stroke.read(run)
    return [(NEVER_MET if came is None else came - read[0]) / READ]


def _rolled(run: Run) -> float:
    """Return the way of a ball up and down the table [diamonds], with no step where it meets a rail."""
    ends = run.contacts[:, 3]
    marks = [1.0, *ends.tolist(), float(run.rest[1])]
    return float(np.abs(np.diff(marks)).sum())


def _lag_way(rest: float, run: Run) -> float:
    """Return the way of a lag that meets the top rail and comes to lie at `rest`."""
    top = float(run.contacts[0, 3]) if len(run.contacts) else 8.0
    return (top - 1.0) + (top - rest)


def _last_run(run: Run) -> float:
    """Return the seconds from the first cushion to rest."""
    return run.duration - float(run.contacts[0, 0]) if len(run.contacts) else 0.0
