"""What everybody played: each player's own, as a report of one reads it, and no match read twice."""

from __future__ import annotations

import numpy as np
import pytest

from analytics.played.asked import Asked
from analytics.played.reading import ids_of, read_played
from analytics.played.together import read_together
from scoring.models import Club
from tests.cast import make_match, make_player
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db


def test_each_player_has_what_a_report_of_that_player_reads():
    one, two = make_player("Quendal"), make_player("Vilemeer")
    old = make_player("Astavik", merged_into=two)
    for other, runs in ((two, (1, 0, 3, 2)), (old, (2, 2, 0, 1))):
        match = opened(make_match(other, one, distance=(9, 9)), one.pk)
        innings(match, *runs)
        write(match, "point", family="bank")
    club = Club.objects.the_first()
    found = read_together(Asked(), club).by_player()
    assert set(found) == {one.pk, two.pk}
    for player, own in found.items():
        alone = read_played(ids_of(player), Asked(), club)
        assert np.array_equal(own.of, alone.of)
        assert own.strokes.tobytes() == alone.strokes.tobytes()
        shared = own.matches.drop(columns=["player", "minutes", "opponent"])
        assert shared.equals(alone.matches.drop(columns="opponent"))


def test_so_many_matches_are_read_anew_at_once_and_the_rest_later():
    for _ in range(3):
        innings(opened(make_match(distance=(9, 9))), 1, 0)
    club = Club.objects.the_first()
    found = [read_together(Asked(), club, packed_at_once=2) for _ in range(2)]
    assert [one.unread for one in found] == [1, 0]
    assert [len(one.played.matches) for one in found] == [6, 6]
    assert [len(one.played.strokes) for one in found] == [4, 6]


def test_nobody_played_is_empty():
    found = read_together(Asked(), Club.objects.the_first(), ())
    assert found.by_player() == {}
    assert found.nothing.sheets() == []
