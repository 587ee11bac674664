"""Rates, shrinkage and offsets: values computed with SciPy and statsmodels, cases of published papers.

R. Newcombe, Statistics in Medicine 17 (1998) 857-872: the cases; the values computed.
B. Efron, C. Morris: batting averages of 1970, from memory; the estimates computed.
All else computed, no published source.
"""

import numpy as np
import pytest
from scipy import optimize, stats

from analytics.reports import offsets, shrinking
from analytics.reports.rates import wilson
from tests.published.statistics import CHECKS, near


@pytest.mark.parametrize(
    ("asked", "case"), CHECKS["intervals_newcombe_1998_cases"]["values"].items(), ids=lambda c: str(c)[:6]
)
def test_wilson_on_cases_of_newcombe_1998(asked, case):
    points, attempts = (int(part) for part in asked.split("/"))
    found = wilson(points, attempts, 0.95)
    assert [found.low, found.high] == near(case["wilson"])
    test = stats.binomtest(points, attempts)
    for method, key in (("wilson", "wilson"), ("wilsoncc", "wilson_cc"), ("exact", "clopper_pearson")):
        theirs = test.proportion_ci(0.95, method)
        assert [theirs.low, theirs.high] == near(case[key])


@pytest.mark.parametrize(
    ("asked", "case"), CHECKS["intervals_newcombe_1998_cases"]["values"].items(), ids=lambda c: str(c)[:6]
)
def test_other_intervals_on_cases_of_newcombe_1998_lie_about_wilson(asked, case):
    """The other limits by their definitions; Wilson's lie between the exact ones and inside Agresti-Coull's."""
    x, n = (int(part) for part in asked.split("/"))
    z = stats.norm.ppf(0.975)
    middle, size = (x + z**2 / 2) / (n + z**2), n + z**2
    half = z * np.sqrt(middle * (1 - middle) / size)
    assert [max(0.0, middle - half), middle + half] == near(case["agresti_coull"])
    assert list(stats.beta(x + 0.5, n - x + 0.5).ppf([0.025, 0.975])) == near(case["jeffreys"], 1e-5)

    def middle_tail(p):
        return stats.binom(n, p).sf(x) + stats.binom(n, p).pmf(x) / 2

    low = optimize.brentq(lambda p: middle_tail(p) - 0.025, 1e-12, x / n) if x else 0.0
    high = optimize.brentq(lambda p: middle_tail(p) - 0.975, x / n + 1e-12, 1 - 1e-12)
    assert [low, high] == near(case["mid_p"])
    assert wilson(x, n, 0.95).high <= case["agresti_coull"][1] + 1e-6


@pytest.mark.parametrize("case", CHECKS["family_prior"], ids=lambda c: f"{c['points']}-{c['attempts']}")
def test_family_prior_computed_with_scipy(case):
    prior = shrinking.prior_mean(case["club_family"], case["player_overall"], case["club_overall"])
    assert prior == near(case["prior_mean"])
    weight = shrinking.Weight((float(case["M"]),), (1.0,))
    found = shrinking.shrunk(case["points"], case["attempts"], prior, weight)
    assert found.rate == near(case["shrunk"])
    assert [found.interval.low, found.interval.high] == near(case["interval90"])
    a = case["points"] + prior * case["M"]
    theirs = stats.beta(a, case["attempts"] + case["M"] - a)
    assert [found.interval.low, found.interval.high] == near(list(theirs.ppf([0.05, 0.95])))


def test_beta_binomial_over_a_grid_computed_with_scipy():
    case = CHECKS["beta_binomial"]
    found = shrinking.fit(case["points"], case["attempts"])
    assert list(found.shrunk) == near(case["grid"]["shrunk"])
    assert found.weight.mean == near(case["grid"]["mean_M"])
    assert found.mu == near(case["grid"]["mean_mu"])
    # A cell of the grid, by SciPy's own law: the ratio of chances of two values of M0.
    made, tried = np.array(case["points"]), np.array(case["attempts"])
    m0 = shrinking.M0_GRID[[3, 17], None, None]
    mu = shrinking.MU_GRID[:, None]
    likely = stats.betabinom(tried, mu * m0, (1 - mu) * m0).pmf(made).prod(axis=2).sum(axis=1)
    chance = found.weight.chance
    assert chance[3] / chance[17] == pytest.approx(likely[0] / likely[1])


