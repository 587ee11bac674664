"""A published score sheet: 50 points in 6 innings (read in an encyclopaedia copy)."""

import json
from itertools import accumulate
from pathlib import Path

import pytest

from scoring.rules.averages import shown

SHEETS = json.loads(Path(__file__).with_name("data").joinpath("score_sheets.json").read_text("utf-8"))


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet["source"])
def test_sheet_adds_up_and_shows_the_published_average(sheet):
    runs = sheet["innings"]
    assert list(accumulate(runs)) == sheet["progress"]
    assert sum(runs) == sheet["points"]
    assert max(runs) == sheet["high_run"]
    assert shown(sum(runs), len(runs)) == sheet["shown"]
