"""Standings: what counts, what separates, lots, and a rank that hangs on nothing but the sums."""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.ranking import CRITERIA, Met, Row, Separation, rank
from scoring.rules.standings import Counting, Result, Side, better_match, rows, with_withdrawn


def beats(winner, loser, points=0, innings=0):
    return Result(Side(winner, points, innings), Side(loser, 0, innings), winner=winner)


def test_both_exact_fractions_are_told():
    table = [Row("b", 10, 331, 676), Row("a", 10, 333, 675), Row("c", 8, 323, 627)]
    told = [one.by for one in rank(table)]
    assert told == [
        Separation("general_average", Fraction(333, 675), Fraction(331, 676), ("b", "a")),
        Separation("match_points", 10, 8, ("b", "a", "c")),
        None,
    ]


def test_a_row_without_innings_is_told_as_such():
    told = rank([Row("a", 2), Row("b", 2, 0, 9)])
    assert [(one.row.key, one.by and one.by.worse) for one in told] == [("b", None), ("a", None)]
    assert told[0].separated_by == "general_average"


CIRCLE = [beats("a", "b", 9, 10), beats("b", "c", 8, 10), beats("c", "a", 7, 10)]


def test_a_circle_is_not_settled_by_direct_matches():
    told = rank(rows("abc", CIRCLE), ("match_points", "direct_match", "general_average"))
    assert [(one.row.key, one.separated_by) for one in told] == [
        ("a", "general_average"),
        ("b", "general_average"),
        ("c", None),
    ]


def test_after_a_split_the_order_may_begin_again():
    """Four are equal and c is behind the others; among a, b and d alone the direct matches differ."""
    results = [
        beats("a", "b"), beats("a", "d"), beats("b", "c"), beats("d", "c"), beats("b", "x"),
        beats("d", "b"), beats("c", "a"), beats("c", "x"),
    ]  # fmt: skip
    table = rows("abcdx", results)
    order = ("match_points", "direct_match", "high_run")
    went_on = [(one.row.key, one.rank) for one in rank(table, order)]
    assert went_on == [("a", 1), ("d", 1), ("b", 3), ("c", 3), ("x", 5)]
    again = rank(table, order, restart=True)
    assert [(one.row.key, one.rank) for one in again] == [("a", 1), ("d", 2), ("b", 3), ("c", 4), ("x", 5)]
    assert again[0].by == Separation("direct_match", 2, 0, ("a", "d"))
    assert again[1].by == Separation("direct_match", 4, 2, ("a", "b", "c", "d"))


def test_the_average_in_direct_matches():
    table = rows("abc", CIRCLE)
    assert table[0].against == {"b": Met(2, 9, 10), "c": Met(0, 0, 10)}
    order = ("match_points", "direct_match", "direct_average")
    assert [one.row.key for one in rank(table, order)] == ["a", "b", "c"]
    assert rank(table, order)[0].by == Separation(
        "direct_average", Fraction(9, 20), Fraction(8, 20), ("a", "b", "c")
    )


def test_a_lot_is_asked_for_and_kept():
    table = [Row("a", 2), Row("b", 2), Row("c", 2), Row("d", 4)]
    assert [one.waits_for_lot for one in rank(table)] == [False] * 4
    waiting = rank(table, ("match_points", "lot"))
    assert [(one.row.key, one.rank, one.waits_for_lot) for one in waiting][1] == ("a", 2, True)
    of_two = rank(table, ("match_points", "lot"), lots=["ab"])
    assert [one.rank for one in of_two] == [1, 2, 2, 2]
    drawn = rank(table, ("match_points", "lot"), lots=["abc", "cab"])
    assert [(one.row.key, one.rank, one.waits_for_lot) for one in drawn[1:]] == [
        ("c", 2, False), ("a", 3, False), ("b", 4, False),
    ]  # fmt: skip
    assert drawn[1].by == Separation("lot", 1, 2, ("a", "b", "c"))


