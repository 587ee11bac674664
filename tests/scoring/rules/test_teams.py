"""Standings of teams and what is told of line-ups."""

from fractions import Fraction

import pytest

from scoring.rules.ranking import rank
from scoring.rules.standings import Counting, Result, Side
from scoring.rules.teams import (
    TEAM_ORDER,
    Deduction,
    Encounter,
    LineUpRule,
    Member,
    board_points,
    distance_of,
    encounter_result,
    in_order,
    line_up_warnings,
    team_rows,
)


def board(points, others, innings):
    winner = "h" if points > others else "a" if others > points else None
    return Result(Side("h", points, innings, 3), Side("a", others, innings, 5), winner=winner)


MISSING = Result(Side("h"), Side("nobody"), "walkover", "h")
NOBODY = Result(Side("x"), Side("y"), "walkover")
NORTH_SOUTH = Encounter("north", "south", (board(30, 20, 25), board(10, 30, 40), board(25, 25, 30), MISSING))
SOUTH_EAST = Encounter("south", "east", (board(30, 10, 20), board(12, 30, 20), NOBODY))


def test_boards_add_up_to_an_encounter():
    assert (board_points(NORTH_SOUTH), encounter_result(NORTH_SOUTH)) == ((5, 3), (2, 0))
    assert (board_points(SOUTH_EAST), encounter_result(SOUTH_EAST)) == ((2, 2), (1, 1))
    assert encounter_result(Encounter("a", "b", awarded_to="b")) == (0, 2)
    assert encounter_result(Encounter("a", "b")) == (0, 0)
    three = Counting(win=3)
    assert encounter_result(NORTH_SOUTH, encounters=three) == (3, 0)


def test_a_missing_board_is_nothing_by_nothing():
    table = {row.key: row for row in team_rows(["north", "south", "east"], [NORTH_SOUTH, SOUTH_EAST])}
    north, south, east = table["north"], table["south"], table["east"]
    assert (north.match_points, north.board_points, north.points, north.innings, north.high_run) == (
        2, 5, 65, 95, 3,
    )  # fmt: skip
    assert (south.match_points, south.board_points, south.points, south.innings) == (1, 5, 117, 135)
    assert (east.match_points, east.board_points, east.points, east.innings) == (1, 2, 40, 40)
    assert south.against["north"].match_points == 0


def test_sets_of_both_sides_are_counted():
    sets = Result(Side("h", 40, 30, sets_won=2), Side("a", 35, 30, sets_won=1), winner="h")
    north, south = team_rows(["north", "south"], [Encounter("north", "south", (sets, sets))])
    assert (north.sets_won, north.sets_lost, south.sets_won, south.sets_lost) == (4, 2, 2, 4)


def test_order_of_teams_with_a_deduction():
    teams = ["north", "south", "east"]
    told = rank(team_rows(teams, [NORTH_SOUTH, SOUTH_EAST]), TEAM_ORDER)
    assert [(one.row.key, one.separated_by) for one in told] == [
        ("north", "match_points"),
        ("south", "board_points"),
        ("east", None),
    ]
    taken = [Deduction("north", "no line-up handed in", match_points=2, board_points=1)]
    told = rank(team_rows(teams, [NORTH_SOUTH, SOUTH_EAST], deductions=taken), TEAM_ORDER)
    assert [(one.row.key, one.row.match_points) for one in told] == [("south", 1), ("east", 1), ("north", 0)]
    assert told[2].row.board_points == 4


def test_what_is_not_confirmed_counts_for_nothing_yet():
    waiting = Encounter("north", "south", NORTH_SOUTH.boards, confirmed=False)
    disputed = Encounter("north", "south", NORTH_SOUTH.boards, disputed=True)
    for one, points in ((waiting, 0), (disputed, 2)):
        table = team_rows(["north", "south"], [one])
        assert [(row.match_points, row.pending) for row in table] == [(points, 1), (0, 1)]
        assert rank(table, TEAM_ORDER)[0].provisional
    with pytest.raises(KeyError):
        team_rows(["north"], [waiting])


ADA, BO, CY = (
    Member("a", "Ada", Fraction(3, 4)),
    Member("b", "Bo", Fraction(1, 2)),
    Member("c", "Cy", Fraction(3, 5)),
)
NEW = Member("n", "Nell")


def told(line_up, rule):
    return [str(line) for line in line_up_warnings(line_up, rule)]


def test_a_line_up_by_average():
    rule = LineUpRule(boards=3)
    assert told([ADA, CY, BO], rule) == []
    assert told([ADA, BO, CY], rule) == ["Cy (0.600) has a higher average than Bo (0.500) on a board above."]
    assert told([ADA, BO, CY], LineUpRule(3, leeway=Fraction(1, 10))) == []
    assert told([ADA, BO, CY], LineUpRule(3, by_average=False)) == []
    assert len(told([BO, NEW, ADA], rule)) == 1
    assert told([ADA, ADA], rule) == ["2 of 3 boards have a player.", "Ada stands on two boards."]
    assert in_order([NEW, BO, ADA, CY]) == [ADA, CY, BO, NEW]


def test_limits_of_substitutes():
    rule = LineUpRule(1, substitute_average=Fraction(1, 2), substitute_times=3, substitute_percent=110)
    strong = Member("s", "Sue", Fraction(51, 100), substitute=True, times=2)
    often = Member("o", "Oda", Fraction(1, 2), substitute=True, times=3)
    assert told([strong], rule) == ["Sue (0.510) is above the highest average of a substitute (0.500)."]
    assert told([often], rule) == ["Oda has been a substitute as often as one may (3)."]
    assert told([ADA], rule) == []
    assert [distance_of(one, 25, rule) for one in (strong, ADA)] == [28, 25]
