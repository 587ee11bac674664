"""The opening stroke, its return in the course of a match, fouls and what follows them."""

import pytest

from scoring.rules.fouls import FOUL_REASONS
from tests.scoring.rules.match.desk import Desk

YELLOW_FIRST = [{"ball": "yellow"}, {"rail": "left"}, {"rail": "top"}, {"rail": "right"}, {"ball": "red"}]
CUSHION_FIRST = [{"rail": "left"}, {"ball": "red"}, {"rail": "top"}, {"rail": "right"}, {"ball": "yellow"}]
RED_FIRST = [{"ball": "red"}, {"rail": "left"}, {"rail": "top"}, {"rail": "right"}, {"ball": "yellow"}]


def desk_of(**given):
    return Desk(**{"distance": [9, 9], "equalizing": True} | given).open()


def asked(state):
    return [flag["ruling"]["reason"] for flag in state["flags"] if flag["code"] == "ruling"]


# World rules of carom billiard, art. 23: the red must be struck first, directly.
def test_opening_stroke_asks_for_the_red_first_and_directly():
    assert asked(desk_of().write("point", contacts=RED_FIRST)) == []
    assert len(asked(desk_of().write("point", contacts=YELLOW_FIRST))) == 1
    assert len(asked(desk_of().write("point", contacts=CUSHION_FIRST))) == 1


# A Danish club's rules: red cushion-first is allowed.
def test_cushion_before_the_red_is_a_setting():
    loose = {"opening_red_direct": False}
    assert asked(desk_of(rule_set=loose).write("point", contacts=CUSHION_FIRST)) == []
    assert len(asked(desk_of(rule_set=loose).write("point", contacts=YELLOW_FIRST))) == 1


def test_red_first_is_a_setting():
    loose = {"opening_red_first": False}
    assert asked(desk_of(rule_set=loose).write("point", contacts=YELLOW_FIRST)) == []


def test_only_the_first_stroke_of_the_match_is_an_opening_stroke():
    desk = desk_of()
    desk.write("point")
    assert asked(desk.write("point", contacts=YELLOW_FIRST)) == []
    assert [row["opening"] for row in desk.rows] == [True, False]


def test_miss_is_followed_by_no_opening_stroke():
    desk = desk_of()
    desk.write("miss")
    desk.write("miss")
    assert [row["opening"] for row in desk.rows] == [True, False]


def test_declared_opening_comes_before_the_derived_one():
    desk = desk_of()
    assert asked(desk.write("point", contacts=YELLOW_FIRST, opening=False)) == []
    assert len(asked(desk.write("point", contacts=YELLOW_FIRST, opening=True))) == 1


# KNBB SAR 5204/5402: after any later return to the opening position, red first again.
def test_equalizing_inning_opens_again():
    desk = desk_of(distance=[1, 9])
    desk.write("point")
    assert desk.seen["opening"] is True
    own = [one if one != {"ball": "red"} else {"ball": "white"} for one in RED_FIRST]
    own[-1] = {"ball": "red"}
    assert len(asked(desk.write("point", contacts=own))) == 1
    assert desk.seen["opening"] is False


def test_return_to_the_opening_position_is_a_setting():
    loose = {"opening_again_on_return": False}
    assert desk_of(rule_set=loose, distance=[1, 9]).innings(1).seen["opening"] is False


# Fouls


@pytest.mark.parametrize("reason", FOUL_REASONS)
def test_each_foul_ends_the_inning_without_minus_points(reason):
    desk = desk_of()
    desk.write("point")
    state = desk.write("foul", reason=reason)
    assert (state["turn"], state["score"]["white"], state["innings"]["white"]) == ("yellow", 1, 1)
    assert desk.rows[-1]["reason"] == reason


def test_foul_reason_may_follow_later_and_be_changed():
    desk = desk_of()
    desk.write("foul")
    assert desk.rows[0]["reason"] is None
    desk.write("annotate", target=2, reason="touched")
    assert desk.rows[0]["reason"] == "touched"
    desk.write("annotate", target=2, reason="foot")
    assert desk.rows[0]["reason"] == "foot"
    desk.write("void", target=4)
    assert desk.rows[0]["reason"] == "touched"


# Championship rules 2014: time overrun with no time-out left, opponent gets the opening position.
@pytest.mark.parametrize("gives", [True, False])
def test_time_overrun_gives_the_opponent_the_opening_position(gives):
    desk = desk_of(rule_set={"time_overrun_gives_opening": gives})
    desk.write("point")
    state = desk.write("foul", reason="time")
    assert (state["opening"], state["score"]["white"]) == (gives, 1)


def test_time_overrun_told_later_opens_the_next_stroke():
    desk = desk_of(rule_set={"time_overrun_gives_opening": True})
    desk.write("foul")
    desk.write("miss")
    assert [row["opening"] for row in desk.rows] == [True, False]
    desk.write("annotate", target=2, reason="time")
    assert [row["opening"] for row in desk.rows] == [True, True]


# Federation handbook: straight rail, balkline, one-cushion: all three to the opening position.
@pytest.mark.parametrize(
    ("discipline", "opening"), [("straight-rail", True), ("one-cushion", True), ("three-cushion", False)]
)
def test_ball_off_the_table(discipline, opening):
    assert desk_of(discipline=discipline).write("foul", reason="outside")["opening"] is opening


# Families


def test_tried_is_derived_for_a_point_and_never_guessed_for_a_miss():
    desk = desk_of()
    desk.write("point", contacts=RED_FIRST)
    desk.write("miss", contacts=RED_FIRST[:4])
    assert [(row["tried"], row["made"]) for row in desk.rows] == [
        ("around-the-table", "around-the-table"),
        (None, None),
    ]


def test_declared_family_counts_as_tried_beside_the_one_that_was_made():
    desk = desk_of()
    desk.write("point", contacts=RED_FIRST, family="long-angle")
    assert (desk.rows[0]["tried"], desk.rows[0]["made"]) == ("long-angle", "around-the-table")
    desk.write("annotate", target=2, family="bank")
    assert desk.rows[0]["tried"] == "bank"
