"""Standings from results: Garno's rule of withdrawal, and tables worked by hand.

The standings of 1928 stand in test_ranking_1928.py.
"""

import json
from fractions import Fraction
from itertools import permutations
from pathlib import Path

import pytest

from scoring.rules.averages import shown
from scoring.rules.ranking import rank
from scoring.rules.standings import Result, Side, rows, with_withdrawn

WORKED = json.loads(Path(__file__).with_name("data").joinpath("standings_worked.json").read_text("utf-8"))


def results(case):
    """First, second, match points of the first (2/1/0), points of both, innings of both."""
    for first, second, won, points, others, innings, their in case["matches"]:
        winner = {2: first, 1: None, 0: second}[won]
        outcome = "played" if innings else "walkover"
        yield Result(Side(first, points, innings), Side(second, others, their), outcome, winner)


@pytest.mark.parametrize("case", WORKED, ids=lambda case: case["note"])
def test_tables_worked_by_hand_no_source(case):
    """Sums and orders worked out by hand with exact fractions; no published table."""
    for order in list(permutations(results(case)))[::41]:
        table = rows(sorted(case["table"]), order)
        told = {
            row.key: [
                row.match_points,
                row.points,
                row.innings,
                shown(row.points, row.innings),
                str(Fraction(*row.best)),
            ]
            for row in table
        }
        assert told == case["table"]
        for criteria, name in (
            (("match_points", "general_average", "best_average"), "match_points_average_best"),
            (("match_points", "direct_match", "general_average"), "match_points_direct_average"),
        ):
            assert [one.row.key for one in rank(table, criteria)] == case[name]


def test_garno_modern_billiards_withdrawal():
    """Who withdraws keeps what was played and forfeits the rest; to annul is from memory."""
    played = [
        Result(Side("a", 30, 20), Side("b", 20, 20), winner="a"),
        Result(Side("b"), Side("c"), None),
        Result(Side("c", 9, 30), Side("a", 30, 30), winner="a"),
    ]
    kept = rows("abc", with_withdrawn(played, {"b"}))
    assert [(row.match_points, row.points, row.innings, row.pending) for row in kept] == [
        (4, 60, 50, 0),
        (0, 20, 20, 0),
        (2, 9, 30, 0),
    ]
    annulled = rows("abc", with_withdrawn(played, {"b"}, "annul"))
    assert [(row.match_points, row.points, row.innings) for row in annulled] == [
        (2, 30, 30),
        (0, 0, 0),
        (0, 9, 30),
    ]
