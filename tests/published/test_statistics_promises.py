"""Expected against made: values computed with SciPy's Poisson-binomial law, no published source."""

import numpy as np
import pytest
from scipy import stats

from analytics.reports import promises
from tests.published.statistics import CHECKS, near


@pytest.mark.parametrize("case", CHECKS["expected_vs_points"], ids=lambda c: str(c["points"]))
def test_expected_against_points_computed_with_scipy(case):
    promised, points = np.array(case["predictions"]), case["points"]
    found = promises.promise(promised, np.arange(promised.size) < points)
    assert (found.strokes, found.points) == (promised.size, points)
    assert [found.expected, found.variance] == near([case["expected"], case["variance"]])
    assert [found.gained, found.per_100, found.z] == near([case["points_gained"], case["per_100"], case["z"]])
    assert [found.p_low, found.p_high] == near([case["p_low"], case["p_high"]])
    assert [found.p_two, found.p_mid] == near([case["p_two_doubled"], case["p_two_midp"]])
    assert list(found.central) == case["central90"]
    law = stats.poisson_binom(promised)
    assert [found.p_low, found.p_high] == near([float(law.cdf(points)), float(law.sf(points - 1))])
    assert found.central == tuple(law.ppf([0.05, 0.95]).astype(int))


@pytest.mark.parametrize("strokes", [1, 63, 64, 65, 700])
def test_the_law_of_many_strokes_computed_with_scipy(strokes):
    promised = np.random.default_rng(strokes).uniform(0.02, 0.97, strokes)
    law, theirs = promises.law(promised), stats.poisson_binom(promised)
    for points in np.unique(np.linspace(0, strokes, 9, dtype=int)):
        mine = [law.exactly(points), law.at_most(points), law.at_least(points)]
        asked = [theirs.pmf(points), theirs.cdf(points), theirs.sf(points - 1)]
        assert mine == pytest.approx([float(one) for one in asked], rel=1e-6, abs=1e-12)


def test_a_hundred_strokes_near_four_in_ten_stray_by_eight_points_derived():
    """Derived from the binomial law, no published source: 90 % lie within 8 points."""
    found = promises.promise(np.full(100, 0.4), np.arange(100) < 40)
    assert found.central == (32, 48)
    assert found.central == tuple(stats.binom(100, 0.4).ppf([0.05, 0.95]).astype(int))
