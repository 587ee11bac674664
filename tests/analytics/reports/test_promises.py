"""Promises: what must hold whatever was promised."""

from time import process_time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analytics.reports import promises

CHANCES = st.lists(st.floats(0.01, 0.99), min_size=1, max_size=150)


@settings(max_examples=25)
@given(CHANCES)
def test_a_law_sums_to_one_about_what_was_promised(promised):
    law = promises.law(promised)
    points = law.start + np.arange(len(law.chances))
    assert law.chances.sum() == pytest.approx(1)
    assert law.chances @ points == pytest.approx(sum(promised))
    low, high = law.central(0.9)
    assert law.at_most(high) >= 0.95 > law.at_most(high - 1)
    assert law.at_most(low) >= 0.05 > law.at_most(low - 1)


@settings(max_examples=25)
@given(CHANCES)
def test_misses_promised_for_points_turn_the_tails_about(promised):
    made = np.arange(len(promised)) % 2
    there = promises.promise(promised, made)
    back = promises.promise(1 - np.array(promised), 1 - made)
    assert there.gained == pytest.approx(-back.gained)
    assert [there.p_low, there.p_two] == pytest.approx([back.p_high, back.p_two])


def test_groups_are_judged_apart():
    promised, made = [0.2, 0.7, 0.4, 0.5], [1, 1, 0, 1]
    groups = [("declared", "blind"), ("best", "blind"), ("declared", "blind"), ("best", "hindsight")]
    found = promises.by_group(promised, made, groups)
    assert list(found) == [("declared", "blind"), ("best", "blind"), ("best", "hindsight")]
    assert found["declared", "blind"] == promises.promise([0.2, 0.4], [1, 0])
    assert promises.by_group([], [], []) == {}
    assert list(promises.by_group(promised, made, np.array([3, 1, 3, 1]))) == [3, 1]


@pytest.mark.parametrize(
    ("promised", "made"), [([0.5], [2]), ([0.5, 0.5], [1]), ([1.0], [1]), ([float("nan")], [1]), ([], [])]
)
def test_what_is_no_promise_is_refused(promised, made):
    with pytest.raises(ValueError, match=r"outcome|predictions|strokes"):
        promises.promise(promised, made)


def test_a_choice_costs_what_the_best_line_promised_beyond_it():
    found = promises.cost_of_choice([0.5, 0.6], [0.4, 0.65])
    assert (found.strokes, found.cost, found.per_100) == pytest.approx((2, 0.05, 2.5))
    assert promises.cost_of_choice([], []).per_100 == 0.0


def test_strokes_that_would_tell_do_tell():
    """Promised .4, made .45: four times in five the two-sided tail falls under ten in a hundred."""
    strokes = promises.strokes_to_tell(0.24)
    law = promises.law(np.full(strokes, 0.4))
    reached = np.random.default_rng(1).binomial(strokes, 0.45, 400)
    seen = np.mean([2 * min(law.at_most(points), law.at_least(points)) < 0.1 for points in reached])
    assert seen == pytest.approx(0.8, abs=0.05)
    assert strokes == 600


def test_a_hundred_thousand_strokes_are_summed_exactly_and_at_once():
    promised = np.random.default_rng(2).uniform(0.01, 0.95, 100_000)
    since = process_time()
    law = promises.law(promised)
    assert process_time() - since < 1.0  # a twentieth of this
    assert law.chances @ (law.start + np.arange(len(law.chances))) == pytest.approx(promised.sum())
