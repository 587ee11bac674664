"""Corrections in place: where an entry stands, what holds a place, whose it is."""

import pytest

from scoring.rules.match.checks import Refused
from tests.scoring.rules.match.desk import FIRST, SECOND, Desk

LAYOUT = {"white": [1.5, 2], "yellow": [2, 2], "red": [2, 6]}
OTHER = {"white": [1, 1], "yellow": [3, 3], "red": [2, 5]}


def match(*runs, **given):
    return Desk(**{"distance": [30, 30], "equalizing": True} | given).open().innings(*runs)


def runs(desk, colour):
    return [one["run"] for one in desk.sheet if one["colour"] == colour and one["counts"]]


def codes(state):
    return [(flag["seq"], flag["code"]) for flag in state["flags"]]


# instead_of


def test_correction_takes_the_place_where_it_stood():
    desk = match(1, 2, 3, 4)
    state = desk.write("inning", run=7, instead_of=2, why="misread")
    assert (state["seq"], state["turn"], state["flags"]) == (6, "white", [])
    assert runs(desk, "white") == [7, 3]
    assert [(row["place"], row["seq"]) for row in desk.rows] == [(2, 6), (3, 3), (4, 4), (5, 5)]


def test_inning_seven_is_corrected_in_inning_twelve():
    desk = match(*[0, 1] * 11, distance=[50, 50])
    seventh = desk.sheet[12]["strokes"][0]["seq"]
    state = desk.write("inning", run=5, instead_of=seventh)
    assert runs(desk, "white") == [0] * 6 + [5] + [0] * 4
    assert (state["high_run"]["white"], state["innings"], state["flags"]) == (
        5,
        {"white": 11, "yellow": 11},
        [],
    )


def test_correction_by_uuid():
    desk = match(1, 2)
    assert desk.write("inning", run=4, instead_of=desk.entries[1].uuid.upper())["score"]["white"] == 4


def test_target_may_be_any_entry_of_the_chain_and_the_latest_holds():
    desk = match(1, 2)
    desk.write("inning", run=3, instead_of=2)
    desk.write("inning", run=4, instead_of=2)
    assert desk.seen["score"]["white"] == 4
    assert desk.write("inning", run=5, instead_of=4)["score"]["white"] == 5
    assert (desk.rows[0]["place"], desk.rows[0]["seq"]) == (2, 6)


def test_correction_corrected_back_is_no_correction():
    desk = match(1, 2)
    before = desk.rows
    desk.write("inning", run=3, instead_of=2)
    desk.write("inning", run=1, instead_of=2)
    assert [row | {"seq": 0} for row in desk.rows] == [row | {"seq": 0} for row in before]


def test_stroke_becomes_another():
    desk = Desk(distance=[9, 9]).open()
    for kind in ("point", "point", "miss"):
        desk.write(kind)
    state = desk.write("miss", instead_of=3)
    assert codes(state) == [(4, "off-turn")]
    state = desk.write("point", instead_of=4)
    assert codes(state) == [(6, "off-turn")]
    assert (state["turn"], state["innings"]["white"], state["run"]["white"]) == ("white", 2, 1)


def test_strokes_become_a_whole_inning():
    desk = Desk(distance=[9, 9]).open()
    for kind in ("point", "point", "miss"):
        desk.write(kind)
    desk.write("void", target=3)
    desk.write("void", target=4)
    state = desk.write("inning", run=2, instead_of=2)
    assert (state["score"]["white"], state["innings"]["white"], state["flags"]) == (2, 1, [])


def test_stroke_may_stand_where_a_timeout_was_tapped():
    desk = Desk(distance=[9, 9], timeouts=2).open()
    desk.write("timeout")
    state = desk.write("miss", instead_of=2)
    assert (state["turn"], state["timeouts"]["white"], state["innings"]["white"]) == ("yellow", 0, 1)
    state = desk.write("void", target=3)
    assert (state["turn"], state["timeouts"]["white"], state["innings"]["white"]) == ("white", 1, 0)


# Striking out


def test_struck_out_last_is_as_if_never_written():
    desk = match(1, 2)
    before = desk.seen
    desk.write("inning", run=3)
    assert desk.write("void", target=4) == before | {"seq": 5}


def test_strike_outs_go_back_to_the_opening():
    desk = match(1, 2, 3)
    for target in (4, 3, 2):
        desk.write("void", target=target)
    assert desk.seen | {"seq": 1} == match().seen


def test_struck_out_correction_brings_back_what_it_replaced():
    desk = match(1, 2)
    desk.write("inning", run=3, instead_of=2)
    desk.write("inning", run=4, instead_of=2)
    assert desk.write("void", target=5)["score"]["white"] == 3
    assert desk.write("void", target=4)["score"]["white"] == 1


