"""Rates of few attempts, drawn towards what is known of the player and of the club.

A family's prior mean is the club's rate in it, moved by as many log-odds as the player stands
above the club. How much it weighs, M0 attempts, comes from how far players of the club differ,
averaged over a grid: the likelihood alone can run to infinity in a small club (derived here).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

import numpy as np
from numpy.typing import ArrayLike

from .common import OF_RATES, Floats, Interval, tails

MU_GRID = np.arange(1, 200) * 0.005
M0_GRID = np.geomspace(4.0, 1024.0, 25)
# With fewer than 5 players of 10 attempts the weight is a guess.
LEAST_PLAYERS = 5
LEAST_ATTEMPTS = 10
GUESSED = 40.0
# Halvings of 0 to 1: closer than any figure is shown.
HALVINGS = 40


@dataclass(frozen=True)
class Weight:
    """How many attempts a prior is worth: values of M0, and the chance of each."""

    m0: tuple[float, ...]
    chance: tuple[float, ...]

    @property
    def mean(self) -> float:
        """The mean of M0."""
        return float(np.dot(self.m0, self.chance))


A_GUESS = Weight((GUESSED,), (1.0,))


@dataclass(frozen=True)
class Fit:
    """Players of a club in one family: their mean rate mu, how alike they are, each one's rate shrunk."""

    mu: float
    weight: Weight
    shrunk: tuple[float, ...]


def fit(points: ArrayLike, attempts: ArrayLike) -> Fit:
    """Return the beta-binomial of a group, averaged over a grid of (mu, M0).

    points, attempts : (players,) counts. mu uniform on .005 ... .995, M0 on 25 values from 4 to
    1024 even in logs. Raises ValueError without players, or with more points than attempts.
    """
    from scipy.special import gammaln

    made, tried = _counts(points, attempts)
    if made.ndim != 1 or made.size == 0:
        raise ValueError("players are needed")
    a, b = MU_GRID[:, None] * M0_GRID, (1.0 - MU_GRID)[:, None] * M0_GRID
    pairs, times = np.unique(np.stack([made, tried], axis=1), axis=0, return_counts=True)
    logs = made.size * (gammaln(M0_GRID) - gammaln(a) - gammaln(b))
    for (x, n), count in zip(pairs, times, strict=True):
        logs += count * (gammaln(a + x) + gammaln(b + (n - x)) - gammaln(M0_GRID + n))
    chance = np.exp(logs - logs.max())
    chance /= chance.sum()
    of_m0 = chance.sum(axis=0)
    # The mean of mu at each M0 is all that the shrunken rates, linear in mu, need.
    mu_at = MU_GRID @ chance
    shrunk = (made[:, None] * of_m0 + mu_at * M0_GRID) / (tried[:, None] + M0_GRID)
    return Fit(float(mu_at.sum()), Weight(_tuple(M0_GRID), _tuple(of_m0)), _tuple(shrunk.sum(axis=1)))


@dataclass(frozen=True)
class Club:
    """What a club knows: its rate in all, and per family its rate and how much a prior weighs.

    A family that nobody tried has the rate in all. Worth keeping for a day: it changes slowly.
    """

    rate: float
    rates: tuple[float, ...]
    weights: tuple[Weight, ...]


def club(points: ArrayLike, attempts: ArrayLike) -> Club:
    """Return what a club knows from counts of (players, families).

    With fewer than 5 players of 10 attempts in a family its prior weighs 40, a guess. Raises
    ValueError with more points than attempts.
    """
    made, tried = _counts(points, attempts)
    if made.ndim != 2:
        raise ValueError("a row for each player, a column for each family")
    rate = _rate(made.sum(), tried.sum())
    rates, weights = [], []
    for x, n in zip(made.T, tried.T, strict=True):
        rates.append(_rate(x.sum(), n.sum()) if n.sum() else rate)
        known = int((n >= LEAST_ATTEMPTS).sum()) >= LEAST_PLAYERS
        weights.append(fit(x[n > 0], n[n > 0]).weight if known else A_GUESS)
    return Club(rate, tuple(rates), tuple(weights))


def prior_mean(club_family: float, player: float, club_overall: float) -> float:
    """Return the prior mean of a player's family: logit club family + logit player - logit club."""
    odds = _logit(club_family) + _logit(player) - _logit(club_overall)
    return 1.0 / (1.0 + exp(-odds))


@dataclass(frozen=True)
class Shrunk:
    """A rate after shrinking, its interval, and what it was drawn towards."""

    rate: float
    interval: Interval
    prior: float
    weight: float


def shrunk(points: int, attempts: int, prior: float, weight: Weight, level: float = OF_RATES) -> Shrunk:
    """Return the posterior of a rate: Beta(x + mu M0, n - x + (1-mu) M0), averaged over M0.

    Raises ValueError for counts that cannot be, or a prior mean outside 0 to 1.
    """
    from scipy.special import betainc

    if not 0.0 < prior < 1.0 or not 0 <= points <= attempts:
        raise ValueError((points, attempts, prior))
    m0, chance = np.array(weight.m0), np.array(weight.chance)
    a, b = points + prior * m0, attempts - points + (1.0 - prior) * m0
    asked = np.array(tails(level))
    low, high = np.zeros(2), np.ones(2)
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        under = betainc(a, b, middle[:, None]) @ chance < asked
        low, high = np.where(under, middle, low), np.where(under, high, middle)
    ends = (low + high) / 2.0
    rate = float((a / (a + b)) @ chance)
    return Shrunk(rate, Interval(float(ends[0]), float(ends[1]), level), prior, weight.mean)


def smoothed(points: int, attempts: int) -> float:
    """Return (x + 1/2) / (n + 1): a rate that is never 0 or 1."""
    return (points + 0.5) / (attempts + 1.0)


def _rate(points: float, attempts: float) -> float:
    """The plain rate, smoothed only where its log-odds would be infinite."""
    plain = 0 < points < attempts
    return float(points / attempts) if plain else smoothed(int(points), int(attempts))


def _counts(points: ArrayLike, attempts: ArrayLike) -> tuple[Floats, Floats]:
    made, tried = np.asarray(points, dtype=float), np.asarray(attempts, dtype=float)
    if made.shape != tried.shape or (made < 0).any() or (made > tried).any():
        raise ValueError("no more points than attempts, and as many of both")
    return made, tried


def _logit(p: float) -> float:
    if not 0.0 < p < 1.0:
        raise ValueError(p)
    return log(p / (1.0 - p))


def _tuple(values: Floats) -> tuple[float, ...]:
    return tuple(values.tolist())
