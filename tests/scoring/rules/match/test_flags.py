"""Open questions: what raises them, what they name, what settles them."""

from dataclasses import replace

import pytest

from scoring.rules.match.book import Book
from scoring.rules.match.entry import read_entry
from scoring.rules.match.play import append, fold
from tests.scoring.rules.match.desk import FIRST, Desk

VALID = [{"ball": "red"}, {"rail": "left"}, {"rail": "top"}, {"rail": "right"}, {"ball": "yellow"}]
TWO = [{"ball": "red"}, {"rail": "left"}, {"rail": "top"}, {"ball": "yellow"}]


def flags(state):
    return [(flag["seq"], flag["code"], flag["counts"]) for flag in state["flags"]]


def settled(state):
    return [(flag["seq"], flag["code"], flag["settled_by"]) for flag in state["settled"]]


def desk_of(**given):
    return Desk(**{"distance": [9, 9], "equalizing": False} | given).open()


# ruling


@pytest.mark.parametrize(
    ("kind", "contacts", "asked"),
    [
        ("point", VALID, False),
        ("point", TWO, True),
        ("miss", TWO, False),
        ("miss", VALID, True),
        ("foul", VALID, False),
        ("foul", TWO, False),
        ("point", [], True),
        ("miss", [], False),
    ],
)
def test_description_against_the_call(kind, contacts, asked):
    state = desk_of().write(kind, contacts=contacts)
    assert flags(state) == ([(2, "ruling", True)] if asked else [])
    assert state["score"]["white"] == (kind == "point")


def test_flag_carries_the_ruling():
    ruling = desk_of().write("point", contacts=TWO)["flags"][0]["ruling"]
    assert (ruling["valid"], ruling["cushions"], ruling["required"]) == (False, 2, 3)
    assert ruling["reason"] == "two cushions"


def test_annotated_contacts_are_asked_about_at_the_stroke():
    desk = desk_of()
    desk.write("point")
    assert flags(desk.write("annotate", target=2, contacts=TWO)) == [(2, "ruling", True)]
    assert flags(desk.write("annotate", target=2, contacts=VALID)) == []


def test_annotation_of_a_corrected_stroke_names_what_holds_the_place():
    desk = desk_of()
    desk.write("point")
    desk.write("miss", instead_of=2)
    desk.write("annotate", target=2, contacts=VALID)
    assert flags(desk.seen) == [(3, "ruling", True)]


def test_whole_inning_in_a_described_place_is_not_judged():
    desk = desk_of()
    desk.write("point")
    desk.write("annotate", target=2, contacts=VALID)
    state = desk.write("inning", run=2, instead_of=2)
    assert (state["flags"], state["score"]["white"]) == ([], 2)
    assert desk.rows[0]["details"] == {}


# disputed


def test_dispute_asks_until_it_is_settled():
    desk = desk_of().innings(1)
    assert flags(desk.write("dispute", target=2, why="it was two")) == [(2, "disputed", True)]
    state = desk.write("settle", target=2, decision="one")
    assert (flags(state), settled(state)) == ([], [(2, "disputed", 4)])
    assert flags(desk.write("dispute", target=2)) == [(2, "disputed", True)]


@pytest.mark.parametrize("kind", ["open", "timeout", "suspend", "concede"])
def test_any_entry_of_play_may_be_disputed(kind):
    desk = desk_of(timeouts=1)
    target = 1 if kind == "open" else 2
    if kind != "open":
        desk.write(kind, **({"player": FIRST} if kind == "concede" else {}))
    assert flags(desk.write("dispute", target=target)) == [(target, "disputed", True)]


def test_strike_out_may_be_disputed_at_what_it_struck_out():
    desk = desk_of().innings(1)
    desk.write("dispute", target=2)
    assert flags(desk.write("void", target=2)) == []
    assert flags(desk.write("dispute", target=2)) == [(2, "disputed", True)]
    assert desk.rows == []
    state = desk.write("settle", target=2, decision="stays out")
    assert (flags(state), settled(state)) == ([], [(2, "disputed", 6)])


