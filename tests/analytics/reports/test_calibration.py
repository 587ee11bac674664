"""Calibration: what must hold whatever was promised and made."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analytics.reports import calibration, recalibrating
from analytics.reports.recalibrating import Shows, Verdict

STROKES = st.lists(st.tuples(st.sampled_from([0.1, 0.25, 0.4, 0.55, 0.8]), st.booleans()), min_size=1)


def played(strokes, seed=0, bend=1.0, shift=0.0):
    """Predictions, and outcomes whose log-odds are theirs times `bend` plus `shift`."""
    rng = np.random.default_rng(seed)
    p = rng.beta(2, 2.6, strokes)
    logits = shift + bend * np.log(p / (1 - p))
    return p, (rng.random(strokes) < 1 / (1 + np.exp(-logits))).astype(float)


@settings(max_examples=40)
@given(STROKES, st.sampled_from(["brier", "log"]))
def test_the_parts_add_up_and_none_is_negative(strokes, rule):
    p, o = zip(*strokes, strict=True)
    found = calibration.corp(p, np.array(o, float), rule)
    assert found.score == pytest.approx(found.mcb - found.dsc + found.unc, abs=1e-12)
    assert min(found.mcb, found.dsc, found.unc) > -1e-12


def test_the_same_promise_for_all_tells_nothing_apart():
    found = calibration.corp([0.3] * 10, [1, 0, 0, 1, 0, 0, 1, 0, 0, 0])
    assert (found.dsc, found.mcb) == (pytest.approx(0), pytest.approx(0))
    assert found.skill == pytest.approx(0)
    assert calibration.corp([0.3] * 4, [0] * 4).skill is None


@pytest.mark.parametrize(
    ("p", "o"), [([0.2, 1.0], [0, 1]), ([0.2], [2]), ([0.2, 0.3], [1]), ([], []), ([0.0], [0])]
)
def test_promises_and_outcomes_of_another_kind_are_refused(p, o):
    with pytest.raises(ValueError, match=r"predictions|outcome|strokes"):
        calibration.corp(p, o)


def test_the_chance_value_carried_on_meets_the_one_drawn_whole(monkeypatch):
    p, _ = played(2_000)
    whole = calibration.by_chance(p, draws=300)
    monkeypatch.setattr(calibration, "DRAWN_WHOLE", 400)
    carried = calibration.by_chance(p, draws=300)
    assert carried.mean == pytest.approx(whole.mean, rel=0.1)
    assert carried.most == pytest.approx(whole.most, rel=0.1)


def test_the_band_holds_true_promises_at_its_level():
    inside = []
    for seed in range(40):
        p, o = played(150, seed)
        found = calibration.diagram(p, o, draws=150, seed=seed)
        at, weight, points = calibration.pooled(p, o)
        fitted = calibration.isotonic(points / weight, weight)
        inside.append(np.mean((np.array(found.low) <= fitted) & (fitted <= np.array(found.high))))
        assert len(at) == len(found.at)
    assert 0.84 < np.mean(inside) < 0.97


def test_a_diagram_of_very_many_strokes_stays_small():
    found = calibration.diagram(*played(5_000), draws=40)
    assert len(found.at) == len(found.low) == calibration.IN_GROUPS
    assert sum(found.strip) == sum(step.strokes for step in found.steps) == 5_000
    assert np.all(np.diff([step.rate for step in found.steps]) > 0)


def test_what_may_be_shown_follows_the_number_of_strokes():
    assert [recalibrating.shows(n) for n in (0, 99, 100, 399, 400)] == [
        Shows.TOTALS,
        Shows.TOTALS,
        Shows.IN_THE_LARGE,
        Shows.IN_THE_LARGE,
        Shows.DIAGRAM,
    ]


def test_no_finite_fit_is_told_as_none():
    assert recalibrating.recalibrate([0.2, 0.3, 0.7, 0.8], [0, 0, 1, 1]) is None
    assert recalibrating.recalibrate([0.2, 0.3, 0.7, 0.8], [1, 1, 0, 0]) is None
    assert recalibrating.recalibrate([0.3] * 6, [0, 1, 0, 1, 0, 0]) is None
    assert recalibrating.in_the_large([0.3, 0.4], [1, 1]) is None


@pytest.mark.parametrize(
    ("bend", "shift", "strokes", "verdict"),
    [
        (1.0, 0.0, 99, Verdict.FEW),
        (1.0, 0.0, 5_000, Verdict.AS_PROMISED),
        (0.5, 0.0, 5_000, Verdict.BOLD),
        (1.6, 0.0, 5_000, Verdict.TIMID),
        (1.0, 0.8, 300, Verdict.MORE),
        (1.0, -0.8, 300, Verdict.FEWER),
        (1.0, -0.8, 5_000, Verdict.FEWER),
    ],
)
def test_the_verdict_names_what_is_wrong(bend, shift, strokes, verdict):
    p, o = played(strokes, 4, bend, shift)
    # A bend moves the mean too; with the base rate in the middle it does not.
    if bend != 1.0:
        rng = np.random.default_rng(4)
        p = rng.beta(2, 2, strokes)
        o = (rng.random(strokes) < 1 / (1 + (1 / p - 1) ** bend)).astype(float)
    found = recalibrating.verdict(p, o)
    assert found is verdict
    assert str(strokes) in str(recalibrating.told(p, o, found))


def test_all_points_are_no_wonder_where_they_were_promised():
    assert recalibrating.verdict([0.999] * 120, [1] * 120) is Verdict.AS_PROMISED
    assert recalibrating.verdict([0.9] * 120, [1] * 120) is Verdict.MORE
    assert recalibrating.verdict([0.3] * 120, [0] * 120) is Verdict.FEWER


def test_a_club_is_less_sure_than_its_strokes_where_players_differ():
    rng = np.random.default_rng(2)
    who = np.repeat(np.arange(20), 100)
    own = rng.normal(0, 0.6, 20)[who]
    p = rng.beta(2, 2.6, who.size)
    o = (rng.random(who.size) < 1 / (1 + np.exp(-own) * (1 / p - 1))).astype(float)
    found = recalibrating.club(p, o, who)
    alone = recalibrating.in_the_large(p, o)
    assert found.shift == pytest.approx(alone.shift, abs=2e-3)
    assert found.brier == pytest.approx(calibration.score(p, o))
    wide = found.of_shift.high - found.of_shift.low
    assert wide > 1.8 * (alone.interval.high - alone.interval.low)
    assert found.of_gained.holds(found.gained)
    with pytest.raises(ValueError, match="two players"):
        recalibrating.club(p, o, np.zeros(who.size))


def test_strokes_promised_about_three_in_ten_stand_beside_chance():
    p, o = played(800, 1)
    found = calibration.by_tenths(p, o)
    assert list(found) == sorted(found)
    assert sum(one.strokes for one in found.values()) == 800
    of_three = (p > 0.25) & (p < 0.35)
    assert (found[3].strokes, found[3].points) == (of_three.sum(), o[of_three].sum())
    low, high = found[3].central
    assert low < 0.3 * found[3].strokes < high
