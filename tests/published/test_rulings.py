"""Rulings against the published rules; each case names its source and how it was read."""

import json
from pathlib import Path

import pytest

from scoring.rules.contacts import parse_contacts
from scoring.rules.disciplines import DISCIPLINES
from scoring.rules.rulesets import RULE_SETS
from scoring.rules.rulings import rule

CASES = json.loads(Path(__file__).with_name("data").joinpath("rulings.json").read_text("utf-8"))


def _id(case):
    met = "-".join(one.get("ball") or one["rail"] for one in case["contacts"])
    return f"{case['source']} | {case['status']} | {case['discipline']} {met}"


@pytest.mark.parametrize("case", CASES, ids=_id)
def test_ruling_is_as_published(case):
    ruling = rule(
        DISCIPLINES[case["discipline"]],
        case["cue_ball"],
        parse_contacts(case["contacts"], case["cue_ball"]),
        opening=case["opening"],
        touching_rail=case.get("touching_rail"),
        touching_ball=case.get("touching_ball"),
        off_table=case.get("off_table", ()),
        rule_set=RULE_SETS[case.get("rule_set", "world")],
    )
    assert ruling.valid is case["valid"]
    if case["announced"]:
        assert str(ruling.reason) == case["announced"]


def test_no_ground_is_memory_alone_without_saying_so():
    told = {case["status"] for case in CASES}
    assert told <= {"seen", "computed", "excerpt", "memory"}
    assert all("US rules" in case["source"] for case in CASES if case["status"] == "memory")


def test_required_cushions_of_the_disciplines():
    """National federation pages: none, one, three (USBA rule 2)."""
    assert {code: one.required_cushions for code, one in DISCIPLINES.items()} == {
        "straight-rail": 0,
        "one-cushion": 1,
        "three-cushion": 3,
    }


def test_last_points_announced():
    """be-ja.nl, Dutch practice: "and three" in three-cushion, "and five" in other games."""
    assert {code: one.announce_last for code, one in DISCIPLINES.items()} == {
        "straight-rail": 5,
        "one-cushion": 5,
        "three-cushion": 3,
    }
