"""A player's averages and runs put together from what was played."""

from __future__ import annotations

from fractions import Fraction

import pytest
from scipy.stats import binomtest

from analytics.reports.comparing import two_averages
from analytics.reports.form import read_form
from analytics.reports.rates import rate, wilson
from analytics.reports.running import read_running, read_streak
from tests.analytics.reports.simulated import as_played, drawn


def test_averages_are_exact_and_told_by_part():
    played = as_played([[1, 0, 0], [1, 1, 0, 1, 1], [0]], opponents=[7, 8, 7])
    form = read_form(played)
    assert form.estimate.average == Fraction(5, 5)
    assert form.best == (4, 2, 2)
    assert form.high_run == 2
    assert [(part.key, part.estimate.average, part.won) for part in form.parts["opponent"]] == [
        (7, Fraction(1, 3), 0),
        (8, Fraction(2), 1),
    ]
    assert [moved.average for moved in form.moving] == [Fraction(1, 2), Fraction(5, 4), Fraction(1)]


def test_a_high_run_that_only_the_distance_cut_is_at_least_so_long():
    assert read_form(as_played([[1, 0, 1, 1]])).high_run_open
    assert not read_form(as_played([[1, 1, 0, 1, 1]])).high_run_open


def test_halves_are_compared_over_matches_from_six_on_each_side():
    few, many = (read_form(drawn(3, matches, 30, 0.4)) for matches in (11, 12))
    assert (few.halves.of_matches, many.halves.of_matches) == (False, True)
    # The days of these players differ: over matches less is sure than if form were the same.
    days = [[1, 0] * 20, [0] * 20, [1, 1, 0] * 9, [1, 0, 0] * 9, [0, 1, 0] * 8, [1, 1, 1, 0] * 6]
    halves = read_form(as_played([*days, *days[::-1]])).halves
    alike = two_averages((81, 81), (84, 84)).interval
    assert halves.ratio == pytest.approx(1.0)
    assert halves.interval.high > alike.high


def test_no_match_has_no_average_and_no_run():
    empty = as_played([])
    form, running = read_form(empty), read_running(empty)
    assert (form.matches, form.estimate.average, form.best, form.high_run) == (0, None, None, 0)
    assert (running.counts, running.histogram, running.streaks) == ((), None, None)


def test_strokes_after_a_point_and_at_first_are_counted_from_innings():
    running = read_running(as_played([[1, 1, 0, 0, 1]]))
    # Innings 2, 0 and 1 (cut): first strokes 1, 0, 1; after a point: one made, one missed.
    assert (running.first.points, running.first.strokes) == (2, 3)
    assert (running.after_point.points, running.after_point.strokes) == (1, 2)
    assert running.counts == ((0, 1), (1, 1), (2, 1))
    assert running.cut == 1


def test_what_follows_two_points_is_read_off_innings():
    found = read_streak(as_played([[1, 1, 1, 0, 0, 1, 1, 0], [1, 1, 0]]))
    # After two points: a third and a miss, a miss, a miss; across matches nothing follows.
    assert (found.after, found.points, found.strokes) == (2, 1, 4)
    assert read_streak(as_played([])) is None


def test_a_player_of_constant_success_is_not_called_streaky_too_often():
    # The test is exact, so at 5 % at most one in twenty; 60 players, a wide margin.
    called = sum(read_running(drawn(seed, 12, 40, 0.4)).streaks.p_two < 0.05 for seed in range(60))
    assert called <= 8


@pytest.mark.parametrize(("points", "strokes"), [(0, 12), (33, 80), (80, 80), (1, 1)])
def test_wilson_is_that_of_the_reference_library(points, strokes):
    expected = binomtest(points, strokes).proportion_ci(0.9, method="wilson")
    found = wilson(points, strokes)
    assert (found.low, found.high) == pytest.approx((expected.low, expected.high), abs=1e-12)


def test_a_rate_needs_no_stroke_but_no_more_points_than_strokes():
    assert rate(0, 0).interval is None
    with pytest.raises(ValueError, match="3"):
        rate(3, 2)
