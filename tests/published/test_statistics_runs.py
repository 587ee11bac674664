"""Runs against the geometric law: closed forms, and values computed with SciPy."""

from fractions import Fraction

import numpy as np
import pytest
from scipy import stats

from analytics.reports import intervals, runs, streaks
from tests.published.statistics import CHECKS, near


def success(text):
    return float(Fraction(text))


def test_histogram_computed_with_scipy():
    case = CHECKS["histogram"]
    found = runs.histogram(case["runs"], last=int(case["last_cell"].removeprefix(">=")))
    assert found.p == near(success(case["p"]))
    assert list(found.observed) == case["observed"]
    assert list(found.expected) == near(case["expected"])
    assert found.pearson == near(case["pearson"])
    assert found.pearson == pytest.approx(stats.chisquare(found.observed, found.expected).statistic)


@pytest.mark.parametrize(("p", "case"), CHECKS["geometric_runs"]["values"].items())
def test_geometric_runs_closed_form(p, case):
    played = runs.points_in(success(p), 1)
    assert [played.mean, played.sd**2, played.sd] == near([case["avg"], case["var"], case["sd"]])
    for length, chance in case["P_ge"].items():
        assert runs.chance_of_run(success(p), 1, int(length)) == near(chance)
        assert played.at_least(int(length)) == near(chance)


@pytest.mark.parametrize(("asked", "expected"), CHECKS["expected_high_run"]["values"].items())
def test_expected_high_run_computed(asked, expected):
    p, innings = (part.partition("=")[2] for part in asked.split())
    assert runs.expected_high_run(success(p), int(innings)) == near(expected)
    # By the law of the maximum itself, from SciPy's geometric law.
    length = np.arange(400)
    at_least = 1 - stats.geom(1 - success(p), loc=-1).cdf(length) ** int(innings)
    assert at_least.sum() == near(expected)


@pytest.mark.parametrize(("asked", "expected"), CHECKS["prob_high_run"]["values"].items())
def test_chance_of_a_high_run_computed(asked, expected):
    p, innings, length = (part.partition("=")[2] for part in asked.split(","))
    assert runs.chance_of_run(success(p), int(innings), int(length)) == near(expected)


def test_points_in_innings_computed_with_scipy():
    case = CHECKS["points_in_n_innings"]["values"]["n=25,p=0.6"]
    found = runs.points_in(0.6, 25)
    assert [found.mean, found.sd, found.at_least(40)] == near([case["mean"], case["sd"], case["P_ge_40"]])
    law = stats.nbinom(25, 0.4)
    assert [found.mean, found.sd, found.at_least(40)] == near([law.mean(), law.std(), law.sf(39)])


def test_wald_wolfowitz_runs_test_follows_from_the_exact_law():
    """The normal runs test is what the exact law of scoring innings replaces; both have one mean.

    Runs of points and misses together are scoring innings, and the same with points and misses
    changed about; the last stroke is a point in 15 of 25 orders.
    """
    case = CHECKS["runs_test"]["values"]
    points, misses = case["n1"], case["n2"]
    share = points / (points + misses)

    def groups(made, missed, ends_with_point):
        return sum(
            chance * float(streaks.scoring_innings(made, missed, 1, last).expected)
            for chance, last in ((ends_with_point, "point"), (1 - ends_with_point, "miss"))
        )

    assert groups(points, misses, share) + groups(misses, points, 1 - share) == near(float(case["mu"]))
    z = (case["R"] - case["mu"]) / case["var"] ** 0.5
    assert [z, 2 * stats.norm.sf(-z)] == near([case["z"], case["p2"]])


def test_goodness_of_fit_beside_the_chi_square_law():
    """With many innings the bootstrap comes to chi square with one degree less for the fitted p."""
    made = np.random.default_rng(4).geometric(0.5, 800) - 1
    found = runs.goodness(made, draws=1_500, seed=1)
    cells = len(runs.histogram(made).observed)
    assert found.p_value == pytest.approx(stats.chi2.sf(found.pearson, cells - 2), abs=0.05)


def test_dispersion_of_geometric_runs_is_one():
    made = np.random.default_rng(5).geometric(0.5, 20_000) - 1
    assert intervals.dispersion(made).phi == pytest.approx(1.0, abs=0.05)
