"""Questions to the organiser: seldom without a reason, always with one in words."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analytics.reports.contradictions import Stay, Written, at_two_tables, contradictions, too_fast
from analytics.reports.plausible import (
    Past,
    Runs,
    doubled,
    drift,
    one_in,
    run_in_one,
    run_on_sheet,
    total_on_sheet,
    unlikely,
)
from analytics.reports.races import Rules

RULES = Rules((10, 8))


def kinds(doubts):
    return [(one.kind, one.side) for one in doubts]


def test_a_run_beyond_the_player_is_asked_about_and_a_good_one_is_not():
    past = Past(60, 200)
    assert unlikely(past, 8, 14, 30) == []
    found = unlikely(past, 40, 46, 30, side=1)
    assert kinds(found) == [("run", 1), ("total", 1)]
    assert "A run of 40" in str(found[0].reason)
    assert not found[0].certain
    assert found[0].chance < 1e-15


def test_a_newcomer_is_seldom_asked():
    assert unlikely(Past(3, 10), 8, 12, 10) == []
    assert unlikely(Past(0, 0), 12, 30, 15) == []
    assert unlikely(Past(60, 200), 0, 0, 0) == []


def test_form_of_the_day_makes_questions_rarer():
    steady, moody = Past(600, 2000), Past(600, 2000, 0.35)
    assert run_on_sheet(moody, 9, 30) > 2 * run_on_sheet(steady, 9, 30)
    assert total_on_sheet(moody, 25, 30) > 2 * total_on_sheet(steady, 25, 30)


def test_chances_fall_with_what_is_asked():
    past = Past(60, 200)
    runs = [run_on_sheet(past, run, 25) for run in range(12)]
    totals = [total_on_sheet(past, points, 25) for points in range(0, 40, 4)]
    assert runs[0] == totals[0] == pytest.approx(1)
    assert (np.diff(runs) < 0).all()
    assert (np.diff(totals) < 0).all()
    with pytest.raises(ValueError, match="0"):
        run_on_sheet(past, 3, 0)
    with pytest.raises(ValueError, match="-1"):
        total_on_sheet(past, -1, 10)


@given(st.integers(0, 5_000), st.integers(0, 5_000), st.integers(0, 60))
@settings(max_examples=40, deadline=None)
def test_one_inning_alone_has_a_closed_form(points, misses, run):
    past = Past(points, misses)
    assert run_on_sheet(past, run, 1) == pytest.approx(run_in_one(past, run), rel=1e-7)


def test_false_questions_come_as_seldom_as_promised():
    """Sheets of players as they are believed to be, 20,000 of them; a limit that is seen often enough."""
    rng = np.random.default_rng(8)
    past, innings, sheets = Past(60, 200), 30, 20_000
    p = rng.beta(past.points + 0.5, past.misses + 0.5, sheets)
    runs = rng.geometric(1 - p[:, None], (sheets, innings)) - 1
    limit = next(run for run in range(50) if run_on_sheet(past, run, innings) < 1e-3)
    share = (runs.max(axis=1) >= limit).mean()
    assert share == pytest.approx(run_on_sheet(past, limit, innings), abs=7e-4)


@pytest.mark.parametrize(
    ("chance", "expected"), [(0.5, 2), (1e-4, 10_000), (1.234e-5, 81_000), (1e-30, 10**9)]
)
def test_a_chance_is_told_as_one_in_so_many(chance, expected):
    assert one_in(chance) == expected


def test_sheets_with_the_same_runs_are_asked_about_unless_they_are_short():
    rng = np.random.default_rng(4)
    first, second = (tuple(map(int, rng.geometric(0.6, 20) - 1)) for _ in range(2))
    sheets = [
        Runs("a", first, second),
        Runs("b", second, first),
        Runs("c", first[::-1], second),
        Runs("d", (0, 1), (1, 0)),
        Runs("e", (0, 1), (1, 0)),
        Runs("f", first, second),
    ]
    found = doubled(sheets)
    assert [one.about for one in found] == [("a", "b"), ("b", "f")]
    assert all(one.chance < 1e-6 and one.kind == "twice" for one in found)


def test_drift_alarms_as_seldom_as_promised_and_finds_what_is_off():
    rng = np.random.default_rng(3)
    p = rng.uniform(0.2, 0.6, 400)
    alarms = sum(drift(rng.random(400) < p, p).p_value < 0.05 for _ in range(200))
    assert alarms <= 18  # 10 are promised; more than 18 come once in 200
    off = drift(rng.random(400) < p - 0.15, p)
    assert off.p_value < 1e-3
    assert off.furthest < 0
    assert off.strokes == 400
    assert drift(np.array([]), np.array([])) is None


@pytest.mark.parametrize(
    ("sheet", "expected"),
    [
        (Written(RULES, (10, 4), (5, 5)), []),
        (Written(RULES, (9, 4), (7, 5)), [("innings", None)]),
        (Written(RULES, (9, 4), (5, 6)), [("innings", None)]),
        (Written(Rules((10, 8), innings_limit=20), (9, 4), (21, 21)), [("limit", None)]),
        (Written(RULES, (11, 4), (5, 5)), [("distance", 0)]),
        (Written(RULES, (9, 9), (5, 5)), [("distance", 1)]),
        (Written(RULES, (0, 4), (0, 0)), [("no-innings", 1)]),
        (Written(RULES, (9, 4), (5, 5), high_run=(1, 3)), [("high-run", 0)]),
        (Written(RULES, (3, 4), (5, 5), high_run=(4, 3)), [("high-run", 0)]),
        (Written(RULES, (4, 2), (2, 2), ((1, 3), (1, 1)), (3, 1)), []),
        (Written(RULES, (5, 2), (2, 2), ((1, 3), (1, 1))), [("sum", 0)]),
        (Written(RULES, (4, 2), (3, 2), ((1, 3), (1, 1))), [("count", 0)]),
        (Written(RULES, (4, 2), (2, 2), ((1, 3), (1, 1)), (4, 1)), [("longest", 0)]),
    ],
)
def test_a_sheet_against_itself(sheet, expected):
    found = contradictions(sheet)
    assert kinds(found) == expected
    assert all(one.certain and str(one.reason) for one in found)


@pytest.mark.parametrize(
    ("rules", "runs", "expected"),
    [
        (RULES, ((10,), (3,)), []),
        (RULES, ((10, 0), (3, 1)), [("after-end", 0), ("after-end", 1)]),
        (Rules((10, 8), equalizing=False), ((10,), (3,)), [("after-end", 1)]),
        (Rules((10, 8), equalizing=False), ((4, 6), (3,)), []),
        (RULES, ((4, 2), (8,)), [("after-end", 0)]),
        (RULES, ((4, 6), (1, 7)), []),
        (Rules((10, 8), sets_to_win=2), ((4, 6), (1, 0)), [("after-end", 1)]),
        (Rules((10, 8), sets_to_win=2), ((10,), (8,)), []),
        (Rules((None, None), innings_limit=9), ((10, 1), (3, 1)), []),
    ],
)
def test_innings_after_the_end(rules, runs, expected):
    points = tuple(map(sum, runs))
    found = contradictions(Written(rules, points, (len(runs[0]), len(runs[1])), runs))
    assert kinds(found) == expected


def test_nobody_plays_at_two_tables_at_once():
    stays = [
        Stay("anke", 1, "one", 0, 100),
        Stay("anke", 2, "two", 100, 200),
        Stay("anke", 3, "one", 150, 260),
        Stay("anke", 4, "one", 210, 240),
        Stay("bo", 5, "two", 120, 190),
    ]
    (found,) = at_two_tables(stays)
    assert found.about == ("anke", 2, 3)
    assert found.certain


def test_strokes_closer_than_can_be_played():
    assert too_fast([0, 30, 61, 90]) == []
    assert too_fast([]) == too_fast([5]) == []
    (found,) = too_fast([0, 30, 31, 60, 62.5], keys="abcde")
    assert found.about == ("c", "e")
    assert str(found.reason).startswith("2 strokes came less than 3 seconds")
    [found] = too_fast([0.0, 20.0, 21.5])
    assert str(found.reason) == "One stroke came less than 3 seconds after the one before: after 1.5."
    assert too_fast([0, 1, 40])[0].about == (1,)
