"""Strength and plausibility against SciPy; the example of Glicko-2 and the curve of Elo as yardsticks.

Results rate players at equal distances only; runs tell more, so the product rates by runs. The two
ratings by results are written out here, checked, and used for nothing else.
"""

from fractions import Fraction
from math import exp, log, pi, sqrt

import numpy as np
import pytest
from scipy import integrate, optimize, stats

from analytics.reports import plausible, strength
from tests.published.statistics import CHECKS, near


def test_form_weighted_computed_with_scipy():
    case = CHECKS["form_weighted"]
    found = strength.form_weighted(case["matches"], case["half_life_days"], tuple(case["prior"]))
    ages = [age for _, _, age in case["matches"]]
    assert list(strength.weights(ages, case["half_life_days"])) == near(case["weights"])
    assert [found.a, found.b, found.average] == near([case["a"], case["b"], case["form_average"]])
    assert [found.interval.low, found.interval.high] == near(case["interval90"])
    # a = p/(1-p) of a beta law is a beta prime law.
    law = stats.betaprime(found.a, found.b)
    assert [found.interval.low, found.interval.high] == near(list(law.ppf([0.05, 0.95])))


@pytest.mark.parametrize("case", CHECKS["run_plausibility"], ids=lambda c: f"{c['run']}-in-{c['innings']}")
def test_run_plausibility_computed_with_scipy(case):
    points, misses, run, innings = (case[name] for name in ("points", "misses", "run", "innings"))
    past = plausible.Past(points, misses)
    assert plausible.run_in_one(past, run) == near(case["predictive_one_inning"])
    assert plausible.run_on_sheet(past, run, innings) == near(case["predictive_in_n"])
    law = stats.beta(points + 0.5, misses + 0.5)
    again = integrate.quad(
        lambda p: law.pdf(p) * -np.expm1(innings * np.log1p(-(p**run))), 0, 1, points=[0.3, 0.5], epsabs=0
    )
    assert plausible.run_on_sheet(past, run, innings) == pytest.approx(again[0], rel=1e-5)
    # Taking p at its word makes long runs far too unlikely.
    p = points / (points + misses)
    assert [p**run, -np.expm1(innings * np.log1p(-(p**run)))] == near(
        [case["plug_in_one_inning"], case["plug_in_in_n"]]
    )
    assert plausible.run_on_sheet(past, run, innings) > case["plug_in_in_n"]


@pytest.mark.parametrize(
    ("points", "misses", "total", "innings"),
    [(60, 200, 30, 30), (0, 0, 5, 3), (0, 10, 9, 20), (400, 500, 40, 20)],
)
def test_match_total_beside_the_beta_negative_binomial_law_of_scipy(points, misses, total, innings):
    found = plausible.total_on_sheet(plausible.Past(points, misses), total, innings)
    law = stats.betanbinom(innings, misses + 0.5, points + 0.5)
    assert found == pytest.approx(law.sf(total - 1), rel=1e-5)


@pytest.mark.parametrize("case", CHECKS["duplicate_sheet"], ids=lambda c: str(c["innings"][0]))
def test_duplicate_sheet_computed_with_fractions(case):
    p = [Fraction(one) for one in case["p"]]
    assert plausible.same_sheet(tuple(map(float, p)), tuple(case["innings"])) == near(case["same_sheet"])
    one = (1 - p[0]) / (1 + p[0])
    assert one == Fraction(case["one_player"])
    law = stats.geom(float(1 - p[0]), loc=-1).pmf(np.arange(200))
    assert float(one) == pytest.approx((law**2).sum())


def test_drift_beside_a_simulated_motion():
    """Computed with 4,000 walks of 1,000 steps; a walk in steps strays a little less than a motion."""
    walks = np.random.default_rng(7).standard_normal((4_000, 1_000)).cumsum(axis=1) / sqrt(1_000)
    furthest = np.abs(walks).max(axis=1)
    for x in (1.2, 1.96, 2.8):
        assert plausible._stray(x) == pytest.approx((furthest >= x).mean(), abs=0.03)
    # Near the end only one of both borders counts: four tails of the normal law.
    assert plausible._stray(3.5) == pytest.approx(4 * stats.norm.sf(3.5), rel=1e-3)


def glicko2(r, rd, sigma, tau, games):
    """One rating period. M. Glickman, Example of the Glicko-2 system (glicko.net), from memory."""
    scale = 173.7178
    mu, phi = (r - 1500) / scale, rd / scale

    def g(other):
        return 1 / sqrt(1 + 3 * other**2 / pi**2)

    terms = []
    for rating, deviation, score in games:
        weight = g(deviation / scale)
        expected = 1 / (1 + exp(-weight * (mu - (rating - 1500) / scale)))
        terms.append((weight, expected, score))
    v = 1 / sum(w * w * e * (1 - e) for w, e, _ in terms)
    delta = v * sum(w * (s - e) for w, e, s in terms)

    def f(x):
        ex = exp(x)
        spread = phi**2 + v + ex
        return ex * (delta**2 - spread) / (2 * spread**2) - (x - log(sigma**2)) / tau**2

    new_sigma = exp(optimize.brentq(f, log(sigma**2) - 5, log(sigma**2) + 5, xtol=1e-14) / 2)
    new_phi = 1 / sqrt(1 / (phi**2 + new_sigma**2) + 1 / v)
    new_mu = mu + new_phi**2 * sum(w * (s - e) for w, e, s in terms)
    return 1500 + scale * new_mu, scale * new_phi, new_sigma


def test_glicko_2_example_from_memory():
    """The published figures carry the rounding of the steps between; the exact ones are computed."""
    case = CHECKS["glicko2"]["values"]
    given = case["input"]
    found = glicko2(given["r"], given["RD"], given["sigma"], given["tau"], given["opp"])
    assert list(found) == pytest.approx(list(case["exact"].values()), rel=1e-6)
    published = case["published_from_memory"]
    assert list(found) == pytest.approx(list(published.values()), abs=0.02)


@pytest.mark.parametrize(("apart", "expected"), CHECKS["elo_expected"]["values"].items())
def test_elo_expected_score_from_memory(apart, expected):
    """The logistic curve, from memory; 400 points apart are ten to one."""
    assert 1 / (1 + 10 ** (-int(apart) / 400)) == near(expected)
    assert stats.logistic(scale=400 / log(10)).cdf(int(apart)) == near(expected)
