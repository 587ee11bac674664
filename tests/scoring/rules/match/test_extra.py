"""Extra innings after a draw: they decide, and count in no average or high run."""

import copy

import pytest

from scoring.rules.match.checks import Refused
from tests.scoring.rules.match.desk import FIRST, SECOND, Desk


def drawn(**given):
    return Desk(**{"distance": [3, 3], "equalizing": True} | given).open().innings(3, 3)


def test_one_inning_each_decides():
    desk = drawn()
    state = desk.write("extra")
    assert (state["status"], state["turn"], state["winner"]) == ("playing", "white", None)
    assert state["extra"] == {"white": [], "yellow": []}
    state = desk.write("inning", run=2)
    assert (state["status"], state["turn"]) == ("playing", "yellow")
    state = desk.write("inning", run=1)
    assert (state["status"], state["winner"], state["ended_by"]) == ("over", FIRST, "extra")
    assert state["extra"] == {"white": [2], "yellow": [1]}


def test_second_player_may_win():
    desk = drawn()
    desk.write("extra")
    assert desk.innings(0, 1).seen["winner"] == SECOND


def test_repeated_without_another_entry_until_decided():
    desk = drawn()
    desk.write("extra")
    state = desk.innings(2, 2, 0).seen
    assert (state["status"], state["turn"]) == ("playing", "yellow")
    state = desk.innings(0, 1, 0).seen
    assert state["extra"] == {"white": [2, 0, 1], "yellow": [2, 0, 0]}
    assert (state["status"], state["winner"]) == ("over", FIRST)


def test_they_count_in_no_figure_of_the_match():
    desk = drawn()
    before = desk.seen
    desk.write("extra")
    state = desk.innings(9, 1).seen
    for figure in ("score", "points", "innings", "high_run", "average", "sets"):
        assert state[figure] == before[figure]


def test_run_is_bound_by_no_distance_and_shown_while_it_lasts():
    desk = drawn()
    desk.write("extra")
    for _ in range(4):
        state = desk.write("point")
    assert (state["run"], state["turn"]) == ({"white": 4, "yellow": 0}, "white")
    assert state["to_go"] == {"white": None, "yellow": None}
    assert desk.write("miss")["run"] == {"white": 0, "yellow": 0}
    assert desk.sheet[-1]["extra"] is True
    assert (desk.sheet[-1]["run"], desk.sheet[-1]["inning"]) == (4, 1)


def test_starter_may_be_named():
    desk = drawn()
    assert desk.write("extra", starter=SECOND)["turn"] == "yellow"
    state = desk.innings(2, 1).seen
    assert (state["extra"], state["winner"]) == ({"white": [1], "yellow": [2]}, SECOND)


# Forum report: from the opening position; a setting.
@pytest.mark.parametrize(("wanted", "opening"), [("opening", True), ("as-they-lie", False)])
def test_position_of_extra_innings_is_a_setting(wanted, opening):
    desk = drawn(rule_set={"extra_from": wanted})
    assert desk.write("extra")["opening"] is opening
    assert desk.write("inning", run=0)["opening"] is opening


def test_draw_at_the_limit_may_be_decided_too():
    desk = Desk(distance=[9, 9], innings_limit=1).open().innings(2, 2)
    assert desk.write("extra")["status"] == "playing"
    assert desk.innings(1, 0).seen["winner"] == FIRST


def test_draw_of_totals_may_be_decided_too():
    desk = Desk(distance=[9, 9]).open()
    desk.write("result", outcome="played", score={"white": 9, "yellow": 9}, innings={"white": 4, "yellow": 4})
    assert desk.seen["winner"] is None
    desk.write("extra")
    assert desk.innings(1, 0).seen["winner"] == FIRST


def test_struck_out_they_leave_the_draw():
    desk = drawn()
    desk.write("extra")
    desk.innings(1, 0)
    assert desk.write("void", target=4)["flags"] != []
    desk.write("void", target=5)
    state = desk.write("void", target=6)
    assert (state["status"], state["winner"], state["extra"], state["flags"]) == ("over", None, None, [])


def test_correction_of_the_drawn_match_leaves_them_after_the_end():
    desk = drawn()
    desk.write("extra")
    desk.innings(1, 0)
    state = desk.write("inning", run=2, instead_of=3)
    assert (state["winner"], state["extra"]) == (FIRST, None)
    assert [(flag["seq"], flag["code"]) for flag in state["flags"]] == [(5, "after-end"), (6, "after-end")]


@pytest.mark.parametrize("way", ["playing", "won", "decided", "conceded", "annulled"])
def test_only_after_a_draw(way):
    desk = Desk(distance=[3, 3], equalizing=True).open()
    if way == "won":
        desk.innings(3, 2)
    elif way == "decided":
        desk.innings(3, 3)
        desk.write("extra")
        desk.innings(1, 0)
    elif way == "conceded":
        desk.write("concede", player=FIRST)
    elif way == "annulled":
        desk.write("result", outcome="annulled")
    with pytest.raises(Refused) as refused:
        desk.write("extra")
    assert refused.value.code == "not-drawn"


def test_not_after_the_confirmation_of_the_draw():
    desk = drawn()
    desk.write("confirm")
    with pytest.raises(Refused) as refused:
        desk.write("extra")
    assert refused.value.code == "over"
    desk.write("void", target=4, why="a decision was asked for")
    assert desk.write("extra")["status"] == "playing"


def test_pair_decides_only_when_both_of_its_innings_are_done():
    desk = drawn()
    desk.write("extra")
    desk.write("inning", run=2)
    desk.write("point")
    desk.write("miss", before=5, by="yellow")
    desk.write("void", target=7)
    state = desk.write("point", before=5, by="yellow")
    assert (state["status"], state["extra"]) == ("playing", {"white": [2], "yellow": [2]})
    assert desk.write("point")["winner"] is None
    assert desk.write("miss")["winner"] == SECOND


def test_totals_written_amid_them_are_the_last_word():
    desk = drawn()
    desk.write("extra")
    desk.write("result", outcome="played", score={"white": 3, "yellow": 3}, innings={"white": 1, "yellow": 1})
    with pytest.raises(Refused) as refused:
        desk.write("extra")
    assert refused.value.code == "not-drawn"


def test_an_earlier_state_stays_as_it_was():
    desk = drawn()
    desk.write("extra")
    for run in (1, 1, 0, 2):
        earlier, kept = desk.state, copy.deepcopy(desk.state)
        desk.write("inning", run=run)
        assert earlier == kept
