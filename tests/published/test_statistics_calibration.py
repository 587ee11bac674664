"""Scores, their decomposition and recalibration against values computed with scikit-learn, statsmodels and SciPy."""

import numpy as np
import pytest
from scipy import optimize, stats

from analytics.reports import calibration, recalibrating
from tests.published.statistics import CHECKS, near


@pytest.mark.parametrize("rule", ["brier", "log"])
def test_corp_computed_with_scikit_learn(rule):
    case = CHECKS["corp"]
    found = calibration.corp(case["p"], case["o"], rule)
    assert [found.score, found.mcb, found.dsc, found.unc] == near([case[rule][k] for k in PARTS])
    assert found.score == pytest.approx(found.mcb - found.dsc + found.unc, abs=1e-15)
    assert calibration.score(case["p"], case["o"], rule) == pytest.approx(found.score)


PARTS = ("score", "MCB", "DSC", "UNC")


def test_recalibrated_values_computed_with_scikit_learn():
    case = CHECKS["corp"]
    at, weight, points = calibration.pooled(np.array(case["p"]), np.array(case["o"], float))
    fitted = calibration.isotonic(points / weight, weight)
    assert fitted[np.searchsorted(at, case["p"])] == near(case["recalibrated_in_order_of_p"])
    steps = calibration.diagram(case["p"], case["o"], draws=10).steps
    assert [step.rate for step in steps] == near(sorted(set(case["recalibrated_in_order_of_p"])))
    assert sum(step.strokes for step in steps) == len(case["p"])


@pytest.mark.parametrize("case", CHECKS["isotonic"]["values"], ids=lambda c: str(len(c["y"])))
def test_isotonic_pool_adjacent_violators_computed_with_scikit_learn(case):
    assert calibration.isotonic(np.array(case["y"], float), np.ones(len(case["y"]))) == near(case["fit"])


def murphy(p, o):
    """A. H. Murphy 1973: reliability, resolution, uncertainty over repeated predictions."""
    base = o.mean()
    rows = [(p == one, one) for one in np.unique(p)]
    reliability = sum(one.sum() * (at - o[one].mean()) ** 2 for one, at in rows) / o.size
    resolution = sum(one.sum() * (o[one].mean() - base) ** 2 for one, _ in rows) / o.size
    return reliability, resolution, base * (1 - base)


def test_brier_murphy_1973():
    """Where the share made rises with the prediction, his parts and those of CORP are the same."""
    case = CHECKS["brier"]["values"]
    p, o = np.array(case["p"]), np.array(case["o"], float)
    parts = murphy(p, o)
    assert parts == near((case["rel"], case["res"], case["unc"]))
    found = calibration.corp(p, o)
    assert found.score == near(case["bs"])
    assert (found.mcb, found.dsc, found.unc) == near(parts)
    assert found.skill == near(case["bss"])


def test_consistency_band_computed_with_4000_resamples():
    case = CHECKS["consistency_band_90"]
    found = calibration.diagram(case["p"], CHECKS["corp"]["o"], draws=4_000, seed=3)
    where = np.searchsorted(found.at, case["p"])
    assert np.array(found.low)[where] == pytest.approx(case["lower05"], abs=case["tolerance"])
    assert np.array(found.high)[where] == pytest.approx(case["upper95"], abs=case["tolerance"])


def test_recalibration_computed_with_statsmodels():
    case, p, o = CHECKS["recalibration"], CHECKS["corp"]["p"], CHECKS["corp"]["o"]
    found = recalibrating.recalibrate(p, o)
    assert [found.intercept, found.slope] == near([case["intercept"], case["slope"]])
    assert found.stderr == near(tuple(case["se"]))
    assert [found.ratio, found.p] == near([case["LR_2df"], case["p"]])
    assert found.p == pytest.approx(stats.chi2.sf(found.ratio, 2))
    large = recalibrating.in_the_large(p, o)
    assert [large.shift, large.stderr] == near([case["in_the_large"], case["in_the_large_se"]])


def test_recalibration_is_the_maximum_that_scipy_finds():
    rng = np.random.default_rng(8)
    p = rng.uniform(0.05, 0.9, 300)
    logits = np.log(p / (1 - p))
    o = (rng.random(300) < 1 / (1 + np.exp(0.3 - 0.7 * logits))).astype(float)

    def against(at):
        eta = at[0] + at[1] * logits
        return (np.logaddexp(0, eta) - o * eta).sum()

    best = optimize.minimize(against, [0, 1], method="BFGS").x
    found = recalibrating.recalibrate(p, o)
    assert [found.intercept, found.slope] == pytest.approx(best, abs=1e-4)


@pytest.mark.parametrize(
    ("strokes", "mean", "most"),
    [(100, 0.024, 0.035), (200, 0.015, 0.021), (500, 0.0085, 0.011), (1000, 0.0055, 0.007)],
)
def test_mcb_of_true_promises_computed_by_simulation(strokes, mean, most):
    """Simulated with predictions spread as in play, no published source."""
    p = stats.beta(2, 2.6).ppf((np.arange(strokes) + 0.5) / strokes)
    found = calibration.by_chance(p, draws=400)
    assert found.mean == pytest.approx(mean, rel=0.06)
    assert found.most == pytest.approx(most, rel=0.08)
