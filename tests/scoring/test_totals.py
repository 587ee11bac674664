"""A player's totals: exact sums over matches that are over."""

from fractions import Fraction

import pytest

from scoring.models import Match
from scoring.totals import read_totals
from tests import cast
from tests.scoring.pages.writing import innings, opened, write

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def pair():
    return cast.make_player("Quendal"), cast.make_player("Vilemeer")


def played(pair, *runs, **fields):
    match = opened(cast.make_match(*pair, **fields))
    innings(match, *runs)
    return match


def totals(player):
    return read_totals([player.pk], Match.objects.all())


def test_general_average_is_points_over_innings_of_all_matches(pair):
    played(pair, 2, 1, 0, 0, 3, 0)
    played(pair, 1, 0, 4, 2)
    (mine,) = totals(pair[0])
    assert (mine.matches, mine.won, mine.lost, mine.drawn) == (2, 2, 0, 0)
    assert (mine.points, mine.innings, mine.general) == (10, 5, Fraction(2))
    assert (mine.general_text, mine.high_run) == ("2.000", 4)
    assert (mine.best, mine.best_text) == ((5, 2), "2.500")


def test_matches_under_way_do_not_count(pair):
    played(pair, 2, 1)
    assert totals(pair[0]) == []


def test_a_walkover_counts_for_nobody(pair):
    match = opened(cast.make_match(*pair))
    write(match, "result", outcome="walkover", player=pair[0].pk)
    assert totals(pair[0]) == []
    assert totals(pair[1]) == []


def test_confirmed_and_conceded_matches_count(pair):
    match = played(pair, 2, 1)
    write(match, "concede", player=pair[1].pk)
    write(match, "confirm")
    (mine,) = totals(pair[0])
    assert (mine.matches, mine.won, mine.general_text) == (1, 1, "2.000")


def test_the_best_match_is_told_apart_by_exact_fractions(pair):
    """5/3 and 10/6 are equal: the one over more innings is named; both show 1.666."""
    played(pair, 2, 0, 2, 0, 1, 0)
    longer = played(pair, 2, 0, 2, 0, 1, 0, 2, 0, 2, 0, 1, 0, distance=(10, 10))
    (mine,) = totals(pair[0])
    assert (mine.best, mine.best_match, mine.best_text) == ((10, 6), longer.pk, "1.666")


def test_each_discipline_is_cut_as_it_says(pair):
    played(pair, 2, 0, 2, 0, 1, 0)
    played(pair, 2, 0, 2, 0, 1, 0, discipline="straight-rail")
    shown = {one.discipline: one.general_text for one in totals(pair[0])}
    assert shown == {"three-cushion": "1.666", "straight-rail": "1.66"}


def test_without_an_inning_there_is_no_average(pair):
    match = opened(cast.make_match(*pair))
    write(match, "concede", player=pair[0].pk)
    (mine,) = totals(pair[0])
    assert (mine.lost, mine.general_text, mine.best_text) == (1, None, None)


def test_matches_of_a_merged_player_are_added(pair):
    played(pair, 5, 0)
    twin = cast.make_player("Quendal", merged_into=pair[0])
    played((twin, pair[1]), 1, 0, 4, 0)
    (mine,) = read_totals([pair[0].pk, twin.pk], Match.objects.all())
    assert (mine.matches, mine.points, mine.innings) == (2, 10, 3)


def test_two_queries_however_many_matches(pair, django_assert_num_queries):
    for _ in range(3):
        played(pair, 5, 0)
    with django_assert_num_queries(2):
        totals(pair[0])