def test_standings_are_provisional_while_matches_wait_or_are_protested():
    played = [Result(Side("a"), Side("b"), None), beats("a", "c")]
    assert [row.pending for row in rows("abc", played)] == [1, 1, 0]
    assert all(one.provisional for one in rank(rows("abc", played)))
    protested = [Result(Side("a", 5, 9), Side("b", 4, 9), winner="a", protested=True)]
    table = rows("ab", protested)
    assert [(row.match_points, row.pending) for row in table] == [(2, 1), (0, 1)]
    assert not any(one.provisional for one in rank(rows("ac", [beats("a", "c")])))


def test_what_an_administrative_result_brings_is_a_setting():
    walkover = Result(Side("a", 30, 25), Side("b"), "walkover", "a")
    retired = Result(Side("a", 12, 10, 4), Side("b", 3, 10, 2), "retired", "a")
    assert [(row.match_points, row.points, row.best) for row in rows("ab", [walkover, retired])] == [
        (4, 12, None),
        (0, 3, None),
    ]
    credited = Counting(counts={"walkover": "all", "retired": "match-points"})
    assert [(row.match_points, row.points) for row in rows("ab", [walkover, retired], credited)] == [
        (4, 30),
        (0, 0),
    ]
    nobody = Result(Side("a"), Side("b"), "walkover")
    assert [row.match_points for row in rows("ab", [nobody])] == [0, 0]
    both = with_withdrawn([Result(Side("a"), Side("b"), None)], {"a", "b"})
    assert both == [Result(Side("a"), Side("b"), "walkover")]
    with pytest.raises(ValueError, match="forget"):
        with_withdrawn([], (), "forget")


def test_points_of_a_scheme_and_sets_and_percentages():
    result = Result(
        Side("a", 40, 20, 5, 40, 2, Fraction(12)), Side("b", 33, 20, 6, 38, 1, Fraction(868, 100)), winner="a"
    )
    table = rows("ab", [result])
    assert [row.match_points for row in table] == [12, Fraction(217, 25)]
    assert rank(table, ("percentage",))[0].by == Separation("percentage", 1, Fraction(33, 38), ("a", "b"))
    assert rank(table, ("set_ratio",))[0].by.worse == Fraction(1, 3)
    assert [one.row.key for one in rank(table, ("high_run",))] == ["b", "a"]


def test_of_equal_averages_the_longer_match_is_the_best():
    assert better_match((10, 20), (15, 30)) == better_match((15, 30), (10, 20)) == (15, 30)
    assert better_match(None, (0, 3)) == (0, 3)
    assert better_match((5, 0), (0, 3)) == better_match((0, 3), (5, 0)) == (0, 3)


PLAYERS = "abcdef"
MATCHES = st.lists(
    st.tuples(st.permutations(PLAYERS), st.integers(0, 2), st.integers(0, 3), st.integers(0, 3)), max_size=9
)


@given(
    MATCHES,
    st.permutations(list(CRITERIA)),
    st.booleans(),
    st.lists(st.permutations(PLAYERS), max_size=1),
    st.permutations(PLAYERS),
)
def test_ranking_is_a_total_preorder_whatever_the_order_of_input(drawn, order, restart, lots, entrants):
    results = [
        Result(
            Side(pair[0], points, innings), Side(pair[1], 1, innings), winner=(pair[0], pair[1], None)[how]
        )
        for pair, how, points, innings in drawn
    ]
    told = rank(rows(PLAYERS, results), order, restart=restart, lots=lots)
    again = rank(rows(entrants, results[::-1]), order, restart=restart, lots=lots)
    ranks = {one.row.key: one.rank for one in told}
    assert {one.row.key: one.rank for one in again} == ranks
    assert set(ranks) == set(PLAYERS)
    for one in told:
        assert one.rank == 1 + sum(rank_ < one.rank for rank_ in ranks.values())
        assert one.shared == (sum(rank_ == one.rank for rank_ in ranks.values()) > 1)
    for one, following in pairwise(told):
        assert (one.by is None) == (one.rank == following.rank)
        assert one.by is None or one.by.better != one.by.worse
        assert {one.row.key, following.row.key} <= set(one.by.among if one.by else PLAYERS)
    if lots:
        assert sorted(ranks.values()) == [1, 2, 3, 4, 5, 6]
