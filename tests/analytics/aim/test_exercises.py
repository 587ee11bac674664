"""Exercises: the same for the same seed, answered by the systems, right and wrong told apart."""

from __future__ import annotations

from itertools import pairwise

import pytest

from analytics.aim.diamonds.geometry import LENGTH, WIDTH
from analytics.aim.diamonds.systems import answer
from analytics.aim.exercises import LEVELS, RUN, exercise


@pytest.mark.parametrize("level", LEVELS)
def test_a_run_is_the_same_again_and_never_asks_twice_in_a_row(level: str) -> None:
    run = [exercise(level, 41, place) for place in range(1, RUN + 1)]
    assert run == [exercise(level, 41, place) for place in range(1, RUN + 1)]
    assert all(one.question != after.question for one, after in pairwise(run))
    assert run != [exercise(level, 42, place) for place in range(1, RUN + 1)]


@pytest.mark.parametrize("level", LEVELS)
def test_what_is_asked_for_is_not_given_and_the_system_answers_it(level: str) -> None:
    for seed in range(1, 9):
        one = exercise(level, seed, 2)
        assert getattr(one.question, one.find) is None
        assert getattr(answer(one.question), one.find) == pytest.approx(one.expected)
        assert one.is_right(one.expected)
        assert not one.is_right(one.expected + one.within + 0.05)
        for ball in (one.question.cue_ball, one.question.ball):
            assert ball is None or (0.2 < ball[0] < WIDTH - 0.2 and 0.2 < ball[1] < LENGTH - 0.2)


def test_numbers_to_work_out_are_exact_and_numbers_to_read_near() -> None:
    assert not exercise("sum", 3, 1).is_right(exercise("sum", 3, 1).expected + 0.1)
    assert exercise("ball", 3, 1).is_right(exercise("ball", 3, 1).expected - 0.2)


# cafe.daum.net: half a number of arrival for each number that the origin lies off 5.
def test_corrected_aims_follow_the_published_rule() -> None:
    for seed in range(1, 15):
        one = exercise("correction", seed, 1)
        origin, wanted = one.question.origin, one.question.arrival
        assert origin is not None
        assert wanted is not None
        assert one.expected == pytest.approx(origin - (wanted + 0.5 * (5 - origin)))


# vanderkraan.nl: the places on the fourth rail from origin 5.
def test_fourth_rail_asks_for_published_places() -> None:
    places = {5.0: (4, 2), 4.0: (4, 1), 3.0: (4, 0), 2.0: (3.14, 0), 1.0: (2.5, 0)}
    met = {}
    for place in range(1, RUN + 1):
        one = exercise("fourth", 1, place)
        met[one.expected] = one.fourth
    assert len(set(met) & set(places)) >= 3
    for aim, at in met.items():
        if aim in places:
            assert at == pytest.approx(places[aim])


def test_a_level_that_is_not_there_is_refused() -> None:
    with pytest.raises(KeyError):
        exercise("nothing", 1, 1)