def test_struck_out_correction_amid_a_chain_leaves_the_latest():
    desk = match(1, 2)
    desk.write("inning", run=3, instead_of=2)
    desk.write("inning", run=4, instead_of=2)
    assert desk.write("void", target=4)["score"]["white"] == 4
    assert desk.write("void", target=5)["score"]["white"] == 1


def test_struck_out_original_empties_the_place_corrections_and_all():
    desk = match(1, 2)
    desk.write("inning", run=3, instead_of=2)
    state = desk.write("void", target=2)
    assert (state["score"], state["innings"]) == ({"white": 0, "yellow": 2}, {"white": 0, "yellow": 1})
    assert codes(state) == [(3, "off-turn")]
    assert desk.write("void", target=4)["score"]["white"] == 0


@pytest.mark.parametrize("target", [2, 4])
def test_empty_place_is_filled_again(target):
    desk = match(1, 2)
    desk.write("inning", run=3, instead_of=2)
    desk.write("void", target=2)
    state = desk.write("inning", run=6, instead_of=target)
    assert (state["score"], state["flags"], state["turn"]) == ({"white": 6, "yellow": 2}, [], "white")
    assert desk.write("void", target=6)["innings"]["white"] == 0


def test_struck_out_correction_may_be_named_again():
    desk = match(1, 2)
    desk.write("inning", run=3, instead_of=2)
    desk.write("void", target=4)
    assert desk.write("inning", run=5, instead_of=4)["score"]["white"] == 5
    assert desk.write("void", target=6)["score"]["white"] == 1


def test_struck_out_settlement_and_dispute_count_no_more():
    desk = match(1)
    desk.write("dispute", target=2)
    desk.write("settle", target=2, decision="stands")
    assert desk.seen["flags"] == []
    assert codes(desk.write("void", target=4)) == [(2, "disputed")]
    assert codes(desk.write("void", target=3)) == []


def test_struck_out_suspension_concession_and_confirmation_count_no_more():
    desk = match(1)
    desk.write("suspend")
    assert desk.write("void", target=3)["status"] == "playing"
    desk.write("concede", player=FIRST)
    desk.write("confirm")
    assert desk.write("void", target=6)["status"] == "over"
    assert desk.write("void", target=5)["status"] == "playing"


# before


def test_forgotten_inning_is_inserted_for_the_colour_on_turn_there():
    desk = match(1, 2, 3)
    state = desk.write("inning", run=4, before=4)
    assert (state["score"], state["innings"]) == ({"white": 8, "yellow": 2}, {"white": 3, "yellow": 1})
    assert runs(desk, "white") == [1, 4, 3]
    assert codes(state) == [(4, "off-turn")]


def test_forgotten_inning_is_inserted_for_the_colour_it_names():
    desk = match(1, 2, 3)
    state = desk.write("inning", run=4, before=4, by="yellow")
    assert (state["score"], runs(desk, "yellow")) == ({"white": 4, "yellow": 6}, [2, 4])
    assert codes(state) == [(5, "off-turn")]


def test_two_forgotten_innings_leave_no_question():
    desk = match(1, 2, 3)
    desk.write("inning", run=4, before=4)
    state = desk.write("inning", run=5, before=4)
    assert (runs(desk, "white"), runs(desk, "yellow"), state["flags"]) == ([1, 4, 3], [2, 5], [])


def test_insertion_before_an_empty_place_keeps_its_order():
    desk = match(1, 2)
    desk.write("void", target=2)
    state = desk.write("inning", run=6, before=2)
    assert (state["score"], state["flags"]) == ({"white": 6, "yellow": 2}, [])


def test_inserted_entry_may_be_corrected_and_struck_out():
    desk = match(1, 2)
    desk.write("inning", run=4, before=3, by="yellow")
    assert desk.write("inning", run=5, instead_of=4)["score"]["yellow"] == 7
    assert desk.write("void", target=4)["score"]["yellow"] == 2


def test_inning_cut_by_another_goes_on_with_the_next_entry_of_its_colour():
    desk = Desk(distance=[9, 9]).open()
    desk.write("point")
    desk.write("point")
    state = desk.write("inning", run=1, before=3, by="yellow")
    assert codes(state) == [(4, "off-turn")]
    assert (state["innings"], state["run"]["white"]) == ({"white": 1, "yellow": 1}, 2)
    assert desk.write("miss")["high_run"]["white"] == 2


# Whose it is


def test_no_run_ever_moves_to_the_other_player():
    desk = match(1, 2, 3, 4, 5)
    before = desk.seen["score"]
    assert desk.write("void", target=3)["score"] == before | {"yellow": 4}
    assert desk.write("void", target=2)["score"] == {"white": 8, "yellow": 4}


