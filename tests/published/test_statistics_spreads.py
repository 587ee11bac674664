"""The fit of the execution spread against values computed with numpy and SciPy, the same recipe written apart."""

import numpy as np
import pytest
from scipy import integrate, interpolate, special, stats

from analytics.aim.predicting import SPREADS
from analytics.reports import spread_learning, spreads
from tests.published.statistics import CHECKS

CURVES = CHECKS["spread"]["curves"]
EXACT = {"layout_errors": (0.0,)}


def agrees(found, case):
    """Within what the entry says: 0.001, the mode one step of the grid."""
    assert found.mean_log == pytest.approx(case["posterior_mean_log_s"], abs=1e-3)
    assert found.sd_log == pytest.approx(case["posterior_sd_log_s"], abs=1e-3)
    assert found.mode == pytest.approx(case["map_s"], rel=0.009)
    assert found.median == pytest.approx(case["median_s"], abs=1e-3)
    assert [found.interval.low, found.interval.high] == pytest.approx(case["interval90"], abs=1e-3)
    assert found.edges == pytest.approx(case["mass_within_0_05_of_the_edges"], abs=1e-3)


def test_nodes_are_those_of_the_predictions():
    assert spread_learning.NODES == SPREADS
    assert np.geomspace(0.4, 3.0, 12) == pytest.approx(SPREADS)


def test_spread_computed_with_scipy():
    case = CHECKS["spread"]["static"]
    agrees(spreads.fit(CURVES, case["outcomes"], **EXACT), case)
    promised = spreads.one_step(CURVES, case["outcomes"], **EXACT)
    assert promised == pytest.approx(case["one_step_predictions"], abs=1e-4)


def test_spread_with_drift_computed_with_scipy():
    """A step of sd 0.1 is one week at 0.1 per sqrt(week)."""
    case = CHECKS["spread"]["with_drift"]
    drift = max(case["drift_sd_before_each_stroke"])
    weeks = (np.array(case["drift_sd_before_each_stroke"]) / drift) ** 2
    agrees(spreads.fit(CURVES, case["outcomes"], weeks, drift, **EXACT), case)
    promised = spreads.one_step(CURVES, case["outcomes"], weeks, drift, **EXACT)
    assert promised == pytest.approx(case["one_step_predictions"], abs=1e-4)


def test_spread_long_computed_with_scipy():
    case = CHECKS["spread_long"]
    agrees(spreads.fit(CURVES * 20, [int(made) for made in case["outcomes"]], **EXACT), case)


def test_spread_beside_an_integral_by_scipy():
    """The mean of log s with one layout error, by Simpson's rule in both unknowns."""
    made, sd = CHECKS["spread"]["static"]["outcomes"][:3], 0.75
    x, errors = np.linspace(np.log(0.4), np.log(3.0), 61), np.linspace(-6, 6, 2_001)
    heights = stats.norm.pdf(x, 0, 0.5)
    for row, hit in zip(CURVES[:3], made, strict=True):
        at = interpolate.PchipInterpolator(np.log(SPREADS), special.logit(np.array(row)))(x)
        each = special.expit(at[:, None] + errors) * stats.norm.pdf(errors, 0, sd)
        chance = integrate.simpson(each, x=errors, axis=1)
        heights = heights * (chance if hit else 1 - chance)
    mean = integrate.simpson(heights * x, x=x) / integrate.simpson(heights, x=x)
    found = spreads.fit(CURVES[:3], made, layout_errors=(sd,))
    assert found.mean_log == pytest.approx(mean, abs=2e-4)
    assert found.layout_error == pytest.approx(sd)
