"""Intervals of averages, rates and offsets: how often each holds the truth it promises to hold.

Averages: a player of a = 0.8 per miss in matches of 25 innings, whose form moves from match to match
by an sd in the log-odds; the truth is the mean over all matches to come. Rates: one family of a
player, Wilson's interval and the one shrunk towards a club of ten whose rates differ. Offsets: the
log-odds of a family against its promises.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from analytics.reports.averages import Sheet
from analytics.reports.intervals import (
    LEAST_FOR_BOOTSTRAP,
    bootstrap_matches,
    estimate,
    exact,
    over_matches,
)
from analytics.reports.offsets import offset
from analytics.reports.rates import wilson
from analytics.reports.shrinking import fit, shrunk
from tests.studies.study import Row, play, share

AVERAGE, INNINGS = 0.8, 25
FORMS = (0.0, 0.2, 0.35, 0.5)
MATCHES = (4, 8, 15, 30)
ATTEMPTS = (20, 50, 100, 400)
OFFSETS = (0.0, 0.3, -0.6)


def study(runs: int, seed: int) -> Iterator[Row]:
    rng = np.random.default_rng(seed)
    for form in FORMS:
        for matches in MATCHES:
            yield _averages(form, matches, runs, rng)
    for attempts in ATTEMPTS:
        yield _rates(attempts, runs, rng)
    for true in OFFSETS:
        for attempts in ATTEMPTS:
            yield _offsets(true, attempts, runs, rng)


def _averages(form: float, matches: int, runs: int, rng: np.random.Generator) -> Row:
    middle = np.log(AVERAGE)
    # Points per miss is the mean of exp(log-odds): all matches have as many misses.
    truth = AVERAGE * np.exp(form**2 / 2.0)
    held: dict[str, list[bool]] = {"default": [], "exact": [], "over_matches": [], "bootstrap": []}
    wide = []
    for run in range(runs):
        a = np.exp(rng.normal(middle, form, matches))
        points = rng.negative_binomial(INNINGS, 1.0 / (1.0 + a))
        pairs = [(int(one), INNINGS) for one in points]
        found = estimate([Sheet(one, INNINGS, INNINGS) for one, _ in pairs]).interval
        if found is None or not points.sum():
            continue
        held["default"].append(found.holds(truth))
        wide.append(np.log(found.high / max(found.low, 1e-9)) / 2.0)
        held["exact"].append(exact(int(points.sum()), matches * INNINGS).holds(truth))
        held["over_matches"].append(over_matches(pairs).interval.holds(truth))
        if matches >= LEAST_FOR_BOOTSTRAP:
            held["bootstrap"].append(bootstrap_matches(pairs, draws=499, seed=run).holds(truth))
    row: Row = {"figure": "average, 95 %", "form_sd": form, "matches": matches}
    row |= {name: share(np.array(one)) for name, one in held.items() if one}
    return row | {"half_width_log": round(float(np.median(wide)), 3)}


def _rates(attempts: int, runs: int, rng: np.random.Generator) -> Row:
    plain, drawn, closer = [], [], []
    for _ in range(runs):
        rates = rng.beta(0.4 * 40, 0.6 * 40, 10)
        tries = np.r_[attempts, np.full(9, 100)]
        points = rng.binomial(tries, rates)
        club = fit(points[1:], tries[1:])
        one = shrunk(int(points[0]), attempts, club.mu, club.weight)
        plain.append(wilson(int(points[0]), attempts).holds(rates[0]))
        drawn.append(one.interval.holds(rates[0]))
        closer.append(abs(one.rate - rates[0]) < abs(points[0] / attempts - rates[0]))
    return {
        "figure": "rate, 90 %",
        "attempts": attempts,
        "wilson": share(np.array(plain)),
        "shrunken": share(np.array(drawn)),
        "shrunken_closer": share(np.array(closer)),
    }


def _offsets(true: float, attempts: int, runs: int, rng: np.random.Generator) -> Row:
    held, positive = [], []
    for _ in range(runs):
        p = rng.beta(2.0, 2.6, attempts)
        o = rng.random(attempts) < 1.0 / (1.0 + np.exp(-true) * (1.0 / p - 1.0))
        found = offset(np.clip(p, 5e-4, 1 - 5e-4), o.astype(float))
        held.append(found.interval.holds(true))
        positive.append(found.positive > 0.95)
    return {
        "figure": "offset, 90 %",
        "offset": true,
        "attempts": attempts,
        "holds": share(np.array(held)),
        "very_likely_above_0": share(np.array(positive)),
    }


if __name__ == "__main__":
    play("interval_coverage", __doc__ or "", study, runs=1_000)
