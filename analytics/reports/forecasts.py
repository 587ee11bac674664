"""What is to be expected of a match when the averages themselves are known badly.

The average of each player is a range, form moves from day to day, and the chance is therefore a
range as well. The chance to be told is the mean over both; the range comes from the averages alone,
because nobody knows the form of the day.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from .common import OF_RATES, Floats, Interval, tails
from .race_formats import match_grid
from .races import AS_ANY, START, Chances, Opening, Rules, Score

# Averages of equal weight that stand for what is known of each player.
POINTS = 60
# Days of form (nodes of Gauss and Hermite) for each of them.
DAYS = 5

Lag = Literal["even", "first", "second"]


@dataclass(frozen=True)
class Knowledge:
    """What is known of a success rate: Beta(a, b), and how far form moves it from match to match.

    form_sd : standard deviation of logit p, which is also that of the logarithm of a, between matches.
    observed : points per stroke as counted, where the mean of the law is not to be taken for it.
    """

    a: float
    b: float
    form_sd: float = 0.0
    observed: float | None = None

    @property
    def p(self) -> float:
        """The success rate taken at its word: as counted, else a / (a + b)."""
        return self.a / (self.a + self.b) if self.observed is None else self.observed


def jeffreys_knowledge(points: int, misses: int, form_sd: float = 0.0) -> Knowledge:
    """Return what S points and M misses tell of a success rate, Beta(S+1/2, M+1/2)."""
    if min(points, misses) < 0:
        raise ValueError((points, misses))
    observed = points / (points + misses) if points and misses else None
    return Knowledge(points + 0.5, misses + 0.5, form_sd, observed)


@dataclass(frozen=True)
class Forecast:
    """A match between two, told of the first named.

    plug_in : his chance, a draw as half, where the averages are taken at their word. chances : the
    means of winning, drawing and losing. mean, interval : of his chance with a draw as half.
    """

    plug_in: float
    chances: Chances
    mean: float
    interval: Interval


def forecast(
    first: Knowledge,
    second: Knowledge,
    rules: Rules,
    lag: Lag = "even",
    score: Score = START,
    opening: Opening = AS_ANY,
    level: float = OF_RATES,
    points: int = POINTS,
) -> Forecast:
    """Return the chances of the first named player as a range.

    rules : distances in the order of the players named. lag : who starts; "even" is not known yet,
    each with half the weight. score : in the order of starter and second player, for a lag that is
    decided. opening : success of an opening stroke, in the order named. points : averages that
    stand for what is known of each. Raises ValueError for counts of 0, or a score where the lag is open.
    """
    if min(first.a, first.b, second.a, second.b) <= 0.0:
        raise ValueError((first, second))
    if lag == "even" and score != START:
        raise ValueError("a match under way has a starter")
    known = [_days(one, points) for one in (first, second)]
    taken = _both(np.array([first.p]), np.array([second.p]), rules, lag, score, opening)
    found = _both(known[0].ravel(), known[1].ravel(), rules, lag, score, opening)
    weights = [_day_weights(one) for one in known]
    # Form of the day is averaged out; what stays differs by what is not known of the averages.
    shape = (known[0].shape[0], len(weights[0]), known[1].shape[0], len(weights[1]))
    won, drawn = (np.einsum("idje,d,e->ij", part.reshape(shape), *weights) for part in found)
    means = float(won.mean()), float(drawn.mean())
    even = np.clip(won + drawn / 2.0, 0.0, 1.0)
    low, high = (float(end) for end in np.quantile(even, tails(level)))
    return Forecast(
        float((taken[0] + taken[1] / 2.0)[0, 0]),
        Chances(means[0], means[1], 1.0 - means[0] - means[1]),
        float(even.mean()),
        Interval(low, high, level),
    )


def _days(known: Knowledge, points: int) -> Floats:
    """Return success rates: averages of equal weight (rows) on days of form (columns)."""
    from scipy.special import betaincinv, expit, logit

    if known.form_sd <= 0.0:
        return np.asarray(betaincinv(known.a, known.b, (np.arange(points) + 0.5) / points))[:, None]
    nodes = np.polynomial.hermite_e.hermegauss(DAYS)[0]
    # The form of the day costs a table seven times seven as large: half the averages will do.
    share = (np.arange(points // 2) + 0.5) / (points // 2)
    middle = logit(np.clip(betaincinv(known.a, known.b, share), 1e-9, 1.0 - 1e-9))
    return np.asarray(expit(middle[:, None] + known.form_sd * nodes[None, :]))


def _day_weights(known: Floats) -> Floats:
    if known.shape[1] == 1:
        return np.ones(1)
    weights = np.polynomial.hermite_e.hermegauss(DAYS)[1]
    return np.asarray(weights / weights.sum())


def _both(
    first: Floats, second: Floats, rules: Rules, lag: Lag, score: Score, opening: Opening
) -> tuple[Floats, Floats]:
    """Return the chances that the first named wins, and that nobody does, as the lag may go."""
    won, drawn = [], []
    if lag in ("even", "first"):
        found = match_grid(first, second, rules, score, opening)
        won.append(found.starter)
        drawn.append(found.draw)
    if lag in ("even", "second"):
        found = match_grid(second, first, rules.turned(), score, opening[::-1])
        won.append(found.second.T)
        drawn.append(found.draw.T)
    return sum(won[1:], won[0]) / len(won), sum(drawn[1:], drawn[0]) / len(drawn)