def test_wrong_colour_is_corrected_to_the_one_on_turn_there():
    desk = match(1, 2, 3)
    desk.write("void", target=2)
    state = desk.write("inning", run=2, instead_of=3, by="white")
    assert (state["score"], codes(state)) == ({"white": 5, "yellow": 0}, [(4, "off-turn")])


def test_later_innings_are_renumbered_one_by_one():
    desk = match(1, 2, 3, 4)
    desk.write("void", target=2)
    for target, run, by in ((3, 2, "white"), (4, 3, "yellow"), (5, 4, "white")):
        desk.write("inning", run=run, instead_of=target, by=by)
    assert (desk.seen["score"], desk.seen["flags"]) == ({"white": 6, "yellow": 3}, [])
    assert desk.seen["turn"] == "yellow"


def test_colour_of_neither_the_place_nor_the_turn_is_refused():
    desk = match(1, 2)
    with pytest.raises(Refused) as refused:
        desk.write("inning", run=1, instead_of=2, by="yellow")
    assert refused.value.code == "not-on-turn"


# What follows is judged again


def test_distance_reached_earlier_ends_the_match_earlier():
    desk = match(1, 2, 3, 4, distance=[5, 9], equalizing=False)
    state = desk.write("inning", run=5, instead_of=2)
    assert (state["status"], state["winner"], state["score"]) == ("over", FIRST, {"white": 5, "yellow": 0})
    assert codes(state) == [(3, "after-end"), (4, "after-end"), (5, "after-end")]


def test_distance_no_longer_reached_lets_the_match_go_on():
    desk = match(5, distance=[5, 9], equalizing=False)
    assert desk.seen["status"] == "over"
    state = desk.write("inning", run=4, instead_of=2)
    assert (state["status"], state["turn"], state["winner"]) == ("playing", "yellow", None)


def test_equalizing_inning_follows_a_correction():
    desk = match(1, 2, 3, 4, distance=[5, 9])
    state = desk.write("inning", run=2, instead_of=2)
    assert (state["status"], state["winner"]) == ("over", FIRST)
    assert state["score"] == {"white": 5, "yellow": 6}
    assert state["flags"] == []


# Balls told before a stroke


def test_told_balls_belong_to_the_stroke_that_follows():
    desk = Desk(distance=[9, 9]).open()
    desk.write("position", layout=LAYOUT, cue_ball="white")
    desk.write("point")
    desk.write("point")
    first, second = desk.rows
    assert (first["details"]["layout"], first["details"]["position"]) == (LAYOUT, 2)
    assert second["details"] == {}


def test_told_balls_are_not_taken_by_an_insertion_before_their_stroke():
    desk = match(1)
    desk.write("position", layout=LAYOUT)
    desk.write("miss")
    desk.write("miss", before=4, by="white")
    assert [row["details"].get("position") for row in desk.rows] == [None, None, 3]


def test_told_balls_of_a_struck_out_stroke_serve_its_repetition_only():
    desk = Desk(distance=[9, 9]).open()
    desk.write("position", layout=LAYOUT)
    desk.write("miss")
    desk.write("miss")
    desk.write("void", target=3)
    assert [row["details"] for row in desk.rows] == [{}]
    desk.write("miss", instead_of=3)
    assert [row["details"].get("position") for row in desk.rows] == [2, None]
    again = Desk(distance=[9, 9]).open()
    again.write("position", layout=LAYOUT)
    again.write("miss")
    again.write("void", target=3)
    again.write("point")
    assert [row["details"].get("position") for row in again.rows] == [2]


def test_own_layout_of_a_stroke_comes_before_the_told_one():
    desk = Desk(distance=[9, 9]).open()
    desk.write("position", layout=LAYOUT)
    desk.write("point", layout=OTHER)
    assert desk.rows[0]["details"]["layout"] == OTHER


def test_second_player_may_be_corrected_as_well():
    desk = match(1, 2, 3, 4)
    state = desk.write("foul", instead_of=5, reason="touched")
    assert (state["score"]["yellow"], state["players"]["yellow"]) == (2, SECOND)
    assert desk.rows[-1]["reason"] == "touched"


def test_insertion_after_the_own_distance_is_refused_even_with_nothing():
    desk = match(5, 0, distance=[5, 9])
    with pytest.raises(Refused) as refused:
        desk.write("inning", run=0, before=3, by="white")
    assert refused.value.code == "past-distance"


def test_run_after_the_end_is_kept_however_long():
    desk = match(1, 2, distance=[3, 9], equalizing=False)
    desk.write("inning", run=3, instead_of=2)
    assert codes(desk.write("inning", run=40, instead_of=3)) == [(5, "after-end")]
