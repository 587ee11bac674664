"""A bracket as its matches have it: it holds once a match has begun, and lets go when it is unlocked."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.rules.brackets import DONE, bracket, stand
from scoring.rules.event.drawn import byes, work_out
from scoring.rules.event.knockout import Played, resolve


def played_through(count: int, choices: list[bool], third: bool):
    """Return a bracket and its matches by tie, played to the end; a choice says whether the first won."""
    drawn = bracket(list(range(1, count + 1)), third)
    matches: dict[int, list[Played]] = {}
    for _round in range(drawn.rounds):
        for one in resolve(drawn, matches).ties:
            if one.state == "ready":
                winner = one.sides[0 if choices[one.tie.number % len(choices)] else 1]
                pair = frozenset(one.sides)
                matches[one.tie.number] = [Played(one.tie.number, pair, True, True, winner)]
    return drawn, matches


@settings(max_examples=40, deadline=None)
@given(st.integers(2, 20), st.lists(st.booleans(), min_size=3, max_size=9), st.booleans(), st.data())
def test_a_bracket_holds_until_it_is_unlocked(count, choices, third, data):
    drawn, matches = played_through(count, choices, third)
    before = resolve(drawn, matches)
    assert all(one.state in (DONE, "bye", "empty") for one in before.ties)
    assert (before.held, before.disturbed) == ((), ())
    number = data.draw(st.sampled_from(sorted(matches)))
    old = matches[number][0]
    (other,) = old.pair - {old.winner}
    corrected = matches | {number: [Played(old.id, old.pair, True, True, other)]}
    held = resolve(drawn, corrected)
    # Nobody who has begun to play is moved by a correction alone.
    assert [set(one.sides) for one in held.ties] == [set(one.sides) for one in before.ties]
    follows = any(feed.match == number for tie in drawn.ties for feed in tie.feeds)
    assert held.held == ((number,) if follows else ())
    freed = resolve(drawn, corrected, aside=held.disturbed)
    assert freed.held == ()
    assert next(one.winner for one in freed.ties if one.tie.number == number) == other
    for one in freed.ties:
        match = freed.matches.get(one.tie.number)
        assert match is None or match.pair == frozenset(one.sides)
    # Corrected back, everything stands as it was played: nothing was thrown away.
    again = resolve(drawn, matches, aside=held.disturbed)
    assert [one.winner for one in again.ties] == [one.winner for one in before.ties]


@settings(max_examples=25, deadline=None)
@given(st.integers(2, 16), st.data())
def test_whoever_left_is_walked_over_until_the_match_has_begun(count, data):
    drawn = bracket(list(range(1, count + 1)))
    out = data.draw(st.sets(st.integers(1, count), max_size=3))
    resolved = resolve(drawn, {}, out)
    for one in resolved.ties:
        there = [side for side in one.sides if side is not None]
        if one.state == DONE:
            assert set(there) & out
            assert one.winner is None or one.winner not in out
    begun = {
        one.tie.number: [Played(1, frozenset(one.sides), True)]
        for one in stand(drawn, {})
        if None not in one.sides
    }
    assert all(one.state != DONE for one in resolve(drawn, begun, out).ties if one.tie.number in begun)


@settings(max_examples=25, deadline=None)
@given(st.integers(2, 40), st.text("0123456789", min_size=1, max_size=6), st.data())
def test_a_draw_follows_from_its_seed_and_loses_nobody(count, seed, data):
    numbers = [str(number) for number in range(1, count + 1)]
    way = data.draw(st.sampled_from(("ranking", "pots", "lots")))
    kind = data.draw(st.sampled_from(("knockout", "groups", "round-robin")))
    groups = data.draw(st.integers(1, count // 2))
    clubs = [numbers[start::4] for start in range(min(4, count))]
    asked = {"way": way, "seed": seed, "groups": groups, "clubs": clubs}
    first = work_out(kind, numbers, **asked)
    assert first == work_out(kind, numbers, **asked)
    assert sorted(first.order) == sorted(numbers)
    assert sorted(number for group in first.groups for number in group) == sorted(numbers)
    assert len(byes(count)) == (1 << (count - 1).bit_length()) - count
