"""A spread through time is what a fit of the strokes so far would tell."""

import numpy as np
import pytest

from analytics.reports.spread_learning import NODES
from analytics.reports.spreads import fit, through


def strokes(count, seed=3):
    """Return success at the nodes and outcomes of a hand of spread 1."""
    rng = np.random.default_rng(seed)
    ease = rng.normal(0.0, 1.0, count)
    logits = ease[:, None] - 1.5 * np.log(NODES)
    made = rng.random(count) < 1.0 / (1.0 + np.exp(-ease))
    return 1.0 / (1.0 + np.exp(-logits)), made.astype(int)


@pytest.mark.parametrize("drift", [0.0, 0.1])
def test_after_each_number_of_strokes_it_is_the_fit_of_these(drift):
    success, made = strokes(90)
    weeks = np.tile([0.0, 0.0, 1.0], 30)
    for after, found in zip((0, 31, 90), through(success, made, (0, 31, 90), weeks, drift), strict=True):
        alone = fit(success[:after], made[:after], weeks[:after], drift)
        assert found.strokes == after
        assert (found.median, found.interval.low, found.interval.high) == pytest.approx(
            (alone.median, alone.interval.low, alone.interval.high), rel=1e-9
        )


def test_numbers_of_strokes_rise_and_stay_within():
    success, made = strokes(9)
    for after in ((5, 3), (10,)):
        with pytest.raises(ValueError, match="rising"):
            through(success, made, after)
