"""The validator agrees with the file of cases that the JavaScript validator must pass too.

A regression test, no proof: the answers were written by the Python validator itself.
"""

import json
from collections import Counter

import pytest

from scoring.rules.families import FAMILIES
from tests.cases import make_rulings

WRITTEN = json.loads(make_rulings.FILE.read_text("utf-8"))


def test_the_file_is_what_the_generator_writes():
    assert json.loads(json.dumps(make_rulings.everything())) == WRITTEN


@pytest.mark.parametrize("case", WRITTEN["cases"], ids=lambda case: case["discipline"])
def test_case(case):
    assert make_rulings.answer(case) == case["answer"]


def test_the_cases_reach_every_finding_and_family():
    assert len(WRITTEN["cases"]) >= 300
    answers = [case["answer"] for case in WRITTEN["cases"]]
    assert {one["family"] for one in answers} == {*FAMILIES, None}
    reasons = Counter(one["reason"]["template"] for one in answers)
    assert set(reasons) == {
        "a ball left the table",
        "played into the ball in contact",
        "played into the cushion in contact",
        "the red must be met first",
        "the red must be met directly, before any cushion",
        "no ball was met",
        "the second ball was missed",
        "no cushion",
        "one cushion",
        "two cushions",
        "%(cushions)s cushions",
        "Counts",
        "Counts: one cushion",
        "Counts: two cushions",
        "Counts: %(cushions)s cushions",
    }
