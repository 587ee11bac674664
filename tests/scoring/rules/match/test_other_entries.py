"""Start, time-outs, clock, suspension, giving up, administrative results, confirmation."""

import pytest

from scoring.rules.match.checks import Refused
from tests.scoring.rules.match.desk import FIRST, SECOND, Desk


def code_of(desk, kind, **fields):
    with pytest.raises(Refused) as refused:
        desk.write(kind, **fields)
    assert len(desk.entries) == desk.seen["seq"]
    return refused.value.code


# World rules of carom billiard, art. 23: who starts has white; leagues let the draw or
# the home side decide.
@pytest.mark.parametrize("how", ["lag", "draw", "home", "other"])
@pytest.mark.parametrize("starter", [FIRST, SECOND])
def test_starter_has_white(how, starter):
    state = Desk(distance=[5, 5]).write("open", starter=starter, decided_by=how)
    assert state["players"] == {"white": starter, "yellow": FIRST + SECOND - starter}
    assert (state["turn"], state["decided_by"], state["opening"]) == ("white", how, True)


def test_before_the_opening():
    state = Desk(distance=[5, 5]).seen
    assert (state["status"], state["turn"], state["seq"]) == ("planned", None, 0)
    assert state["players"] == {"white": None, "yellow": None}
    assert state["innings"] == {"white": 0, "yellow": 0}


# Time-outs


def test_timeouts_are_counted_for_the_player_on_turn():
    desk = Desk(distance=[9, 9], timeouts=2).open()
    assert desk.write("timeout")["timeouts"] == {"white": 1, "yellow": 0}
    desk.write("miss")
    assert desk.write("timeout")["timeouts"] == {"white": 1, "yellow": 1}
    assert desk.seen["innings"]["yellow"] == 0


def test_surplus_timeout_is_refused_and_a_struck_out_one_given_back():
    desk = Desk(distance=[9, 9], timeouts=1).open()
    desk.write("timeout")
    assert code_of(desk, "timeout") == "timeouts-used"
    assert desk.write("void", target=2)["timeouts"]["white"] == 0
    assert desk.write("timeout")["timeouts"]["white"] == 1


def test_format_without_timeouts_has_none():
    assert code_of(Desk(distance=[9, 9], timeouts=None).open(), "timeout") == "timeouts-used"


def test_timeout_stays_with_its_player_after_a_correction():
    desk = Desk(distance=[9, 9], timeouts=2).open().innings(1)
    desk.write("timeout")
    assert desk.write("void", target=2)["timeouts"] == {"white": 0, "yellow": 1}


def test_restored_seconds_change_no_figure():
    desk = Desk(distance=[9, 9]).open()
    before = desk.seen
    assert desk.write("clock", seconds=12.5, why="a phone rang") == before | {"seq": 2}


# Suspension


def test_suspended_match_takes_no_play_until_it_is_resumed():
    desk = Desk(distance=[9, 9]).open()
    desk.write("point")
    state = desk.write("suspend", why="power cut")
    assert (state["status"], state["turn"], state["run"]["white"]) == ("suspended", "white", 1)
    assert code_of(desk, "point") == "suspended"
    assert code_of(desk, "timeout") == "suspended"
    assert desk.write("resume")["status"] == "playing"
    assert desk.write("point")["run"]["white"] == 2


def test_resumed_on_another_table():
    desk = Desk(distance=[9, 9]).open()
    desk.write("suspend")
    assert desk.write("resume", table=4)["table"] == 4


def test_suspended_match_takes_corrections():
    desk = Desk(distance=[9, 9]).open().innings(1, 2)
    desk.write("suspend")
    state = desk.write("inning", run=3, instead_of=2)
    assert (state["status"], state["score"]["white"], state["flags"]) == ("suspended", 3, [])


def test_suspended_match_may_be_conceded_and_go_on_when_that_is_struck_out():
    desk = Desk(distance=[9, 9]).open()
    desk.write("suspend")
    assert desk.write("concede", player=FIRST)["status"] == "over"
    assert desk.write("void", target=3)["status"] == "suspended"


def test_suspension_after_the_end_holds_nothing_up():
    desk = Desk(distance=[3, 3], equalizing=True).open().innings(2, 3)
    desk.write("void", target=3)
    desk.write("suspend")
    desk.write("inning", run=3, instead_of=2)
    state = desk.write("inning", run=3, instead_of=3)
    assert (state["status"], state["winner"]) == ("over", None)
    assert desk.write("extra")["status"] == "playing"


# Giving up and administrative results


@pytest.mark.parametrize(("kind", "how"), [("concede", "concession"), ("retire", "retirement")])
def test_who_gives_up_loses_and_what_was_played_stays(kind, how):
    desk = Desk(distance=[9, 9]).open().innings(4, 2)
    state = desk.write(kind, player=FIRST, why="injured")
    assert (state["status"], state["winner"], state["ended_by"]) == ("over", SECOND, how)
    assert state["score"] == {"white": 4, "yellow": 2}
    assert state["innings"] == {"white": 1, "yellow": 1}
    assert state["turn"] is None


