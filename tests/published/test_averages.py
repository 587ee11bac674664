"""Shown averages against published tables; each case names its source."""

import json
from pathlib import Path

import pytest

from scoring.rules.averages import average, shown
from scoring.rules.disciplines import DISCIPLINES

CASES = json.loads(Path(__file__).with_name("data").joinpath("averages.json").read_text("utf-8"))


@pytest.mark.parametrize(
    "case", CASES, ids=lambda case: f"{case['source']} {case['points']}/{case['innings']}"
)
def test_average_is_shown_as_published(case):
    assert shown(case["points"], case["innings"], case["decimals"], case["rounding"]) == case["shown"]


def test_a_truncated_average_need_not_exceed_a_fixed_one():
    """A Dutch association: 21 in 24 innings stands as 0.87, which does not exceed a fixed 0.87."""
    assert shown(21, 24, 2) == shown(87, 100, 2)
    assert average(21, 24) > average(87, 100)


def test_decimals_of_the_disciplines():
    """Published tables: three decimals in cushion games, two in straight rail."""
    assert {code: one.decimals for code, one in DISCIPLINES.items()} == {
        "straight-rail": 2,
        "one-cushion": 3,
        "three-cushion": 3,
    }
