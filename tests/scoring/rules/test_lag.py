"""The lag is judged by the rule set."""

from dataclasses import replace

import pytest

from scoring.rules.lag import LagStroke, judge_lag, lag_in_words
from scoring.rules.rulesets import RULE_SETS

WORLD = RULE_SETS["world"]
NEAR, FAR = LagStroke(rest=0.2), LagStroke(rest=0.7)


def test_nearest_to_the_bottom_cushion_chooses():
    assert judge_lag(NEAR, FAR, WORLD).chooses == 0
    assert judge_lag(FAR, NEAR, WORLD).chooses == 1


@pytest.mark.parametrize("second", [NEAR, LagStroke(rest=None)])
def test_equal_or_undecidable_is_repeated(second):
    found = judge_lag(NEAR, second, WORLD)
    assert (found.chooses, found.caused) == (None, None)


def test_a_ball_that_strays_loses_however_near():
    assert judge_lag(replace(NEAR, strayed=True), FAR, WORLD).chooses == 1


def test_a_late_ball_repeats_and_the_second_repeat_caused_loses():
    late = replace(NEAR, in_time=False)
    found = judge_lag(FAR, late, WORLD)
    assert (found.chooses, found.caused) == (None, 1)
    assert judge_lag(FAR, late, WORLD, caused=(0, 1)).chooses == 0
    assert judge_lag(FAR, late, WORLD, caused=(1, 0)).chooses is None
    assert judge_lag(FAR, late, replace(WORLD, lag_repeats_that_lose_choice=1)).chooses == 0


def test_both_at_fault_or_both_late_repeat_and_nobody_caused_it():
    strayed, late = replace(NEAR, strayed=True), replace(NEAR, in_time=False)
    for both in (strayed, late):
        found = judge_lag(both, both, WORLD)
        assert (found.chooses, found.caused) == (None, None)


def test_a_touched_long_cushion_is_a_fault_where_the_rule_set_says_so():
    touched = replace(NEAR, long_cushion=True)
    strict = replace(WORLD, lag_touching_long_cushion_is_fault=True)
    assert judge_lag(touched, FAR, WORLD).chooses == 0
    assert judge_lag(touched, FAR, strict).chooses == 1
    assert len(lag_in_words(strict)) == len(lag_in_words(WORLD)) + 1
