"""Matches in sets: a race to a set distance, first to so many sets (national text)."""

import pytest

from tests.scoring.rules.match.desk import FIRST, SECOND, Desk


def sets(wanted=2, **given):
    return Desk(**{"distance": [3, 3], "sets_to_win": wanted, "equalizing": True} | given).open()


def test_set_is_won_and_the_next_begins_without_an_open():
    state = sets().innings(1, 0, 2).seen
    assert (state["sets"], state["set"]) == ({"white": 1, "yellow": 0}, 2)
    assert (state["status"], state["score"]) == ("playing", {"white": 0, "yellow": 0})
    assert state["opening"] is True


def test_start_alternates_and_colours_stay():
    desk = sets().innings(1, 0, 2)
    assert desk.seen["turn"] == "yellow"
    assert desk.seen["players"] == {"white": FIRST, "yellow": SECOND}
    desk.innings(1, 0, 2)
    assert (desk.seen["sets"], desk.seen["turn"]) == ({"white": 1, "yellow": 1}, "white")


# The alternation is from memory, so it is a setting.
def test_start_stays_where_the_rule_set_says_so():
    desk = sets(rule_set={"sets_alternate_start": False}).innings(1, 0, 2)
    assert (desk.seen["set"], desk.seen["turn"]) == (2, "white")


def test_first_to_the_wanted_sets_wins_the_match():
    state = sets().innings(1, 0, 2, 0, 2, 0, 1).seen
    assert (state["status"], state["winner"], state["ended_by"]) == ("over", FIRST, "sets")
    assert state["sets"] == {"white": 2, "yellow": 0}
    assert state["score"] == {"white": 3, "yellow": 0}


def test_points_innings_and_high_run_are_of_the_match():
    state = sets().innings(1, 0, 2, 0, 2, 0).seen
    assert state["points"] == {"white": 5, "yellow": 0}
    assert state["innings"] == {"white": 3, "yellow": 3}
    assert state["high_run"] == {"white": 2, "yellow": 0}
    assert state["average"] == {"white": "1.666", "yellow": "0.000"}


def test_run_ends_with_its_set():
    desk = sets(rule_set={"sets_alternate_start": False}, equalizing=False)
    for _ in range(3):
        desk.write("point")
    assert (desk.seen["set"], desk.seen["turn"], desk.seen["run"]["white"]) == (2, "white", 0)
    state = desk.write("point")
    assert (state["run"]["white"], state["high_run"]["white"], state["innings"]["white"]) == (1, 3, 2)


def test_set_of_a_single_inning_is_equalized():
    desk = sets().innings(3)
    assert (desk.seen["set"], desk.seen["equalizing"], desk.seen["opening"]) == (1, "yellow", True)
    desk.innings(2)
    assert (desk.seen["set"], desk.seen["sets"]) == (2, {"white": 1, "yellow": 0})


def test_longer_set_is_not_equalized():
    desk = sets().innings(1, 1, 2)
    assert (desk.seen["set"], desk.seen["sets"]["white"]) == (2, 1)


def test_set_of_a_single_inning_without_equalizing():
    assert sets(equalizing=False).innings(3).seen["sets"] == {"white": 1, "yellow": 0}


def test_drawn_set_counts_for_nobody_and_is_followed_by_another():
    state = sets().innings(3, 3).seen
    assert (state["set"], state["sets"], state["status"]) == (2, {"white": 0, "yellow": 0}, "playing")
    assert state["points"] == {"white": 3, "yellow": 3}


def test_equalizing_in_a_later_set_is_for_the_second_of_that_set():
    desk = sets().innings(1, 0, 2)
    state = desk.write("inning", run=3)
    assert (state["set"], state["equalizing"], state["turn"]) == (2, "white", "white")


@pytest.mark.parametrize("limit", [1, 2])
def test_limit_holds_for_each_set(limit):
    desk = sets(innings_limit=limit).innings(*[1, 0] * limit)
    assert (desk.seen["set"], desk.seen["sets"]) == (2, {"white": 1, "yellow": 0})
    assert desk.seen["innings"] == {"white": limit, "yellow": limit}


def test_last_inning_at_the_limit_of_a_longer_set_is_played_as_the_balls_lie():
    assert sets(innings_limit=2).innings(1, 0, 1).seen["opening"] is False
    assert sets(innings_limit=1).innings(1).seen["opening"] is True


def test_sheet_names_the_set_of_each_inning():
    desk = sets().innings(1, 0, 2, 1)
    assert [(one["set"], one["inning"], one["colour"]) for one in desk.sheet] == [
        (1, 1, "white"),
        (1, 1, "yellow"),
        (1, 2, "white"),
        (2, 2, "yellow"),
    ]
