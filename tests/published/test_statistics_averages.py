"""Averages and their intervals against values computed with exact fractions, SciPy and statsmodels."""

from fractions import Fraction
from math import log

import numpy as np
import pytest
from scipy import optimize, stats

from analytics.reports import averages, comparing, intervals
from scoring.rules.averages import shown
from tests.published.statistics import CHECKS, near


def text(fraction):
    return f"{fraction.numerator}/{fraction.denominator}"


def test_moving_average_computed_with_exact_fractions():
    case = CHECKS["moving_average"]
    matches = [tuple(match) for match in case["matches"]]
    found = averages.moving(matches, case["k"])
    assert [text(one) for one in found] == case["ratio_of_sums"]
    assert [shown(one.numerator, one.denominator) for one in found] == case["shown_trunc3"]
    last = [Fraction(*match) for match in matches[-case["k"] :] if match[1]]
    assert float(sum(last) / len(last)) != near(float(found[-1]))


def test_rank_exact_computed_with_exact_fractions():
    case = CHECKS["rank_exact"]
    pairs = [tuple(pair) for pair in case["pairs"]]
    assert averages.best_first(pairs) == [tuple(pair) for pair in case["order_best_first"]]
    assert averages.best(pairs) == tuple(case["order_best_first"][0])
    assert [shown(*pair) for pair in pairs] == case["shown_trunc3"]
    assert len({averages.general([tuple(pair)]) for pair in case["equal_pairs"][0]}) == 1


def profile(points, misses):
    """The profile-likelihood interval on a, by root finding."""

    def twice(p):
        return 2 * (points * log(p) + misses * log(1 - p))

    top = points / (points + misses)

    def out(p):
        return twice(top) - twice(p) - stats.chi2.ppf(0.95, 1)

    ends = optimize.brentq(out, 1e-9, top), optimize.brentq(out, top, 1 - 1e-9)
    return [p / (1 - p) for p in ends]


@pytest.mark.parametrize("case", CHECKS["average_interval_95"], ids=lambda c: f"{c['points']}-{c['misses']}")
def test_average_interval_computed_with_scipy(case):
    points, misses = case["points"], case["misses"]
    assert Fraction(points, misses) == Fraction(case["average"])
    exact = intervals.exact(points, misses, case["stopped"])
    assert [exact.low, exact.high] == near(case["exact"])
    jeffreys = intervals.jeffreys(points, misses)
    assert [jeffreys.low, jeffreys.high] == near(case["jeffreys"])
    if "profile" in case:
        assert profile(points, misses) == near(case["profile"], 1e-5)
    if points >= 30:
        assert [jeffreys.low, jeffreys.high] == pytest.approx(case["profile"], rel=0.02)


@pytest.mark.parametrize("stopped", ["innings", "race"])
def test_exact_interval_inverts_the_negative_binomial_of_scipy(stopped):
    """At each end the observed count has a tail of 2.5 %."""
    points, misses = 20, 25
    found = intervals.exact(points, misses, stopped)
    low, high = (a / (1 + a) for a in (found.low, found.high))
    if stopped == "innings":  # points before the last miss
        assert stats.nbinom(misses, 1 - low).sf(points - 1) == pytest.approx(0.025)
        assert stats.nbinom(misses, 1 - high).cdf(points) == pytest.approx(0.025)
    else:  # misses before the last point
        assert stats.nbinom(points, low).cdf(misses) == pytest.approx(0.025)
        assert stats.nbinom(points, high).sf(misses - 1) == pytest.approx(0.025)


@pytest.mark.parametrize("case", CHECKS["two_averages"], ids=lambda c: str(c["points"]))
def test_two_averages_computed_with_scipy(case):
    points, misses = case["points"], case["misses"]
    found = comparing.two_averages(points, misses)
    assert [found.p_low, found.p_high] == near([case["p_low"], case["p_high"]])
    assert [found.p_two, found.p_doubled] == near([case["p_two_min_likelihood"], case["p_two_doubled"]])
    assert found.ratio == pytest.approx(points[1] / misses[1] / (points[0] / misses[0]))
    # The likelihood ratio, by general means, agrees with the exact test in size.
    apart = sum(_loglik(s, m) for s, m in zip(points, misses, strict=True))
    ratio = 2 * (apart - _loglik(sum(points), sum(misses)))
    assert ratio == near(case["likelihood_ratio"])
    assert stats.chi2.sf(ratio, 1) == near(case["p_likelihood_ratio"])
    assert found.p_two == pytest.approx(case["p_likelihood_ratio"], rel=0.1)


def _loglik(points, misses):
    p = points / (points + misses)
    return points * log(p) + misses * log(1 - p)


@pytest.mark.parametrize("case", CHECKS["match_dispersion"], ids=lambda c: c["average"])
def test_match_dispersion_computed_with_scipy(case):
    found = intervals.over_matches(case["matches"])
    assert found.average == Fraction(case["average"])
    assert found.phi == near(case["phi"])
    assert [found.interval.low, found.interval.high] == near(case["interval95"])


def test_dispersion_of_runs_computed_with_numpy():
    case = CHECKS["dispersion"]
    found = intervals.dispersion(case["runs"])
    assert found.average == Fraction(case["average"])
    assert [found.variance, found.phi] == near([case["variance_n_minus_1"], case["phi"]])
    assert found.variance == pytest.approx(np.var(case["runs"], ddof=1))


def test_bootstrap_of_innings_computed_with_a_million_resamples():
    case = CHECKS["bootstrap_innings"]
    found = intervals.bootstrap_innings(case["runs"], draws=20_000, seed=1)
    assert [found.low, found.high] == pytest.approx(case["percentile95"], abs=case["tolerance"])
    again = stats.bootstrap((case["runs"],), np.mean, method="percentile", n_resamples=2_000, rng=2)
    ends = [again.confidence_interval.low, again.confidence_interval.high]
    assert [found.low, found.high] == pytest.approx(ends, abs=case["tolerance"])


@pytest.mark.parametrize("case", CHECKS["race_average_bias"], ids=lambda c: str(c["distance"]))
def test_race_average_bias_derived_and_computed(case):
    found = averages.race_bias(case["distance"], float(Fraction(case["p"])))
    assert found.points_per_miss == near(float(Fraction(case["true_points_per_miss"])))
    assert found.match_average == near(case["expected_match_average"])
    assert found.points_over_innings == near(float(Fraction(case["points_over_expected_innings"])))
    # By summing the law itself: misses before the last point are negative binomial.
    n = np.arange(400)
    law = stats.nbinom(case["distance"], float(Fraction(case["p"]))).pmf(n)
    assert found.match_average == near((law * case["distance"] / (n + 1)).sum())


@pytest.mark.parametrize(
    ("first", "second", "about"), [(0.5, 0.6, 1340), (0.8, 1.0, 670)], ids=["0.5-0.6", "0.8-1.0"]
)
def test_innings_to_tell_two_averages_apart_derived(first, second, about):
    """Derived from the variance of log a, no published source."""
    assert comparing.innings_to_tell(first, second) == pytest.approx(about, rel=0.03)
    power = _power(first, second, comparing.innings_to_tell(first, second))
    assert power == pytest.approx(0.8, abs=0.04)


def _power(first, second, innings, draws=1500):
    rng = np.random.default_rng(5)
    points = [rng.negative_binomial(innings, 1 / (1 + a), draws) for a in (first, second)]
    law = stats.betabinom
    total = points[0] + points[1]
    low, high = law.cdf(points[0], total, innings, innings), law.sf(points[0] - 1, total, innings, innings)
    return float((2 * np.minimum(low, high) < 0.05).mean())
