"""Averages and intervals: what must hold whatever was played."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.reports import averages, comparing, intervals
from analytics.reports.averages import Sheet

MATCHES = st.lists(st.tuples(st.integers(0, 60), st.integers(1, 50)), min_size=1, max_size=12)


@given(MATCHES)
def test_a_moving_average_over_everything_ends_at_the_general_one(matches):
    assert averages.moving(matches, len(matches))[-1] == averages.general(matches)


@given(MATCHES)
def test_a_window_of_one_is_the_match(matches):
    assert averages.moving(matches, 1) == [Fraction(*match) for match in matches]


def test_nothing_by_nothing_stands_last():
    assert averages.best_first([(0, 0), (0, 9), (3, 9)]) == [(3, 9), (0, 9), (0, 0)]
    assert averages.best([(0, 0)]) is None
    assert averages.general([]) is None


def test_equal_averages_put_more_points_first():
    assert averages.best([(1, 2), (4, 8), (2, 4)]) == (4, 8)


@given(st.integers(1, 80), st.integers(1, 80))
def test_what_ended_the_innings_moves_the_interval(points, misses):
    """A last point that had to be made is worth less."""
    innings, race = intervals.exact(points, misses), intervals.exact(points, misses, "race")
    assert race.low <= innings.low
    assert race.high <= innings.high
    for found in (innings, race, intervals.jeffreys(points, misses)):
        assert found.holds(points / misses)


def test_all_misses_have_an_upper_limit_alone():
    found = intervals.estimate([Sheet(0, 12, 12), Sheet(0, 14, 14)])
    assert (found.average, found.interval.low, found.method) == (0, 0.0, "jeffreys")
    assert 0.05 < found.interval.high < 0.2


def test_an_inning_cut_off_is_an_inning_and_no_miss():
    found = intervals.estimate([Sheet(30, 28, 27)])
    assert found.average == Fraction(30, 28)
    assert found.points_per_miss == Fraction(30, 27)


@pytest.mark.parametrize(
    ("matches", "method"), [(0, "none"), (1, "jeffreys"), (5, "jeffreys"), (6, "matches"), (20, "matches")]
)
def test_the_interval_follows_the_number_of_matches(matches, method):
    found = intervals.estimate([Sheet(15 + n % 3, 25, 25) for n in range(matches)])
    assert found.method == method
    assert (found.phi is not None) == (method == "matches")
    assert str(found.words or "").startswith("if form") == (method == "jeffreys")


def test_under_ten_innings_there_is_no_interval_and_after_one_no_word():
    few, one = intervals.estimate([Sheet(4, 9, 9)]), intervals.estimate([Sheet(4, 1, 1)])
    assert (few.interval, one.interval, one.words) == (None, None, None)
    assert few.words is not None
    assert one.average == 4


def test_form_that_moves_widens_the_interval():
    steady = intervals.over_matches([(20, 25)] * 8)
    moving = intervals.over_matches([(5, 25), (35, 25)] * 4)
    assert steady.average == moving.average
    assert moving.interval.high - moving.interval.low > 2 * (steady.interval.high - steady.interval.low)


def test_a_match_without_a_miss_still_counts_its_points():
    assert intervals.over_matches([(30, 25), (20, 25), (9, 0)]).average == Fraction(59, 50)


def test_a_bootstrap_over_few_matches_is_refused():
    with pytest.raises(ValueError, match="15"):
        intervals.bootstrap_matches([(20, 25)] * 14)
    found = intervals.bootstrap_matches([(20, 25), (24, 25), (18, 30)] * 5, draws=500)
    assert found.low < 62 / 80 < found.high


@given(st.integers(1, 60), st.integers(1, 60), st.integers(1, 60), st.integers(1, 60))
def test_two_averages_do_not_care_which_is_named_first(s1, s2, m1, m2):
    one, two = comparing.two_averages((s1, s2), (m1, m2)), comparing.two_averages((s2, s1), (m2, m1))
    assert one.p_two == pytest.approx(two.p_two)
    assert one.p_low == pytest.approx(two.p_high)
    assert one.ratio == pytest.approx(1 / two.ratio)


def test_whole_matches_change_sides():
    weak, strong = [(10, 25), (12, 25), (9, 25), (13, 25), (8, 25), (11, 25)], [(24, 25)] * 6
    found = comparing.seasons(weak, strong)
    assert found.ways == 924
    assert found.p_two == pytest.approx(2 / 924)
    assert found.interval.low > 1
    same = comparing.seasons(weak * 2, weak * 2, draws=400)
    assert same.p_two == 1.0
    assert same.seed == 0


def test_parting_matches_is_seldom_alarmed_by_form():
    """Form moves by 0.35 in the log odds; nothing differs; 5 % promised."""
    rng = np.random.default_rng(3)
    alarms = 0
    for _ in range(60):
        p = 1 / (1 + np.exp(0.2 - 0.35 * rng.standard_normal(12)))
        table = [(int(rng.negative_binomial(25, 1 - one)), 25) for one in p]
        alarms += comparing.seasons(table[:6], table[6:]).p_two <= 0.05
    assert alarms <= 9


def test_a_race_flatters_and_its_sums_do_not_reach():
    found = averages.race_bias(30, 0.5)
    assert found.points_over_innings < found.points_per_miss < found.match_average
    with pytest.raises(ValueError, match="1"):
        averages.race_bias(1, 0.5)
