"""Round robins, groups and draws: what holds for any number."""

from collections import Counter
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.groups import After, draw_groups, group_count, group_matches
from scoring.rules.lots import digest, drawn
from scoring.rules.pairings import Round, berger, match_count, round_robin
from scoring.rules.said import Malformed
from tests.scoring.rules.spelling import refusal

NUMBERS = range(2, 33)


@pytest.mark.parametrize("count", NUMBERS)
def test_each_pair_meets_once_and_starts_are_balanced(count):
    rounds = round_robin(range(count))
    assert len(rounds) == count - 1 + count % 2
    assert {frozenset(pair) for one in rounds for pair in one.pairs} == {
        frozenset(pair) for pair in combinations(range(count), 2)
    }
    assert sum(len(one.pairs) for one in rounds) == match_count(count)
    for one in rounds:
        playing = [player for pair in one.pairs for player in pair]
        resting = [one.bye] if count % 2 else []
        assert sorted(playing + resting) == list(range(count))
    starts = Counter(first for one in rounds for first, _ in one.pairs)
    assert max(starts.values()) - min(starts[player] for player in range(count)) <= 1


@pytest.mark.parametrize("count", [2, 5, 8, 23])
def test_twice_with_the_starts_exchanged(count):
    pairs = [pair for one in round_robin(range(count), double=True) for pair in one.pairs]
    assert len(pairs) == match_count(count, double=True) == len(set(pairs))
    assert Counter(first for first, _ in pairs) == dict.fromkeys(range(count), count - 1)


def test_small_and_odd_numbers():
    assert round_robin([]) == round_robin("a") == []
    assert round_robin("ab") == [Round((("a", "b"),))]
    assert [one.bye for one in round_robin("abc")] == ["a", "c", "b"]
    for count in (0, 3):
        with pytest.raises(ValueError, match=str(count)):
            berger(count)


def test_a_draw_can_be_repeated_by_hand():
    """sha256sum of coreutils gave this digest."""
    assert digest("27 March", "Ada") == ("18613b8231fb85e8ff5acdb32180d2a2fcca5bc3acd7400ed2bfbe32d27a164d")
    names = ["Ada", "Bo", "Cy", "Dee"]
    order = drawn("27 March", names)
    assert order == drawn("27 March", names[::-1]) == sorted(names, key=lambda one: digest("27 March", one))
    assert digest("a", "e\u0301") == digest("a", "\u00e9")
    for seed, listed, field in (("", names, "seed"), ("a\nb", names, "seed"), ("a", ["x", "x"], "names")):
        assert refusal(lambda seed=seed, listed=listed: drawn(seed, listed)).field == field


def test_every_order_of_three_is_drawn_about_as_often():
    orders = Counter("".join(drawn(str(seed), "abc")) for seed in range(1200))
    assert len(orders) == 6
    assert all(150 < count < 250 for count in orders.values())


def test_groups_by_ranking_go_out_and_back():
    assert draw_groups([str(one) for one in range(1, 9)], 3) == [["1", "6", "7"], ["2", "5", "8"], ["3", "4"]]


def test_groups_by_pots_follow_the_draw():
    names = [f"player {one}" for one in range(12)]
    groups = draw_groups(names, 4, way="pots", seed="seed")
    for pot in range(3):
        assert [group[pot] for group in groups] == drawn("seed", names[4 * pot : 4 * pot + 4])


@given(st.data())
def test_groups_keep_club_mates_apart(data):
    count = data.draw(st.integers(1, 8))
    names = [str(one) for one in range(data.draw(st.integers(count, 5 * count)))]
    clubs = {name: data.draw(st.sampled_from(["north", "south", "east", None])) for name in names}
    way = data.draw(st.sampled_from(["pots", "ranking"]))
    groups = draw_groups(names, count, way=way, seed="s", clubs=clubs)
    assert sorted(name for group in groups for name in group) == sorted(names)
    for place, name in enumerate(names):
        (group,) = (one for one in groups if name in one)
        assert group.index(name) == place // count
    for club in ("north", "south", "east"):
        mates = [sum(clubs[name] == club for name in group) for group in groups]
        assert max(mates) - min(mates) <= 1


def test_how_many_groups():
    assert [group_count(players, 4) for players in (23, 24, 25)] == [6, 6, 7]
    assert [group_count(players, 4, larger=True) for players in (3, 23, 24)] == [1, 5, 6]
    with pytest.raises(ValueError, match="1"):
        group_count(9, 1)
    for arguments, field in ((("ab", 3), "groups"), (("aa", 1), "ranked")):
        assert refusal(lambda arguments=arguments: draw_groups(*arguments)).field == field
    with pytest.raises(Malformed, match="way"):
        draw_groups("ab", 1, way="luck")


def test_a_group_of_four_becomes_three_without_a_new_draw():
    before = group_matches("abcd")
    after = group_matches([seat for seat in "abcd" if seat != "b"], ["d"])
    assert [(one.first, one.second) for one in before[:2]] == [("a", "d"), ("b", "c")]
    assert [(one.first, one.second) for one in after] == [("c", "d"), ("d", "a"), ("a", "c")]


def test_four_with_the_winners_last():
    open_order = group_matches("abcd", order_of_four="winners-last")
    assert (open_order[4].first, open_order[4].second) == (After(0, True), After(1, True))
    played = group_matches("abcd", ["d", "b"], order_of_four="winners-last")
    met = [{one.first, one.second} for one in played]
    assert met == [{"a", "d"}, {"b", "c"}, {"d", "c"}, {"a", "b"}, {"d", "b"}, {"a", "c"}]
    assert {(one.first, one.second) for one in played} == {
        (one.first, one.second) for one in group_matches("abcd")
    }
    drawn_first = group_matches("abcd", ["drawn", "b"], order_of_four="winners-last")
    assert drawn_first == group_matches("abcd")


@given(st.lists(st.sampled_from(["drawn", None, 0, 1]), max_size=2), st.sampled_from(["abc", "abcd"]))
def test_any_order_of_a_group_lets_each_pair_meet_once(told, seats):
    first = group_matches(seats)[:2]
    results = []
    for place, one in enumerate(told):
        pair = (first[place].first, first[place].second)
        results.append(pair[one] if isinstance(one, int) and (place == 0 or len(seats) == 4) else one)
    results = results[:1] if len(seats) == 3 and results else results
    for draw in ("berger", "third-first"):
        matches = group_matches(seats, results, after_draw=draw, order_of_four="winners-last")
        assert len(matches) == match_count(len(seats))
        known = [
            frozenset((one.first, one.second))
            for one in matches
            if not isinstance(one.first, After) and not isinstance(one.second, After)
        ]
        assert len(set(known)) == len(known)


def test_what_a_group_does_not_know():
    with pytest.raises(ValueError, match="z"):
        group_matches("abc", ["z"])
    with pytest.raises(ValueError, match="luck"):
        group_matches("abc", after_draw="luck")
