"""Averages, ranking and the clock in small numbers."""

from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.averages import average, shown
from scoring.rules.clock import CLOCKS, overrun, read, timeouts_for
from scoring.rules.disciplines import DISCIPLINES
from scoring.rules.formats import complete_format
from scoring.rules.ranking import CRITERIA, Row, rank


def test_no_innings_no_average():
    assert average(0, 0) is None
    assert shown(3, 0) is None
    assert average(0, 4) == 0
    assert (shown(0, 4), shown(7, 2, 0), shown(7, 2, 0, "half-up")) == ("0.000", "3", "4")


def test_an_unknown_rounding_is_refused():
    with pytest.raises(ValueError, match="nearest"):
        shown(1, 2, 3, "nearest")


@given(st.integers(0, 10**6), st.integers(1, 10**5), st.integers(1, 6))
def test_shown_is_the_fraction_cut(points, innings, decimals):
    step = Fraction(1, 10**decimals)
    cut, up = (
        Fraction(shown(points, innings, decimals)),
        Fraction(shown(points, innings, decimals, "half-up")),
    )
    assert cut <= average(points, innings) < cut + step
    assert up - step / 2 <= average(points, innings) < up + step / 2


@given(st.integers(0, 10**6), st.integers(0, 3), st.integers(0, 4))
def test_shown_agrees_with_decimal_where_decimal_is_exact(points, tens, decimals):
    exact, place = Decimal(points) / 10**tens, Decimal(1).scaleb(-decimals)
    assert shown(points, 10**tens, decimals) == str(exact.quantize(place, ROUND_DOWN))
    assert shown(points, 10**tens, decimals, "half-up") == str(exact.quantize(place, ROUND_HALF_UP))


def test_equal_rows_share_a_rank_and_the_next_is_skipped():
    rows = [Row("d", 1, 10, 20, 3), Row("a", 4, 10, 20, 3), Row("b", 2, 10, 20, 3), Row("c", 2, 5, 10, 3)]
    told = [(one.row.key, one.rank, one.shared, one.separated_by) for one in rank(rows)]
    assert told == [
        ("a", 1, False, "match_points"),
        ("b", 2, True, None),
        ("c", 2, True, "match_points"),
        ("d", 4, False, None),
    ]


def test_the_criterion_that_separates_is_the_first_that_differs():
    rows = [Row("a", 2, 10, 20, 3), Row("b", 2, 10, 20, 2), Row("c", 2, 10, 30, 9), Row("d", 2)]
    told = [(one.row.key, one.separated_by) for one in rank(rows)]
    assert told == [("a", "high_run"), ("b", "general_average"), ("c", "general_average"), ("d", None)]


def test_other_orders():
    rows = [
        Row("a", 2, 10, 20, 3, best=(10, 20), against={"b": 0}),
        Row("b", 2, 10, 20, 3, best=(6, 10), against={"a": 2}),
        Row("c", 2, 10, 20, 3, against={"d": 2}),
    ]
    assert [one.row.key for one in rank(rows, ("match_points", "best_average"))] == ["b", "a", "c"]
    told = rank(rows, ("match_points", "direct_match"))
    assert [(one.row.key, one.rank) for one in told] == [("b", 1), ("a", 2), ("c", 2)]
    with pytest.raises(ValueError, match="beauty"):
        rank(rows, ("beauty",))
    assert rank([]) == []


@given(
    st.lists(
        st.builds(
            Row, st.uuids(), st.integers(0, 2), st.integers(0, 3), st.integers(0, 3), st.integers(0, 2)
        ),
        max_size=8,
    ),
    st.permutations(list(CRITERIA)),
    st.randoms(use_true_random=False),
)
def test_ranks_do_not_hang_on_the_order_of_rows(rows, order, random):
    ranks = {one.row.key: one.rank for one in rank(rows, order)}
    random.shuffle(rows)
    assert {one.row.key: one.rank for one in rank(rows, order)} == ranks
    assert all(one.rank <= place for place, one in enumerate(rank(rows, order), 1))


def test_the_clock_at_an_instant():
    format_ = complete_format({"preset": "called-time-outs"}, None, DISCIPLINES["three-cushion"])
    assert (read(format_, 0).left, read(format_, 29.5).warn, read(format_, 30).warn) == (40, False, True)
    assert read(format_, 40).over
    restored = read(format_, 40, restored=15)
    assert (restored.left, restored.warn, restored.over) == (15, False, False)
    assert read(format_, 55, used=1).left == 25
    assert read(complete_format(None, None, DISCIPLINES["three-cushion"]), 99) is None


def test_when_the_time_is_up():
    used = overrun("automatic", 2)
    assert (used.outcome, used.timeouts_left, used.opening) == ("timeout", 1, False)
    called = overrun("called", 2)
    assert (called.outcome, called.timeouts_left, called.opening) == ("time", 2, True)
    assert not overrun("called", 0, gives_opening=False).opening


def test_time_outs_between_and_beyond_the_published_distances():
    clock = CLOCKS["automatic-30"]
    assert [timeouts_for(clock, distance) for distance in (15, 36, 60, None)] == [3, 4, 4, 4]
    assert complete_format(clock.for_format(25), None, DISCIPLINES["three-cushion"])["timeouts"] == 3