# off-turn


def test_out_of_turn_counts_and_takes_the_turn_over():
    desk = desk_of().innings(1, 2, 3)
    state = desk.write("void", target=3)
    assert flags(state) == [(4, "off-turn", True)]
    assert (state["score"]["white"], state["turn"]) == (4, "yellow")
    assert desk.rows[-1]["codes"] == ["off-turn"]


# past-distance and after-end


def test_past_the_distance_counts_for_nothing_and_takes_no_turn():
    desk = desk_of(distance=[5, 9]).innings(2, 1, 3)
    desk.write("void", target=4)
    desk.innings(2)
    state = desk.write("inning", run=4, instead_of=2)
    assert flags(state) == [(6, "past-distance", False)]
    assert (state["score"]["white"], state["innings"]["white"], state["turn"]) == (4, 1, "white")
    assert [one["counts"] for one in desk.sheet] == [True, True, False]
    assert [one["run"] for one in desk.sheet] == [4, 1, 0]


def test_points_past_the_distance_stroke_by_stroke():
    desk = desk_of(distance=[3, 9], equalizing=True).innings(1, 0)
    for kind in ("point", "miss"):
        desk.write(kind)
    state = desk.write("inning", run=2, instead_of=2)
    assert flags(state) == [(5, "past-distance", False)]
    assert (state["score"]["white"], state["turn"], state["equalizing"]) == (3, "yellow", "yellow")


def test_after_the_end_counts_for_nothing():
    desk = desk_of(distance=[3, 9]).innings(1, 2, 1)
    state = desk.write("inning", run=3, instead_of=2)
    assert flags(state) == [(3, "after-end", False), (4, "after-end", False)]
    assert (state["score"], state["innings"]) == ({"white": 3, "yellow": 0}, {"white": 1, "yellow": 0})
    assert [row["counts"] for row in desk.rows] == [True, False, False]


def test_correction_may_stand_after_the_end():
    desk = desk_of(distance=[3, 9]).innings(1, 2)
    desk.write("inning", run=3, instead_of=2)
    state = desk.write("inning", run=5, instead_of=3)
    assert flags(state) == [(5, "after-end", False)]
    assert flags(desk.write("inning", run=1, instead_of=2)) == []
    assert desk.seen["score"] == {"white": 1, "yellow": 5}


def test_settled_after_end_still_counts_for_nothing():
    desk = desk_of(distance=[3, 9]).innings(1, 2)
    desk.write("inning", run=3, instead_of=2)
    state = desk.write("settle", target=3, decision="played on by mistake")
    assert (flags(state), settled(state)) == ([], [(3, "after-end", 5)])
    assert desk.rows[-1]["counts"] is False


# implausible


def test_unusually_long_run_is_asked_about_once():
    desk = desk_of(distance=[100, 100])
    assert flags(desk.write("inning", run=30)) == []
    assert flags(desk.write("inning", run=31)) == [(3, "implausible", True)]
    for _ in range(32):
        desk.write("point")
    assert flags(desk.seen) == [(3, "implausible", True), (34, "implausible", True)]


def test_discipline_without_a_usual_run_asks_nothing():
    assert flags(desk_of(discipline="straight-rail", distance=[900, 900]).write("inning", run=400)) == []


@pytest.mark.parametrize(
    "change",
    [
        {"innings": {"white": 6, "yellow": 4}},
        {"innings": {"white": 0, "yellow": 0}},
        {"high_run": {"white": 9, "yellow": 3}},
        {"high_run": {"white": 1, "yellow": 3}},
        {"score": {"white": 10, "yellow": 5}},
    ],
)
def test_totals_that_cannot_have_been_played_are_asked_about(change):
    totals = {
        "score": {"white": 8, "yellow": 5},
        "innings": {"white": 6, "yellow": 6},
        "high_run": {"white": 3, "yellow": 3},
    }
    assert desk_of().write("result", outcome="played", **totals)["flags"] == []
    state = desk_of().write("result", outcome="played", **totals | change)
    assert flags(state) == [(2, "implausible", True)]


