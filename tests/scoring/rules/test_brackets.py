"""Knock-out: seeds meet late, byes go to the highest, corrections are judged by what they change."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.brackets import (
    BYE,
    DONE,
    READY,
    bracket,
    disturbed,
    is_locked,
    places,
    round_pairs,
    seed_order,
    stand,
    why_locked,
)


def play(drawn, choose):
    """Play a bracket to its end; choose(sides) names who goes on."""
    winners = {}
    while ready := [one for one in stand(drawn, winners) if one.state == READY]:
        winners |= {one.tie.number: choose(one.sides) for one in ready}
    return winners


@pytest.mark.parametrize("size", [2, 4, 8, 16, 32, 64, 128])
def test_the_strongest_meet_as_late_as_can_be(size):
    order = seed_order(size)
    assert sorted(order) == list(range(1, size + 1))
    while len(order) > 1:
        assert all(a + b == len(order) + 1 for a, b in zip(order[::2], order[1::2], strict=True))
        order = [min(pair) for pair in zip(order[::2], order[1::2], strict=True)]


@given(st.integers(2, 128), st.booleans(), st.integers(0, 99))
def test_everybody_but_one_loses_once(count, third, seed):
    drawn = bracket(range(1, count + 1), third)
    byes = [one for one in stand(drawn, {}) if one.state == BYE]
    assert sorted(one.winner for one in byes) == list(range(1, drawn.size - count + 1))
    assert all(one.tie.round == 1 for one in byes)
    winners = play(drawn, random.Random(seed).choice)
    extra = third and count >= 4
    assert len(winners) == count - 1 + extra
    found = places(drawn, winners)
    assert set(found) == set(range(1, count + 1))
    for start, end in set(found.values()):
        assert sum(one == (start, end) for one in found.values()) == min(end, count) - start + 1
    settled = {(1, 1), (2, 2)} | ({(3, 3), (4, 4)} if extra else set())
    assert settled <= set(found.values())


def test_the_higher_seed_always_wins():
    drawn = bracket(range(1, 9), third_place=True)
    assert places(drawn, play(drawn, min)) == {
        1: (1, 1), 2: (2, 2), 3: (3, 3), 4: (4, 4), 5: (5, 8), 6: (5, 8), 7: (5, 8), 8: (5, 8),
    }  # fmt: skip


def test_three_in_a_bracket_with_a_match_for_third_place():
    drawn = bracket("abc", third_place=True)
    assert round_pairs(drawn) == [("a", None), ("b", "c")]
    found = places(drawn, play(drawn, max))
    assert found == {"c": (1, 1), "a": (2, 2), "b": (3, 3)}


def test_who_meets_whom():
    drawn = bracket("abcd")
    before = stand(drawn, {1: "d"})
    assert [(one.sides, one.state) for one in before] == [
        (("a", "d"), DONE),
        (("b", "c"), READY),
        (("d", None), "open"),
    ]
    nobody = stand(drawn, {1: "d", 2: None})
    assert (nobody[2].sides, nobody[2].state, nobody[2].winner) == (("d", None), BYE, "d")
    assert places(drawn, {1: "d", 2: None}) == {"a": (3, 4), "b": (3, 4), "c": (3, 4), "d": (1, 1)}
    assert stand(drawn, {1: None, 2: None})[2].state == "empty"


@pytest.mark.parametrize("winners", [{3: "a"}, {1: "c"}, {9: "a"}])
def test_a_result_that_cannot_be(winners):
    with pytest.raises(ValueError, match=str(next(iter(winners)))):
        stand(bracket("abcd"), winners)


def test_a_correction_that_changes_a_started_match_needs_an_unlock():
    drawn = bracket("abcd", third_place=True)
    before = {1: "a", 2: "b", 3: "a"}
    assert disturbed(drawn, before, {1: "d", 2: "b"}, started=[1, 2]) == ()
    assert disturbed(drawn, before, {1: "d", 2: "b", 3: "a"}, started=[1, 2, 3, 4]) == (3, 4)
    assert disturbed(drawn, before, {1: "a", 2: "b", 3: "b"}, started=[1, 2, 3, 4]) == ()
    assert (is_locked([]), is_locked([1])) == (False, True)
    assert "(3, 4)" in str(why_locked((3, 4)))


@pytest.mark.parametrize("entrants", ["a", "aa", range(129)])
def test_a_bracket_that_cannot_be(entrants):
    with pytest.raises(ValueError, match=str(len(entrants))):
        bracket(entrants)
    with pytest.raises(ValueError, match="6"):
        seed_order(6)
