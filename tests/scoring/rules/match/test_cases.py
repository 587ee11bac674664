"""The fold agrees with the file of cases that the JavaScript fold must pass too.

A regression test, no proof: the cases were written by the Python fold itself.
"""

import json
from collections import Counter

from scoring.rules.match.entry import KINDS
from tests.cases import make_matches

WRITTEN = json.loads(make_matches.FILE.read_text("utf-8"))
STEPS = [step for case in WRITTEN["cases"] for step in case["steps"]]


def test_the_file_is_what_the_generator_writes():
    assert make_matches.text() == make_matches.FILE.read_text("utf-8")


def test_the_file_stays_small():
    assert make_matches.FILE.stat().st_size < 2**20


def test_the_cases_reach_every_kind_and_every_way_to_end():
    assert len(WRITTEN["cases"]) >= 300
    stored = [step for step in STEPS if "then" in step]
    assert {step["send"]["kind"] for step in stored} == set(KINDS)
    assert {step["then"]["ended_by"] for step in stored if "ended_by" in step["then"]} == {
        None, "distance", "limit", "sets", "extra", "played", "walkover", "award", "disqualified", "annulled",
        "concession", "retirement",
    }  # fmt: skip


def test_the_cases_reach_every_flag_and_refusal():
    flagged = {flag[1] for step in STEPS for flag in step.get("then", {}).get("flags", [])}
    assert flagged == {
        "ruling", "disputed", "off-turn", "clock", "implausible", "after-end", "past-distance"
    }  # fmt: skip
    refused = Counter(step["refused"] for step in STEPS if "refused" in step)
    assert set(refused) == {
        "already-open", "already-suspended", "already-void", "amid-inning", "instead-and-before", "no-target",
        "not-drawn", "not-on-turn", "not-open", "not-over", "not-suspended", "over", "past-distance",
        "suspended", "timeouts-used", "void-of-open", "void-of-void",
    }  # fmt: skip
    assert sum("malformed" in step for step in STEPS) >= 30
    assert sum(bool(step.get("renumber")) for step in STEPS) >= 30
