"""What practice is worth against values computed with exact arithmetic and 400,000 draws of SciPy's beta law."""

import numpy as np
import pytest
from scipy import stats

from analytics.reports import practising
from analytics.reports.practising import Item
from tests.published.statistics import CHECKS, near


def test_practice_computed_by_hand():
    case = CHECKS["practice"]
    found = practising.gains(case["share"], case["success"], case["attainable"])
    assert [found.success, found.average] == near([case["success_overall"], case["average"]])
    assert found.gains == near(tuple(case["gain_in_average"]))
    assert found.first_order == near(tuple(case["first_order"]))


def test_practice_posterior_computed_with_400000_draws():
    case = CHECKS["practice_posterior"]
    rows = zip(case["share"], case["beta_a"], case["beta_b"], case["attainable"], strict=True)
    items = [Item(str(at), *row) for at, row in enumerate(rows)]
    found = practising.advise(items, draws=100_000, seed=1)
    within, order = case["tolerance"], sorted(found.worth, key=lambda one: one.name)
    assert [one.gain for one in order] == pytest.approx(case["mean_gain"], abs=within["mean_gain"])
    ends = np.array([[one.interval.low, one.interval.high] for one in order])
    assert ends == pytest.approx(np.array(case["interval90"]), abs=within["interval90"])
    assert [one.best for one in order] == pytest.approx(case["prob_best"], abs=within["prob_best"])
    # The honest answer is "the third or the fifth, about evenly".
    assert found.named is None
    assert set(found.contenders) == {"2", "4"}


def test_today_is_the_beta_binomial_tail_of_scipy():
    item = Item("one", 1.0, 40, 60, 0.6)
    (block,) = practising.propose([item], 30).blocks
    at = np.arange(block.goal, 31)
    assert block.today == near(float(stats.betabinom.pmf(at, 30, 40, 60).sum()))
