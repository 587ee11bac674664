"""Every study runs, at a tiny size; what it found stands in `kept`, and was found by the same recipe."""

import json
from itertools import islice

import pytest

from tests.studies import calibration_words, chain, false_alarms, interval_coverage, spread_fit
from tests.studies.study import KEPT, share

STUDIES = {
    "calibration_words": calibration_words.study,
    "chain": chain.study,
    "false_alarms": false_alarms.study,
    "interval_coverage": interval_coverage.study,
    "spread_fit": spread_fit.study,
}


@pytest.mark.parametrize("name", STUDIES)
def test_a_study_runs_and_its_rows_are_those_that_were_kept(name, monkeypatch):
    monkeypatch.setattr(spread_fit, "LENGTHS", (25, 100))
    rows = list(islice(STUDIES[name](2, 5), 2))
    kept = json.loads((KEPT / f"{name}.json").read_text("utf-8"))
    assert kept["recipe"]["study"] == name
    for row, before in zip(rows, kept["rows"], strict=False):
        assert list(row) == list(before)
        known = [key for key, value in row.items() if not isinstance(value, tuple | float)]
        assert {key: row[key] for key in known} == {key: before[key] for key in known}


def test_a_share_carries_its_error():
    assert share([True] * 90 + [False] * 10) == (0.9, 0.03)
