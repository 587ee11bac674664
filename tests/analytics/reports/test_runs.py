"""Runs and streaks: what must hold whatever was played."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analytics.reports import permuting, runs, streaks
from analytics.reports.streaks import Strokes

RUNS = st.lists(st.integers(0, 9), min_size=1, max_size=60)


@settings(max_examples=25)
@given(RUNS)
def test_cells_hold_every_run_and_expect_as_many(made):
    found = runs.histogram(made)
    assert sum(found.observed) == found.innings == len(made)
    assert sum(found.expected) == pytest.approx(len(made))


@settings(max_examples=25)
@given(RUNS)
def test_a_tail_without_cut_runs_is_the_share_that_reached(made):
    found = runs.tail(made)
    assert found.share == pytest.approx([reached / len(made) for reached in found.reached])
    assert found.share[0] == found.geometric[0] == 1.0


def test_a_cut_run_counts_as_at_least():
    """Of three runs that reached 2 one was cut there; of the two others one went on."""
    found = runs.tail([0, 2, 2, 3], [False, True, False, False])
    assert found.share == pytest.approx([1, 3 / 4, 3 / 4, 3 / 8])
    cells = runs.histogram([0, 2, 2, 3], [False, True, False, False], last=1)
    assert (cells.observed, cells.cut) == ((1, 3), 1)
    assert cells.p == pytest.approx(7 / 10)


def test_the_last_cell_expects_five_when_innings_allow():
    found = runs.histogram(np.random.default_rng(1).geometric(0.5, 300) - 1)
    assert found.expected[-1] >= 5 > found.expected[-1] * found.p
    assert runs.histogram([0, 1, 0]).last == 1


def test_runs_that_are_not_geometric_are_seen():
    alike = np.array([1] * 100 + [0] * 100 + [2] * 100)
    assert runs.goodness(alike, draws=400).p_value < 0.01


@settings(max_examples=25)
@given(st.floats(0.05, 0.9), st.integers(1, 200))
def test_a_high_run_grows_with_innings(p, innings):
    assert runs.expected_high_run(p, innings) <= runs.expected_high_run(p, innings + 1)
    assert runs.chance_of_run(p, innings, 3) >= runs.chance_of_run(p, innings, 4)


@settings(max_examples=25)
@given(st.integers(1, 30), st.integers(1, 30), st.sampled_from(["miss", "point"]))
def test_a_law_sums_to_one_about_its_mean(misses, points, last):
    law = streaks.law(misses, points, last)
    assert law.sum() == pytest.approx(1)
    assert law @ np.arange(len(law)) == pytest.approx(float(streaks.expected(misses, points, last)))


def test_what_cannot_have_ended_so_is_refused():
    for misses, points, last in ((0, 5, "miss"), (5, 0, "point")):
        with pytest.raises(ValueError, match=last):
            streaks.law(misses, points, last)
    with pytest.raises(ValueError, match="21"):
        streaks.scoring_innings(20, 25, 21)


def played(rng, form, matches=40, innings=25, extra=0.0):
    """Matches of so many innings; form moves between them, a stroke after a point gains `extra`."""
    for _ in range(matches):
        p = 1 / (1 + np.exp(0.4 - form * rng.standard_normal()))
        points = scoring = 0
        for _ in range(innings):
            run = 0
            while rng.random() < p + (extra if run else 0.0):
                run += 1
            points, scoring = points + run, scoring + (run > 0)
        yield Strokes(innings, points, scoring, "miss")


def test_form_between_matches_is_no_streak_and_clustering_is():
    rng = np.random.default_rng(2)
    alarms = sum(streaks.stratified(list(played(rng, 0.5))).p_two <= 0.05 for _ in range(40))
    assert alarms <= 6
    clustered = streaks.stratified(list(played(rng, 0.0, extra=0.2)))
    assert clustered.p_two < 0.01
    assert clustered.interval.low > 0
    assert "fewer and longer" in str(clustered.words)


def test_few_innings_say_what_they_could_not_show():
    found = streaks.stratified([Strokes(60, 40, 24, "miss"), Strokes(60, 40, 24, "miss")])
    assert "120 innings could not show" in str(found.words)
    assert streaks.stratified([Strokes(10, 0, 0, "miss")]).after_point is None


def test_a_match_won_keeps_its_last_point():
    """One order alone is free then, so nothing is out of the common."""
    found = permuting.streak([([1, 1, 1], True)], 1, draws=50)
    assert (found.points, found.strokes, found.difference, found.p_high) == (2, 2, 0.0, 1.0)
    assert permuting.streak([([0, 0, 1], False)], 2, draws=50).p_high is None