# clock


def written(*entries):
    return [replace(read_entry(sent), seq=seq, **more) for seq, (sent, more) in enumerate(entries, 1)]


def test_unbelievable_device_time_is_asked_about():
    desk = desk_of()
    stroke = replace(read_entry({"kind": "miss"}), seq=2, by="white", misdated=True)
    state, row = append(desk.setup, desk.state, stroke)
    assert flags(state) == [(2, "clock", True)]
    assert (row["codes"], row["counts"]) == (["clock"], True)
    assert fold(desk.setup, Book([*desk.entries, stroke])) == state


def test_unbelievable_device_time_of_a_remark_is_asked_about_at_its_target():
    entries = written(
        ({"kind": "open", "starter": FIRST}, {}),
        ({"kind": "miss"}, {"by": "white"}),
        ({"kind": "annotate", "target": 2, "family": "bank"}, {"misdated": True}),
        ({"kind": "settle", "target": 2}, {"codes": ("clock",)}),
    )
    setup = desk_of().setup
    assert flags(fold(setup, Book(entries[:3]))) == [(2, "clock", True)]
    assert flags(fold(setup, Book(entries))) == []


def test_settlement_does_not_answer_for_its_own_device_time():
    entries = written(
        ({"kind": "open", "starter": FIRST}, {}),
        ({"kind": "miss"}, {"by": "white", "misdated": True}),
        ({"kind": "settle", "target": 2}, {"codes": ("clock",), "misdated": True}),
    )
    assert flags(fold(desk_of().setup, Book(entries))) == [(2, "clock", True)]


# settle


def test_settlement_answers_only_what_was_asked_then():
    desk = desk_of()
    desk.write("point", contacts=TWO)
    desk.write("settle", target=2, decision="counted")
    assert flags(desk.write("dispute", target=2)) == [(2, "disputed", True)]


def test_settlement_answers_all_that_was_asked_then():
    desk = desk_of()
    desk.write("point", contacts=TWO)
    desk.write("dispute", target=2)
    state = desk.write("settle", target=2)
    assert (flags(state), settled(state)) == ([], [(2, "ruling", 4), (2, "disputed", 4)])


def test_settlement_where_nothing_was_asked_answers_nothing_later():
    desk = desk_of()
    desk.write("point")
    desk.write("settle", target=2)
    assert flags(desk.write("annotate", target=2, contacts=TWO)) == [(2, "ruling", True)]


def test_new_description_asks_again_and_the_same_contents_do_not():
    desk = desk_of()
    desk.write("point", contacts=TWO)
    desk.write("settle", target=2)
    desk.write("void", target=2)
    state = desk.write("point", contacts=TWO, instead_of=2)
    assert (flags(state), settled(state)) == ([], [(5, "ruling", 3)])
    assert flags(desk.write("annotate", target=2, contacts=TWO[:3])) == [(5, "ruling", True)]


def test_other_contents_in_a_settled_place_ask_again():
    desk = desk_of()
    desk.write("point", contacts=TWO)
    desk.write("settle", target=2)
    assert flags(desk.write("miss", contacts=VALID, instead_of=2)) == [(4, "ruling", True)]


def test_later_strike_out_of_the_settlement_asks_again():
    desk = desk_of()
    desk.write("point", contacts=TWO)
    desk.write("settle", target=2)
    assert flags(desk.write("void", target=3)) == [(2, "ruling", True)]


def test_settlement_by_any_entry_of_the_chain():
    desk = desk_of()
    desk.write("point")
    desk.write("point", contacts=TWO, instead_of=2)
    assert flags(desk.write("settle", target=2)) == []
