"""When a match ends, and who won: the rules of its end, each reached by a setting."""

import pytest

from tests.scoring.rules.match.desk import FIRST, SECOND, Desk


def ending(state):
    return state["status"], state["winner"], state["ended_by"]


# Several national texts: when the starter reaches the distance, the second player has
# one inning from the opening position.
def test_starter_at_the_distance_leaves_an_equalizing_inning_from_the_opening_position():
    desk = Desk(distance=[5, 5], equalizing=True).open().innings(2, 1)
    state = desk.write("inning", run=3)
    assert (state["status"], state["turn"]) == ("playing", "yellow")
    assert (state["equalizing"], state["opening"]) == ("yellow", True)
    state = desk.write("inning", run=3)
    assert ending(state) == ("over", FIRST, "distance")
    assert state["innings"] == {"white": 2, "yellow": 2}
    assert state["turn"] is None


def test_both_at_the_distance_is_a_draw():
    state = Desk(distance=[5, 5], equalizing=True).open().innings(5, 5).seen
    assert ending(state) == ("over", None, "distance")


def test_second_player_at_the_distance_ends_at_once():
    state = Desk(distance=[5, 5], equalizing=True).open().innings(4, 5).seen
    assert ending(state) == ("over", SECOND, "distance")
    assert state["innings"] == {"white": 1, "yellow": 1}


# UMB notice of 17 Dec 2019: knock-out matches without it.
def test_without_equalizing_the_starter_wins_at_once():
    state = Desk(distance=[5, 5], equalizing=False).open().innings(2, 1, 3).seen
    assert ending(state) == ("over", FIRST, "distance")
    assert state["innings"] == {"white": 2, "yellow": 1}


# A club's rules: the equalizing inning from where the balls lie.
def test_equalizing_inning_from_where_the_balls_lie():
    state = Desk(distance=[5, 5], equalizing=True, equalizing_from="as-they-lie").open().innings(5).seen
    assert (state["equalizing"], state["opening"]) == ("yellow", False)


# KNBB SAR 5204/5402: red first again after a return; a setting of the rule set.
def test_equalizing_inning_without_the_rule_of_the_opening_stroke():
    loose = {"opening_again_on_return": False}
    state = Desk(rule_set=loose, distance=[5, 5], equalizing=True).open().innings(5).seen
    assert (state["equalizing"], state["opening"]) == ("yellow", False)


def test_last_point_ends_the_inning_by_itself():
    desk = Desk(distance=[2, 2], equalizing=True).open()
    desk.write("point")
    state = desk.write("point")
    assert (state["turn"], state["run"]) == ("yellow", {"white": 0, "yellow": 0})
    desk.write("point")
    assert ending(desk.write("miss")) == ("over", FIRST, "distance")


def test_distances_belong_to_the_entrants_not_to_the_colours():
    desk = Desk(distance=[5, 3], equalizing=False).open(SECOND)
    assert desk.seen["distance"] == {"white": 3, "yellow": 5}
    assert desk.seen["to_go"] == {"white": 3, "yellow": 5}
    assert ending(desk.write("inning", run=3)) == ("over", SECOND, "distance")


def test_without_a_distance_nothing_ends_a_match_but_an_entry():
    desk = Desk(distance=[None, None]).open().innings(300, 0, 400)
    assert desk.seen["status"] == "playing"
    assert desk.seen["to_go"] == {"white": None, "yellow": None}


# Regional league text: at an innings limit the better percentage of the own distance wins.
@pytest.mark.parametrize("equalizing", [True, False])
def test_limit_gives_both_the_same_innings_whatever_equalizing_says(equalizing):
    desk = Desk(distance=[20, 20], innings_limit=2, equalizing=equalizing).open().innings(3, 1, 4)
    assert (desk.seen["status"], desk.seen["turn"]) == ("playing", "yellow")
    state = desk.write("inning", run=0)
    assert ending(state) == ("over", FIRST, "limit")
    assert state["innings"] == {"white": 2, "yellow": 2}


@pytest.mark.parametrize(
    ("distances", "runs", "winner"),
    [
        ([20, 10], (5, 3), SECOND),  # 25 % against 30 %
        ([20, 10], (6, 3), None),  # equal shares
        ([30, 10], (7, 2), FIRST),  # 23.3 % against 20 %
        ([33, 99], (1, 3), None),  # a third of a tenth either way: never through a division
    ],
)
def test_limit_compares_shares_of_the_own_distance(distances, runs, winner):
    state = Desk(distance=distances, innings_limit=1).open().innings(*runs).seen
    assert ending(state) == ("over", winner, "limit")


@pytest.mark.parametrize(("runs", "winner"), [((5, 3), FIRST), ((2, 3), SECOND), ((3, 3), None)])
def test_limit_without_distances_compares_points(runs, winner):
    state = Desk(distance=[None, None], innings_limit=1).open().innings(*runs).seen
    assert ending(state) == ("over", winner, "limit")


def test_distance_before_the_limit_wins_by_equalizing_as_ever():
    plain = Desk(distance=[4, 4], innings_limit=5, equalizing=False).open().innings(4).seen
    assert ending(plain) == ("over", FIRST, "distance")
    equal = Desk(distance=[4, 4], innings_limit=5, equalizing=True).open().innings(4, 2).seen
    assert ending(equal) == ("over", FIRST, "distance")


def test_distance_in_the_last_inning_of_the_limit():
    desk = Desk(distance=[4, 4], innings_limit=1, equalizing=True).open().innings(4)
    assert (desk.seen["status"], desk.seen["equalizing"]) == ("playing", "yellow")
    assert ending(desk.write("inning", run=4)) == ("over", None, "distance")


def test_reaching_the_distance_beats_any_share_at_the_limit():
    state = Desk(distance=[4, 4], innings_limit=2, equalizing=True).open().innings(3, 0, 0, 4).seen
    assert ending(state) == ("over", SECOND, "distance")


# Several national texts: (or the innings limit) one inning from the opening position.
@pytest.mark.parametrize(
    ("given", "opening"),
    [
        ({"equalizing": True}, True),
        ({"equalizing": True, "equalizing_from": "as-they-lie"}, False),
        ({"equalizing": False}, False),
    ],
)
def test_last_inning_at_the_limit_starts_as_an_equalizing_one(given, opening):
    desk = Desk(distance=[20, 20], innings_limit=2, **given).open().innings(1, 1)
    assert desk.seen["opening"] is False
    assert desk.write("inning", run=1)["opening"] is opening


def test_average_is_cut_as_the_format_says():
    assert Desk(distance=[9, 9]).open().innings(2, 0, 0, 0, 0).seen["average"]["white"] == "0.666"
    half_up = Desk(distance=[9, 9], average_rounding="half-up", average_decimals=2).open()
    assert half_up.innings(2, 0, 0, 0, 0).seen["average"] == {"white": "0.67", "yellow": "0.00"}
    assert Desk(distance=[9, 9]).open().seen["average"] == {"white": None, "yellow": None}


def test_high_run_includes_the_run_under_way():
    desk = Desk(distance=[9, 9]).open()
    desk.write("point")
    state = desk.write("point")
    assert (state["high_run"]["white"], state["run"]["white"], state["innings"]["white"]) == (2, 2, 1)
