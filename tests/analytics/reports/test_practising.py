"""Practice advice: what must hold whatever was played."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analytics.reports import practising
from analytics.reports.practising import Item

# Shares, points and misses of five families, and what each could reach.
FIVE = [
    Item("natural", 0.30, 66, 54, 0.58),
    Item("short angle", 0.25, 40, 60, 0.48),
    Item("ticky", 0.20, 24, 56, 0.42),
    Item("bank", 0.15, 21, 39, 0.37),
    Item("umbrella", 0.10, 8, 32, 0.45),
]
RATES = st.floats(0.01, 0.99)


@given(st.lists(st.tuples(RATES, RATES), min_size=1, max_size=6))
def test_only_what_can_rise_gains(pairs):
    p, t = zip(*pairs, strict=True)
    found = practising.gains([1 / len(p)] * len(p), p, t)
    for one, now, then in zip(found.gains, p, t, strict=True):
        assert one >= 0
        assert one == pytest.approx(0, abs=1e-12) if then <= now else one > 0


def test_the_first_order_is_the_slope_of_the_gain():
    p, t = [0.4, 0.3], [0.4005, 0.3]
    found = practising.gains([0.5, 0.5], p, t)
    assert found.gains[0] == pytest.approx(found.first_order[0], rel=1e-3)


def test_one_name_only_where_it_is_clear():
    clear = practising.advise([FIVE[0], replace(FIVE[4], a=80, b=320)], seed=2)
    assert clear.named == "umbrella"
    assert clear.contenders == ()
    open_ = practising.advise(FIVE, seed=2)
    assert open_.named is None
    assert set(open_.contenders) == {"ticky", "umbrella"}
    assert sum(one.best for one in open_.worth) == pytest.approx(1)
    assert [one.gain for one in open_.worth] == sorted((one.gain for one in open_.worth), reverse=True)


def test_nothing_to_gain_names_nobody():
    items = [Item("one", 0.5, 900, 100, 0.2), Item("two", 0.5, 900, 100, 0.3)]
    found = practising.advise(items, draws=200)
    assert (found.named, found.contenders) == (None, ())
    assert practising.pick(items, 1) is None
    assert practising.propose(items, 60).blocks == ()


def test_doubt_about_what_is_attainable_widens_the_gain():
    sure = practising.advise(FIVE, draws=2_000)
    doubtful = practising.advise([replace(item, attainable_error=0.1) for item in FIVE], draws=2_000)
    wide = {one.name: one.interval.high - one.interval.low for one in sure.worth}
    assert all(one.interval.high - one.interval.low > wide[one.name] for one in doubtful.worth)


def test_a_draw_gives_every_contender_its_turn():
    picks = [practising.pick(FIVE, seed) for seed in range(200)]
    shares = {item.name: picks.count(item.name) / len(picks) for item in FIVE}
    worth = {one.name: one.best for one in practising.advise(FIVE).worth}
    assert shares == pytest.approx(worth, abs=0.12)
    assert practising.pick(FIVE, 5) == picks[5]


@settings(max_examples=30)
@given(st.integers(10, 120), st.integers(0, 1_000))
def test_a_session_is_whole_blocks_of_few_items(strokes, seed):
    found = practising.propose(FIVE, strokes, seed)
    assert found.strokes == strokes // 10 * 10 == sum(block.repetitions for block in found.blocks)
    assert 1 <= len(found.blocks) <= 3
    for block in found.blocks:
        assert block.repetitions % 10 == 0
        assert block.expected < block.goal <= block.repetitions
        assert 0 < block.today < 0.6  # one more than expected at least


def test_a_goal_lies_between_today_and_what_is_attainable():
    assert practising.goal(40, 60, 0.8, 30) == 15
    # Far above today it would be a matter of luck, so half of it counts.
    assert practising.goal(40, 60, 0.43, 30) == 13
    assert practising.goal(1, 999, 0.002, 10) == 1
    assert practising.goal(999, 1, 0.999, 10) == 10


def test_a_club_tells_what_is_attainable_only_with_players_alike():
    averages = [0.5, 0.55, 0.6, 0.62, 1.5, 2.0]
    rates = [0.30, 0.34, 0.36, 0.40, 0.9, 0.9]
    assert practising.of_club(rates, averages, 0.58) == pytest.approx(np.quantile(rates[:4], 0.75))
    assert practising.of_club(rates, averages, 1.6) is None
    mean, error = practising.of_predictions([0.3, 0.5, 0.4, 0.4])
    assert (mean, error) == (pytest.approx(0.4), pytest.approx(0.0408, abs=1e-4))
    with pytest.raises(ValueError, match="two"):
        practising.of_predictions([0.4])


def test_progress_carries_its_warning():
    p = np.full(200, 0.4)
    found = practising.progress((p, np.arange(200) < 60), (p, np.arange(200) < 90))
    assert (found.before, found.after, found.change) == pytest.approx((-10, 5, 15))
    assert found.interval.low > 0
    assert "by itself" in str(found.warning)
    with pytest.raises(ValueError, match="both sides"):
        practising.progress(([], []), (p, p > 1))


@pytest.mark.parametrize(
    "items", [[], [Item("one", 1.2, 1, 1, 0.5)], [Item("one", 0.5, 0, 1, 0.5)], [Item("one", 0.5, 1, 1, 1.5)]]
)
def test_what_is_no_item_is_refused(items):
    with pytest.raises(ValueError, match=r"shares|Beta|1\.5"):
        practising.advise(items, draws=10)


def test_a_session_needs_a_block():
    with pytest.raises(ValueError, match="5"):
        practising.propose(FIVE, 5)
    with pytest.raises(ValueError, match="each item"):
        practising.gains([0.5], [0.4], [0.5, 0.6])
