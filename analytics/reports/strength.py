"""How strong a player is now, from runs and not from results.

Runs tell two or three times as much as results do, and a handicap hides nothing of them. Older
matches weigh less; how far form moves from match to match goes on into the forecast of a race.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, sqrt

import numpy as np

from .common import OF_RATES, Floats, Interval, floats, tails
from .forecasts import Knowledge
from .intervals import LEAST_MATCHES, over_matches

# A match weighs half after so many days, until the matches themselves choose better.
HALF_LIFE = 180.0
HALF_LIVES = (45.0, 90.0, 180.0, 360.0, 720.0, inf)
# Another half-life must explain the matches better than 180 days by so much, in logs.
WORTH_CHANGING = 2.0
# What the club's average weighs beside a player's own strokes: a guess.
CLUB_STROKES = 32.0
# What the club's form weighs beside a player's own, in matches: a guess.
CLUB_MATCHES = 10


@dataclass(frozen=True)
class Rating:
    """A form-weighted success rate, Beta(a, b), as points per miss with its interval.

    phi : dispersion of the matches, 1 at constant form and where it cannot be told; the interval is
    as wide as constant form would have it, `knowledge` is widened by phi. form_sd : of log a, between matches.
    """

    a: float
    b: float
    prior: tuple[float, float]
    interval: Interval
    phi: float
    form_sd: float

    @property
    def average(self) -> float:
        """Points per miss."""
        return self.a / self.b

    @property
    def knowledge(self) -> Knowledge:
        """What goes into a race: counts as far as form lets them be believed, and the form itself."""
        spread = max(1.0, self.phi)
        a, b = (
            before + (after - before) / spread
            for before, after in zip(self.prior, (self.a, self.b), strict=True)
        )
        return Knowledge(a, b, self.form_sd, self.a / (self.a + self.b))


def weights(ages: Sequence[float], half_life: float = HALF_LIFE) -> Floats:
    """Return 2^(-age / half-life) for ages in days. Raises ValueError for a half-life of 0 or less."""
    if not half_life > 0.0:
        raise ValueError(half_life)
    return np.asarray(np.exp2(-floats(ages) / half_life))


def club_prior(points: int, misses: int, strokes: float = CLUB_STROKES) -> tuple[float, float]:
    """Return what is believed of a player before any stroke: the club's rate, worth so many strokes."""
    share = (points + 0.5) / (points + misses + 1.0)
    return share * strokes, (1.0 - share) * strokes


def form_weighted(
    matches: Sequence[tuple[int, int, float]],
    half_life: float = HALF_LIFE,
    prior: tuple[float, float] = (0.5, 0.5),
    club_form: float | None = None,
    level: float = OF_RATES,
) -> Rating:
    """Return Beta(a0 + sum w S, b0 + sum w M) from matches of (points, misses, age in days).

    prior : see `club_prior`; club_form : the club's `pooled_form`. Raises ValueError for a prior of
    0 or less, or counts below 0.
    """
    from scipy.special import betaincinv

    table = floats(matches).reshape(-1, 3)
    if min(prior) <= 0.0 or (table[:, :2] < 0.0).any():
        raise ValueError((prior, matches))
    weighed = weights(table[:, 2].tolist(), half_life) @ table[:, :2]
    a, b = prior[0] + float(weighed[0]), prior[1] + float(weighed[1])
    ends = [float(betaincinv(a, b, tail)) for tail in tails(level)]
    low, high = (end / (1.0 - end) if end < 1.0 else inf for end in ends)
    phi, own = _form([(int(made), int(missed)) for made, missed, _ in table])
    return Rating(a, b, prior, Interval(low, high, level), phi, shrunk_form(own, club_form))


@dataclass(frozen=True)
class Form:
    """How far form moves a player's matches, as a variance of log a, and the degrees of freedom behind it.

    Below 0 where the matches lie closer together than constant form would have them.
    """

    variance: float
    freedom: int


