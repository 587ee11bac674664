"""The spread: what must hold whoever played."""

import numpy as np
import pytest

from analytics.reports import spreads
from analytics.reports.spread_learning import NODES, WEIGHTS, prior
from analytics.reports.spreads import Record, Stage


def strokes(count, spread=1.0, seed=0, layout_error=0.0):
    """Success at the nodes of mixed layouts, and outcomes of a player of a spread (one or one a stroke)."""
    rng = np.random.default_rng(seed)
    tolerance = rng.lognormal(0, 0.5, count)[:, None]
    success = 1 - np.exp(-tolerance / np.asarray(NODES))
    own = 1 - np.exp(-tolerance[:, 0] / np.broadcast_to(spread, count))
    off = np.exp(rng.normal(0, layout_error, count))
    return np.clip(success, 1e-3, 0.999), (rng.random(count) < own * off / (1 - own + own * off)).astype(
        float
    )


def test_no_stroke_leaves_what_was_believed_before():
    found = spreads.fit([], [])
    assert found.stage is Stage.FEW
    assert found.median == pytest.approx(1.0, abs=0.03)
    assert found.density == pytest.approx(prior())
    assert np.array(found.density) @ WEIGHTS == pytest.approx(1)


@pytest.mark.parametrize("spread", [0.6, 1.0, 1.6])
def test_many_strokes_find_the_spread(spread):
    found = spreads.fit(*strokes(2_000, spread, seed=3))
    assert found.interval.holds(spread)
    assert found.stage is Stage.SETTLED
    assert found.to_settle == 0
    assert found.interval.low < found.median < found.interval.high


def test_points_make_a_hand_steadier_and_misses_less_so():
    success, _ = strokes(30)
    made, half, missed = (spreads.fit(success, np.arange(30) < n).median for n in (30, 15, 0))
    assert made < half < missed


def test_the_ends_of_the_range_are_told_as_such():
    success, _ = strokes(60)
    assert spreads.fit(success, np.zeros(60)).stage is Stage.OUTSIDE
    assert spreads.fit(success, np.ones(60)).edges[0] > 0.05
    assert spreads.fit(success[:24], np.ones(24)).stage is Stage.FEW


def test_strokes_to_settle_are_about_as_many_as_it_takes():
    success, made = strokes(1_000, seed=6)
    few = spreads.fit(success[:60], made[:60])
    assert few.stage is Stage.SHOWN
    settled = next(
        n for n in range(60, 1_000, 20) if spreads.fit(success[:n], made[:n]).stage is Stage.SETTLED
    )
    assert settled / 2.5 < 60 + few.to_settle < settled * 2.5


def test_an_error_of_layouts_is_seen_and_widens_the_interval():
    exact = spreads.fit(*strokes(2_000, seed=5))
    success, made = strokes(2_000, seed=5, layout_error=1.5)
    off = spreads.fit(success, made)
    assert exact.layout_error < 0.6 < off.layout_error
    alone = spreads.fit(success, made, layout_errors=(0.0,))
    assert off.sd_log > alone.sd_log


def test_all_at_once_and_stroke_by_stroke_agree():
    success, made = strokes(130, seed=2)
    promised = spreads.one_step(success, made)
    seen = np.where(made == 1, promised, 1 - promised)
    shorter = [spreads.one_step(success[: n + 1], made[: n + 1])[-1] for n in (0, 47, 48, 129)]
    assert promised[[0, 47, 48, 129]] == pytest.approx(shorter)
    assert 0 < seen.min() < seen.max() < 1


def test_a_drift_of_nothing_changes_nothing_and_time_widens():
    success, made = strokes(80, seed=1)
    weeks = np.where(np.arange(80) % 20 == 0, 2.0, 0.0)
    still = spreads.fit(success, made)
    assert spreads.fit(success, made, weeks, 0.0) == still
    moved = spreads.fit(success, made, weeks, 0.1)
    later = spreads.fit(success, made, weeks, 0.1, until=20.0)
    assert still.sd_log < moved.sd_log < later.sd_log
    assert later.median == pytest.approx(moved.median, rel=0.1)
    assert np.array(later.density) @ WEIGHTS == pytest.approx(1)


def test_many_tiny_steps_of_drift_come_to_one_large():
    success, made = strokes(400, seed=1)
    once = np.where(np.arange(400) == 200, 1.0, 0.0)
    spread_out = np.where((np.arange(400) > 150) & (np.arange(400) <= 250), 0.01, 0.0)
    one, many = (spreads.fit(success, made, weeks, 0.1) for weeks in (once, spread_out))
    assert many.mean_log == pytest.approx(one.mean_log, abs=0.01)
    assert many.sd_log == pytest.approx(one.sd_log, rel=0.05)


def test_a_club_whose_form_drifts_is_told_from_one_whose_form_stands():
    weeks = np.where(np.arange(400) % 25 == 0, 4.0, 0.0)
    path = np.exp(0.7 * np.sin(np.linspace(0, 2 * np.pi, 400)))
    moving = [Record(*strokes(400, path, seed), weeks) for seed in range(2)]
    still = [Record(*strokes(400, 1.0, seed), weeks) for seed in range(2)]
    assert spreads.choose_drift(moving, (0.0,)).drift >= 0.05
    assert spreads.choose_drift(still, (0.0,)).drift <= 0.02
    assert len(spreads.choose_drift(still[:1], (0.0,)).scores) == len(spreads.DRIFTS)


@pytest.mark.parametrize(
    ("success", "made", "further"),
    [
        ([[0.5] * 11], [1], {}),
        ([[0.5] * 11 + [0.0]], [1], {}),
        ([[0.5] * 12], [2], {}),
        ([[0.5] * 12], [1], {"drift": 0.1}),
        ([[0.5] * 12], [1], {"weeks": [-1.0], "drift": 0.1}),
        ([[0.5] * 12], [1], {"weeks": [1.0, 2.0], "drift": 0.1}),
    ],
)
def test_what_is_no_stroke_is_refused(success, made, further):
    with pytest.raises(ValueError, match=r"strokes|stroke|drift"):
        spreads.fit(success, made, **further)
    with pytest.raises(ValueError, match="strokes are needed"):
        spreads.choose_drift([])
