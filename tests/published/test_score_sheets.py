"""A published score sheet: 50 points in 6 innings (read in an encyclopaedia copy)."""

import json
from itertools import accumulate
from pathlib import Path

import pytest

from scoring.rules.averages import shown
from tests.scoring.rules.match.desk import Desk

SHEETS = json.loads(Path(__file__).with_name("data").joinpath("score_sheets.json").read_text("utf-8"))


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet["source"])
def test_sheet_adds_up_and_shows_the_published_average(sheet):
    runs = sheet["innings"]
    assert list(accumulate(runs)) == sheet["progress"]
    assert sum(runs) == sheet["points"]
    assert max(runs) == sheet["high_run"]
    assert shown(sum(runs), len(runs)) == sheet["shown"]


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet["source"])
@pytest.mark.parametrize("by_stroke", [False, True], ids=["by inning", "by stroke"])
def test_sheet_is_written_as_a_match_and_read_back(sheet, by_stroke):
    # The opponent's column was not published: innings of none stand for it.
    distance = sheet["points"]
    desk = Desk(distance=[distance, distance], equalizing=False).open()
    progress = []
    for run in sheet["innings"]:
        if by_stroke:
            for _ in range(run):
                desk.write("point")
            if desk.seen["turn"] == "white":
                desk.write("miss")
        else:
            desk.write("inning", run=run)
        progress.append(desk.seen["score"]["white"])
        if desk.seen["turn"] is not None:
            desk.write("inning", run=0)
    assert progress == sheet["progress"]
    state = desk.seen
    assert (state["status"], state["ended_by"], state["flags"]) == ("over", "distance", [])
    assert state["average"]["white"] == sheet["shown"]
    assert state["high_run"]["white"] == sheet["high_run"]
    assert state["innings"]["white"] == len(sheet["innings"])
    assert [one["run"] for one in desk.sheet if one["colour"] == "white"] == sheet["innings"]
