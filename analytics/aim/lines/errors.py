"""Execution error: how far strokes stray from their plan.

Four independent normal errors. Their sizes at spread 1.0 were found by search so that the
best line of random layouts makes the point half of the time; they were not measured on people.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from analytics.table.shots import MISCUE, MOST_SPEED

PARTS = ("direction", "speed", "side", "height")
# Degrees, share of the speed, ball radii, ball radii.
SIGMAS = np.array([0.43, 0.086, 0.065, 0.065])
LEAST_SPREAD, MOST_SPREAD = 0.2, 5.0
# A hand that means to strike does not stop short of the ball.
LEAST_SPEED = 0.05


@cache
def uniforms(n: int, stream: int) -> np.ndarray:
    """Return n scrambled Sobol points in four dimensions, shape (n, 4), read-only.

    stream : a seed; the same one gives the same points for ever.
    """
    from scipy.stats import qmc  # takes long to load, and most processes never search

    whole = 1 << max(0, n - 1).bit_length()
    points = qmc.Sobol(4, scramble=True, rng=np.random.default_rng(stream)).random(whole)[:n]
    points.setflags(write=False)
    return points


@cache
def normals(n: int, stream: int) -> np.ndarray:
    """Return n standard normal errors of the four parts, shape (n, 4), read-only."""
    from scipy.special import ndtri

    least = 2.0**-40
    errors: np.ndarray = ndtri(np.clip(uniforms(n, stream), least, 1 - least))
    errors.setflags(write=False)
    return errors


def turned(n: int, stream: int, turn: np.ndarray) -> np.ndarray:
    """Return n standard normal errors whose points are all moved round by the same turn, shape (n, 4).

    turn : four numbers from 0 to 1. Points as even as those of the stream, but other ones: what is
    measured with different turns errs independently.
    """
    from scipy.special import ndtri

    least = 2.0**-40
    moved = (uniforms(n, stream) + turn) % 1.0
    errors: np.ndarray = ndtri(np.clip(moved, least, 1 - least))
    return errors


def executed(strikes: np.ndarray, errors: np.ndarray, spread: float) -> tuple[np.ndarray, np.ndarray]:
    """Return what becomes of each plan under each error, and which of them meet the ball soundly.

    Parameters
    ----------
    strikes : direction [deg], speed [m/s], side, height [radii], shape (k, 4).
    errors : standard normal, shape (n, 4). spread : scale of all four.

    Returns
    -------
    strikes of shape (k, n, 4), and False, shape (k, n), where the tip slips off the ball: a miss.
    """
    strayed = errors * (SIGMAS * spread)
    done = np.repeat(strikes[:, None, :], len(errors), axis=1)
    done[:, :, 0] += strayed[:, 0]
    done[:, :, 1] *= 1 + strayed[:, 1]
    np.clip(done[:, :, 1], LEAST_SPEED, MOST_SPEED, out=done[:, :, 1])
    done[:, :, 2:] += strayed[:, 2:]
    return done, np.hypot(done[:, :, 2], done[:, :, 3]) <= MISCUE