@pytest.mark.parametrize("outcome", ["walkover", "award", "disqualified"])
@pytest.mark.parametrize("opened", [True, False])
def test_result_favours_the_player_it_names(outcome, opened):
    desk = Desk(distance=[9, 9])
    if opened:
        desk.open()
    state = desk.write("result", outcome=outcome, player=SECOND, why="did not appear")
    assert (state["status"], state["winner"], state["ended_by"]) == ("over", SECOND, outcome)
    assert desk.write("confirm")["status"] == "confirmed"


def test_struck_out_walkover_lets_the_match_be_opened():
    desk = Desk(distance=[9, 9])
    desk.write("result", outcome="walkover", player=FIRST)
    assert code_of(desk, "open", starter=FIRST) == "over"
    assert desk.write("void", target=1)["status"] == "planned"
    assert desk.write("open", starter=SECOND)["status"] == "playing"


def test_annulled_match_has_no_winner():
    desk = Desk(distance=[9, 9]).open().innings(9, 0)
    state = desk.write("result", outcome="annulled", player=FIRST, why="wrong line-up")
    assert (state["status"], state["winner"], state["ended_by"]) == ("over", None, "annulled")


TOTALS = {
    "score": {"white": 9, "yellow": 7},
    "innings": {"white": 6, "yellow": 6},
    "high_run": {"white": 4, "yellow": 3},
}


def test_totals_of_a_played_match():
    desk = Desk(distance=[9, 9]).open()
    state = desk.write("result", outcome="played", source="paper sheet", **TOTALS)
    assert (state["score"], state["innings"]) == (TOTALS["score"], TOTALS["innings"])
    assert state["high_run"] == TOTALS["high_run"]
    assert state["average"] == {"white": "1.500", "yellow": "1.166"}
    assert (state["winner"], state["ended_by"], state["flags"]) == (FIRST, "played", [])


def test_totals_belong_to_colours_and_the_named_winner_counts():
    desk = Desk(distance=[9, 9]).open(SECOND)
    assert desk.write("result", outcome="played", **TOTALS)["winner"] == SECOND
    assert desk.write("result", outcome="played", player=FIRST, **TOTALS)["winner"] == FIRST


def test_totals_are_compared_by_share_of_the_distance():
    desk = Desk(distance=[20, 10]).open()
    assert desk.write("result", outcome="played", **TOTALS)["winner"] == SECOND


def test_totals_of_sets_need_the_winner_named():
    desk = Desk(distance=[9, 9], sets_to_win=2).open()
    assert desk.write("result", outcome="played", **TOTALS)["winner"] is None
    assert code_of(desk, "extra") == "not-drawn"
    assert desk.write("result", outcome="played", player=SECOND, **TOTALS)["winner"] == SECOND


def test_result_of_an_organiser_overrules_the_end():
    desk = Desk(distance=[3, 3], equalizing=False).open().innings(3)
    assert desk.seen["winner"] == FIRST
    state = desk.write("result", outcome="disqualified", player=SECOND)
    assert state["winner"] == SECOND
    assert desk.write("void", target=3)["winner"] == FIRST


# Confirmation


def test_confirmation_closes_play_until_something_changes_it():
    desk = Desk(distance=[3, 3], equalizing=False).open().innings(3)
    assert desk.write("confirm", by="Referee, table 2")["status"] == "confirmed"
    assert desk.write("confirm")["status"] == "confirmed"
    desk.write("dispute", target=2)
    desk.write("settle", target=2, decision="stands")
    assert desk.seen["status"] == "confirmed"
    state = desk.write("inning", run=2, instead_of=2, why="miscounted")
    assert state["status"] == "playing"


@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        ("inning", {"run": 0, "instead_of": 3}),
        ("inning", {"run": 0, "before": 4, "by": "white"}),
        ("void", {"target": 5}),
        ("void", {"target": 6}),
        ("result", {"outcome": "award", "player": SECOND}),
    ],
)
def test_what_reopens_asks_for_another_confirmation(kind, fields):
    desk = Desk(distance=[3, 3], equalizing=False).open().innings(1, 1, 2)
    desk.write("dispute", target=2)
    desk.write("confirm")
    assert desk.write(kind, **fields)["status"] == "over"
    assert desk.write("confirm")["status"] == "confirmed"


def test_annotation_does_not_reopen():
    desk = Desk(distance=[1, 1], equalizing=False).open()
    desk.write("point")
    desk.write("confirm")
    assert desk.write("annotate", target=2, family="bank")["status"] == "confirmed"


def test_totals_without_innings_need_a_source_and_count_in_no_average():
    desk = Desk(distance=[None, None]).open()
    state = desk.write("result", outcome="played", score={"white": 12, "yellow": 9}, source="an old book")
    assert (state["score"]["white"], state["winner"], state["ended_by"]) == (12, FIRST, "played")
    assert (state["points"], state["innings"], state["flags"]) == (
        {"white": 0, "yellow": 0},
        {"white": 0, "yellow": 0},
        [],
    )
    high = {"white": 13, "yellow": 1}
    again = Desk(distance=[None, None]).open()
    told = {"score": {"white": 12, "yellow": 9}, "high_run": high, "source": "an old book"}
    assert [flag["code"] for flag in again.write("result", outcome="played", **told)["flags"]] == [
        "implausible"
    ]
