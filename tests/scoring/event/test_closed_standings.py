"""The standings of a closed competition stay as they were, whatever is learnt of its players afterwards."""

from __future__ import annotations

import datetime

import pytest

from scoring.closing import do_close, do_reopen
from scoring.handicapping import do_set_distance
from scoring.ledger import Author
from scoring.merging import do_merge, do_undo_merge
from scoring.models import Competition, StandingSums
from scoring.standing import read_standings
from scoring.summing import do_rebuild_sums
from scoring.workings import read_workings
from tests import cast
from tests.scoring.event.league import League
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db
ME = Author(organises=True)


def confirmed(cup, white, yellow, *runs):
    match = opened(cast.make_match(white, yellow, competition=cup, distance=(5, 5)))
    innings(match, *runs)
    write(match, "confirm")


def table(cup: Competition) -> list:
    """Return everything that is ranked, and what it rests on."""
    cup = Competition.objects.get(pk=cup.pk)
    sums = StandingSums.objects.filter(competition=cup).order_by("player")
    return [read_standings(cup).ranked, read_workings(cup), list(sums.values_list("player", "sums"))]


def test_backdated_averages_count_once_a_closed_competition_is_reopened():
    cup = cast.make_competition(regulations={"points_scheme": "own-average"})
    one, two = cast.make_player("Quendal"), cast.make_player("Vilemeer")
    confirmed(cup, one, two, 2, 1, 3, 1)
    do_close(cup, ME)
    before = table(cup)
    long_ago = datetime.date(2001, 1, 1)
    do_set_distance(cup.club, one, "three-cushion", 5, since=long_ago, worked_out=(1, 1, {}))
    assert table(cup) == before
    assert do_rebuild_sums(cup) == []
    do_reopen(cup, ME, why="an average was wrong")
    after = table(cup)
    assert after[1] != before[1]
    assert after[0][0].row.match_points == before[0][0].row.match_points + 2


def test_merging_after_the_closing_moves_no_rank_and_changes_the_name_alone():
    cup = cast.make_competition()
    gone, other, into, late = (cast.make_player(one) for one in ("Quendel", "Vilemeer", "Quendal", "Astavik"))
    confirmed(cup, gone, other, 5, 0)
    confirmed(cup, into, other, 5, 0)
    confirmed(cup, late, other, 0, 5)
    earlier = do_merge(late, cast.make_player("Astavig"), None)
    do_close(cup, ME)
    before = table(cup)
    do_merge(gone, into, None)
    do_undo_merge(earlier, None)
    assert table(cup) == before
    standings = read_standings(Competition.objects.get(pk=cup.pk))
    assert standings.players[gone.pk].shown_name(True) == into.shown_name(True)
    do_reopen(cup, ME, why="a person stood here twice")
    ranked = read_standings(Competition.objects.get(pk=cup.pk)).ranked
    assert {one.row.key: one.row.played for one in ranked} == {into.pk: 2, other.pk: 3, late.pk: 1}


def test_players_of_a_closed_season_are_told_as_they_were():
    league = League()
    league.play()
    do_close(league.competition, ME)
    client, address = cast.client_for(league.organiser), f"/api/competitions/{league.competition.pk}/season/"
    before = [one["player"] for one in client.get(address).json()["players"]]
    do_merge(league.squad(league.home)[1], cast.make_player("Zandroek"), None)
    assert [one["player"] for one in client.get(address).json()["players"]] == before
