"""Scoring innings and streaks: exact laws by enumeration, published bias of Miller and Sanjurjo.

J. Miller, A. Sanjurjo, Econometrica 86 (2018) 2019-2047 (abstract read): after three heads in
100 tosses 46 %, after one in four tosses 40.5 %. All other values computed, no published source.
"""

from fractions import Fraction
from itertools import combinations

import numpy as np
import pytest
from scipy import stats

from analytics.reports import permuting, streaks
from analytics.reports.streaks import Strokes
from tests.published.statistics import CHECKS, near


@pytest.mark.parametrize("case", CHECKS["scoring_innings"], ids=lambda c: f"{c['points']}-{c['misses']}")
def test_scoring_innings_computed_by_enumeration(case):
    found = streaks.scoring_innings(
        case["points"], case["misses"], case["scoring_innings"], case["last_stroke"]
    )
    assert found.expected == Fraction(case["expected"])
    for name in ("p_low", "p_high"):
        assert getattr(found, name) == near(case[name])
    assert found.p_two == near(case["p_two_min_likelihood"])
    for name in ("success_first", "success_after_point", "bias"):
        if name in case:
            assert getattr(found, name) == Fraction(case[name])
    for name in ("raw_difference", "corrected_difference"):
        if name in case:
            assert float(getattr(found, name)) == near(case[name])


@pytest.mark.parametrize(
    "case", CHECKS["after_point_bias_match_ended_by_point"]["cases"], ids=lambda c: str(c["points"])
)
def test_bias_of_a_match_ended_by_a_point_computed_by_enumeration(case):
    found = streaks.scoring_innings(case["points"], case["misses"], case["scoring_innings"], "point")
    for name in ("success_first", "success_after_point", "bias"):
        assert getattr(found, name) == Fraction(case[name])


def orders(points, misses, last):
    """Every order of the strokes that ends so."""
    free = points + misses - 1
    for places in combinations(range(free), points - (last == "point")):
        yield [int(n in places) for n in range(free)] + [int(last == "point")]


@pytest.mark.parametrize(("points", "misses", "last"), [(4, 3, "point"), (5, 4, "miss"), (1, 6, "miss")])
def test_law_and_bias_enumerated_here(points, misses, last):
    """Every order counted: innings with a point, and both rates by their strokes."""
    scoring, differences = [], []
    for order in orders(points, misses, last):
        before = [0, *order[:-1]]
        first = [made for made, was in zip(order, before, strict=True) if not was]
        after = [made for made, was in zip(order, before, strict=True) if was]
        scoring.append(sum(first))
        if after:
            differences.append(Fraction(sum(after), len(after)) - Fraction(sum(first), len(first)))
    counts = np.bincount(scoring) / len(scoring)
    assert streaks.law(misses, points, last)[: len(counts)] == pytest.approx(counts)
    assert Fraction(sum(scoring), len(scoring)) == streaks.expected(misses, points, last)
    assert sum(differences) / len(differences) == streaks.bias_after_point(misses, points, last)


def test_scoring_innings_stratified_computed():
    case = CHECKS["scoring_innings_stratified"]
    found = streaks.stratified([Strokes(*match) for match in case["matches"]])
    assert found.scoring == case["total"]
    assert found.expected == near(case["expected"])
    assert [found.p_low, found.p_two] == near([case["p_low"], case["p_two_min_likelihood"]])


def test_scoring_innings_of_one_match_are_hypergeometric_in_scipy():
    law = stats.hypergeom(44, 25, 20)
    assert streaks.scoring_innings(20, 25, 9).p_low == near(float(law.cdf(9)))


@pytest.mark.parametrize(
    "case", CHECKS["streak_bias_expected_proportion"], ids=lambda c: f"{c['strokes']}-{c['k']}"
)
def test_miller_sanjurjo_2018_bias_after_a_streak(case):
    found = streaks.expected_proportion(case["strokes"], case["k"], case["p"])
    assert found == near(case["expected"])
    assert found - case["p"] == near(case["bias"])


@pytest.mark.parametrize(("strokes", "after", "shown"), [(100, 3, 46.0), (4, 1, 40.5)])
def test_miller_sanjurjo_2018_published_figures(strokes, after, shown):
    assert round(100 * streaks.expected_proportion(strokes, after, 0.5), 1) == shown


def test_streak_permutation_over_every_arrangement():
    case = CHECKS["streak_permutation_exhaustive"]
    strokes = [int(one) for one in case["strokes"]]
    table = np.array(
        [
            [int(n in places) for n in range(len(strokes))]
            for places in combinations(range(len(strokes)), sum(strokes))
        ]
    )
    points, tries = permuting.after_streak(table, case["k"])
    shares = points[tries > 0] / tries[tries > 0]
    assert len(shares) == case["arrangements_with_a_value"]
    observed = Fraction(*(int(part) for part in permuting.after_streak(strokes, case["k"])))
    assert observed == Fraction(case["observed"])
    assert Fraction(sum(strokes), len(strokes)) == Fraction(case["overall"])
    assert shares.mean() == near(case["mean_over_arrangements"])
    assert (shares >= float(observed) - 1e-12).mean() == near(case["p_high"])
    # The drawn test comes as near as 9,999 draws allow.
    found = permuting.streak([(strokes, False)], case["k"], seed=2)
    assert found.observed == near(float(observed - Fraction(case["overall"])))
    assert found.bias == pytest.approx(case["bias"], abs=0.01)
    assert found.overall + found.difference == pytest.approx(case["corrected"], abs=0.01)
    assert found.p_high == pytest.approx(case["p_high"], abs=0.015)