def form(matches: Sequence[tuple[int, int]]) -> Form | None:
    """Return how far form moves from match to match, by moments; None below six matches.

    A match of M misses strays from a M by M a (1+a) at constant form, and by (M a)^2 times the variance
    of log a more where form moves: variance = (phi - 1)(1 + a) / (a M), M the mean of the misses.
    """
    told = [match for match in matches if match[1] > 0]
    if len(told) < LEAST_MATCHES or not any(made for made, _ in told):
        return None
    found = over_matches(told)
    a, misses = float(found.average), sum(missed for _, missed in told) / len(told)
    return Form((found.phi - 1.0) * (1.0 + a) / (a * misses), len(told) - 1)


def pooled_form(players: Sequence[Sequence[tuple[int, int]]]) -> float | None:
    """Return the standard deviation of log a between matches, all players together; None without any."""
    found = [one for one in map(form, players) if one is not None]
    freedom = sum(one.freedom for one in found)
    if not freedom:
        return None
    return sqrt(max(0.0, sum(one.variance * one.freedom for one in found) / freedom))


def shrunk_form(own: Form | None, club: float | None) -> float:
    """Return a player's standard deviation of form, drawn towards the club's; 0 where neither is known."""
    if own is None:
        return club or 0.0
    if club is None:
        return sqrt(max(0.0, own.variance))
    weight = own.freedom + CLUB_MATCHES
    return sqrt(max(0.0, (own.variance * own.freedom + club**2 * CLUB_MATCHES) / weight))


def _form(matches: Sequence[tuple[int, int]]) -> tuple[float, Form | None]:
    found = form(matches)
    if found is None:
        return 1.0, None
    return over_matches([match for match in matches if match[1] > 0]).phi, found


@dataclass(frozen=True)
class HalfLife:
    """The half-life that foretells the next match best, in days, and every candidate's score.

    scores : logarithms of what each made of the matches that followed, summed; nearer 0 is better.
    """

    days: float
    scores: tuple[tuple[float, float], ...]
    matches: int


def choose_half_life(
    players: Sequence[Sequence[tuple[int, int, float]]],
    prior: tuple[float, float],
    candidates: Sequence[float] = HALF_LIVES,
) -> HalfLife:
    """Return the half-life by one-step log score: each match foretold from those before it.

    players : matches of (points, misses, day) of each player, in order. 180 days stay unless another
    is better by 2. Raises ValueError for a prior of 0 or less.
    """
    if min(prior) <= 0.0:
        raise ValueError(prior)
    tables = [table for table in (floats(one).reshape(-1, 3) for one in players) if len(table) > 1]
    scores = [(days, sum(_foretold(table, days, prior) for table in tables)) for days in candidates]
    best = max(scores, key=lambda one: one[1], default=(HALF_LIFE, 0.0))
    started = dict(scores).get(HALF_LIFE, -inf)
    chosen = best[0] if best[1] > started + WORTH_CHANGING else HALF_LIFE
    return HalfLife(chosen, tuple(scores), sum(len(table) - 1 for table in tables))


def _foretold(table: Floats, half_life: float, prior: tuple[float, float]) -> float:
    """Return the log score of a player's matches but the first: beta-negative-binomial points."""
    from scipy.special import betaln, gammaln

    ages = np.maximum(0.0, table[:, None, 2] - table[None, :, 2])
    earlier = np.tril(np.exp2(-ages / half_life), -1) @ table[:, :2]
    a, b = prior[0] + earlier[1:, 0], prior[1] + earlier[1:, 1]
    points, misses = table[1:, 0], table[1:, 1]
    told = misses > 0
    a, b, points, misses = a[told], b[told], points[told], misses[told]
    ways = gammaln(points + misses) - gammaln(points + 1.0) - gammaln(misses)
    return float((ways + betaln(a + points, b + misses) - betaln(a, b)).sum())