def test_beta_binomial_by_maximum_likelihood_computed_with_scipy():
    """What the grid replaces: the likeliest weight is a third of the grid's mean, with no word of doubt."""
    case = CHECKS["beta_binomial"]
    made, tried = np.array(case["points"]), np.array(case["attempts"])

    def loss(at):
        mu, m0 = 1 / (1 + np.exp(-at[0])), np.exp(at[1])
        return -stats.betabinom(tried, mu * m0, (1 - mu) * m0).logpmf(made).sum()

    best = optimize.minimize(loss, [-0.5, 3.5], method="Nelder-Mead")
    mu, m0 = 1 / (1 + np.exp(-best.x[0])), np.exp(best.x[1])
    # Of one order of the strokes, not of their count.
    orders = np.log(stats.binom(tried, 0.5).pmf(made) * 2.0**tried).sum()
    assert -best.fun - orders == pytest.approx(case["ml"]["loglik"], abs=1e-5)
    for at, shrunk in enumerate(case["ml"]["shrunk"]):
        weight = shrinking.Weight((float(m0),), (1.0,))
        found = shrinking.shrunk(int(made[at]), int(tried[at]), float(mu), weight)
        assert found.rate == pytest.approx(shrunk, abs=1e-4)


def james_stein(rates, variance):
    """Efron and Morris: towards the mean, by 1 - (k - 3) variance / sum of squares."""
    apart = rates - rates.mean()
    keep = 1 - (rates.size - 3) * variance / (apart**2).sum()
    return keep, rates.mean() + keep * apart


def test_efron_morris_batting_averages_of_1970():
    case = CHECKS["efron_morris"]["values"]
    n, hits, rest = case["n"], np.array(case["hits"]), np.array(case["remainder"])
    rates = hits / n
    mean = rates.mean()
    assert mean == near(case["mean"])
    keep, raw_scale = james_stein(rates, mean * (1 - mean) / n)
    assert keep == near(case["c77"])
    assert raw_scale.round(3).tolist() == case["js77"]
    keep, on_arcsine = james_stein(np.sqrt(n) * np.arcsin(2 * rates - 1), 1.0)
    back = (np.sin(on_arcsine / np.sqrt(n)) + 1) / 2
    assert keep == near(case["c75"])
    assert back.round(3).tolist() == case["js75"]

    def strays(estimate):
        return ((estimate - rest) ** 2).sum()

    assert [strays(rates), strays(back), strays(raw_scale)] == near(
        [case["sse_mle"], case["sse_js75"], case["sse_js77"]]
    )
    # The grid shrinks these rates as far, and strays as little from the rest of the season.
    shrunk = np.array(shrinking.fit(hits, np.full(hits.size, n)).shrunk)
    assert shrunk == pytest.approx(raw_scale, abs=0.015)
    assert strays(shrunk) == pytest.approx(case["sse_js77"], rel=0.05)


def test_log_odds_offset_computed_with_statsmodels():
    case = CHECKS["log_odds_offset"]
    found = offsets.offset(case["predictions"], case["outcomes"])
    assert [found.mode, found.se] == near([case["offset"], case["se"]])
    # The likelihood itself, on a grid: its mean and its interval.
    at = np.linspace(-3, 3, 2001)
    p = np.array(case["predictions"])
    q = 1 / (1 + np.exp(-(np.log(p / (1 - p))[:, None] + at)))
    likely = np.where(np.array(case["outcomes"])[:, None], q, 1 - q).prod(axis=0)
    likely /= likely.sum()
    assert found.mean == pytest.approx(likely @ at, abs=1e-4)
    assert found.positive == pytest.approx(likely[at > 0].sum() + likely[1000] / 2, abs=1e-4)
    assert np.interp([found.interval.low, found.interval.high], at, likely.cumsum()) == pytest.approx(
        [0.05, 0.95], abs=2e-3
    )


def test_offset_shrinkage_computed_with_numpy():
    case = CHECKS["offset_shrinkage"]
    found = offsets.shrink(case["offset"], case["se"])
    assert found.tau == near(case["mean_tau"])
    assert [one.mean for one in found.drawn] == near(case["shrunk"])
    assert [one.sd for one in found.drawn] == near(case["sd"])
    assert [one.positive for one in found.drawn] == near(case["prob_positive"])


def test_false_discoveries_computed_with_scipy():
    case = CHECKS["false_discoveries"]
    found = offsets.adjusted(case["p"])
    assert found.tolist() == near(case["adjusted"])
    assert (found <= offsets.FALSE_ALARMS).tolist() == case["kept_at_10_percent"]
    assert found == pytest.approx(stats.false_discovery_control(case["p"]))
