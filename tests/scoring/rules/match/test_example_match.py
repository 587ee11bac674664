"""The example match of the API contract, step by step, on the fold alone."""

import pytest

from scoring.rules.match.checks import Refused
from tests.scoring.rules.match.desk import Desk

ROUND = [{"ball": "red"}, {"rail": "left"}, {"rail": "top"}, {"rail": "right"}, {"ball": "yellow"}]
TWO = [{"ball": "red"}, {"rail": "left"}, {"rail": "top"}, {"ball": "white"}]


def flags(state):
    return [(flag["seq"], flag["code"], flag["counts"]) for flag in state["flags"]]


def test_example_match_step_by_step():
    desk = Desk(distance=[5, 5], equalizing=True, innings_limit=None)
    state = desk.write("open", starter=9, decided_by="lag")
    assert state["players"] == {"white": 9, "yellow": 7}
    assert (state["turn"], state["status"], state["seq"]) == ("white", "playing", 1)

    state = desk.write("point", contacts=ROUND)
    assert (state["score"]["white"], state["run"]["white"], state["innings"]["white"]) == (1, 1, 1)
    assert desk.rows[-1]["tried"] == "around-the-table"

    state = desk.write("miss")
    assert (state["turn"], state["high_run"]["white"]) == ("yellow", 1)

    state = desk.write("inning", run=2)
    assert (state["score"]["yellow"], state["innings"]["yellow"], state["turn"]) == (2, 1, "white")

    state = desk.write("inning", run=0)
    assert (state["innings"]["white"], state["turn"]) == (2, "yellow")

    state = desk.write("point", contacts=TWO)
    assert state["score"]["yellow"] == 3
    assert flags(state) == [(6, "ruling", True)]
    assert state["flags"][0]["ruling"]["reason"] == "two cushions"

    state = desk.write("settle", target=6, decision="counted, one cushion was not entered")
    assert (state["seq"], state["flags"]) == (7, [])

    state = desk.write("miss")
    assert (state["turn"], state["high_run"]["yellow"]) == ("white", 2)

    state = desk.write("inning", run=2, instead_of=5, why="two written as none")
    assert (state["seq"], state["score"]["white"], state["innings"]["white"]) == (9, 3, 2)
    assert (state["turn"], state["flags"]) == ("white", [])

    with pytest.raises(Refused) as refused:
        desk.write("miss", after=6)
    assert refused.value.code == "stale"
    assert desk.seen["seq"] == 9

    state = desk.write("inning", run=2)
    assert (state["score"]["white"], state["innings"]["white"]) == (5, 3)
    assert (state["status"], state["turn"], state["opening"]) == ("playing", "yellow", True)

    state = desk.write("inning", run=1)
    assert (state["score"]["yellow"], state["innings"]["yellow"]) == (4, 3)
    assert (state["status"], state["winner"], state["turn"]) == ("over", 9, None)

    with pytest.raises(Refused) as refused:
        desk.write("miss")
    assert refused.value.code == "over"

    state = desk.write("void", target=4)
    assert (state["seq"], state["score"]["yellow"], state["innings"]["yellow"]) == (12, 2, 2)
    assert flags(state) == [(9, "off-turn", True)]
    assert state["winner"] == 9

    state = desk.write("inning", run=2, instead_of=4)
    assert (state["seq"], state["flags"]) == (13, [])
    assert (state["score"]["yellow"], state["innings"]["yellow"]) == (4, 3)

    state = desk.write("confirm")
    assert (state["seq"], state["status"]) == (14, "confirmed")
    assert state["average"] == {"white": "1.666", "yellow": "1.333"}
    assert state["high_run"] == {"white": 2, "yellow": 2}
