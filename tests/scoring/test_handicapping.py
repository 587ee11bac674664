"""Handicaps: distances through time, proposals and their answers, and which matches take them over."""

from __future__ import annotations

import datetime

import pytest

from scoring.handicapping import (
    Request,
    distances_on,
    do_answer,
    do_propose,
    do_set_distance,
    open_proposals,
    working_of,
)
from scoring.models import Club, ColourProjection, HandicapDistance, HandicapProposal, Match
from scoring.models.base import today
from scoring.rules.handicaps import METHODS
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed
from tests import cast
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db
GAME = "three-cushion"
PLUS_TWO = Request(GAME, METHODS["average-30-plus-2"], GAME, least_innings=1)


@pytest.fixture
def club():
    return Club.objects.the_first()


def confirmed_match(first, second):
    """Play a match that gives 5 points and 1 point in 3 innings each."""
    match = opened(cast.make_match(first, second))
    innings(match, 2, 0, 1, 1, 2, 0)
    write(match, "confirm")


def held(players, day=None):
    return {pk: row.distance for pk, row in distances_on(players, GAME, day or today()).items()}


def test_a_distance_holds_from_its_day_until_the_next(club):
    player = cast.make_player()
    do_set_distance(club, player, GAME, 20, since=datetime.date(2026, 1, 1))
    do_set_distance(club, player, GAME, 24, since=datetime.date(2026, 6, 1))
    do_set_distance(club, player, GAME, 25, since=datetime.date(2026, 6, 1))
    assert held([player], datetime.date(2025, 12, 31)) == {}
    assert held([player], datetime.date(2026, 5, 31)) == {player.pk: 20}
    assert held([player], datetime.date(2026, 6, 1)) == {player.pk: 25}
    assert HandicapDistance.objects.count() == 3
    with pytest.raises(Malformed):
        do_set_distance(club, player, GAME, 0, since=today())


def test_proposals_follow_the_averages_and_wait_for_an_answer(club):
    first, second = cast.make_player("Quendal"), cast.make_player("Vilemeer")
    confirmed_match(first, second)
    made = {row.player_id: row for row in do_propose(club, PLUS_TWO, today())}
    # 5 points in 3 innings, times 30, plus 2; 1 point in 3 innings gives 12.
    assert {pk: row.distance for pk, row in made.items()} == {first.pk: 52, second.pk: 12}
    lines = [str(line) for line in working_of(made[first.pk]).working]
    assert lines[0] == "5 points in 3 innings: an average of 1.666"
    assert held([first, second]) == {}
    again = do_propose(club, PLUS_TWO, today())
    assert [row.answer for row in HandicapProposal.objects.order_by("pk")] == ["replaced"] * 2 + ["open"] * 2
    do_answer(club, [again[0].pk], approve=True, since=today(), why="new season")
    do_answer(club, [again[1].pk], approve=False, since=today())
    assert held([first, second]) == {again[0].player_id: again[0].distance}
    assert not open_proposals(club).exists()
    with pytest.raises(Refused):
        do_answer(club, [again[0].pk], approve=True, since=today())
    assert HandicapDistance.objects.count() == 1


def test_only_upwards_and_too_few_innings_propose_nothing(club):
    first, second = cast.make_player("Quendal"), cast.make_player("Vilemeer")
    confirmed_match(first, second)
    do_set_distance(club, second, GAME, 30, since=datetime.date(2026, 1, 1))
    up = Request(GAME, METHODS["average-30-plus-2"], GAME, upwards_only=True, least_innings=1)
    assert [row.player_id for row in do_propose(club, up, today())] == [first.pk]
    many = Request(GAME, METHODS["average-30-plus-2"], GAME, least_innings=4)
    assert do_propose(club, many, today()) == []


def test_a_rule_that_starts_from_a_distance_needs_another_discipline(club):
    player = cast.make_player()
    third = METHODS["three-cushion-from-one-cushion"]
    with pytest.raises(Malformed):
        do_propose(club, Request(GAME, third, GAME), today())
    do_set_distance(club, player, "one-cushion", 47, since=datetime.date(2026, 1, 1))
    (row,) = do_propose(club, Request(GAME, third, "one-cushion"), today())
    assert (row.distance, row.innings) == (15, 0)


def test_planned_matches_take_a_distance_over_and_opened_ones_keep_theirs(club):
    first, second = cast.make_player("Quendal"), cast.make_player("Vilemeer")
    cup = cast.make_competition(regulations={"handicapped": True}, format={"distance": [30, 30]})
    do_set_distance(club, first, GAME, 22, since=datetime.date(2026, 1, 1))
    begun, planned, scratch = (
        cast.make_match(first, second, competition=competition, distance=None)
        for competition in (cup, cup, cast.make_competition("Open", format={"distance": [30, 30]}))
    )
    both = [[one.distance_a, one.distance_b] for one in (begun, planned, scratch)]
    assert both == [[22, 30], [22, 30], [30, 30]]
    opened(begun)
    do_set_distance(club, second, GAME, 18, since=today())
    now = {row.pk: row.format["distance"] for row in Match.objects.all()}
    assert now == {begun.pk: [22, 30], planned.pk: [22, 18], scratch.pk: [30, 30]}
    opened(planned)
    figures = ColourProjection.objects.filter(match=planned).order_by("colour")
    assert [one.distance for one in figures] == [22, 18]


def test_the_page_proposes_approves_and_keeps_the_history(club, client):
    first, second = cast.make_player("Quendal"), cast.make_player("Vilemeer")
    for _ in range(4):
        confirmed_match(first, second)
    do_set_distance(club, second, GAME, 30, since=datetime.date(2026, 1, 1))
    client.force_login(cast.make_organiser())
    asked = {"discipline": GAME, "method": "average-30-plus-2", "least_innings": "1"}
    page = client.post("/handicaps/", asked, follow=True).content.decode()
    assert "an average of 1.666" in page
    assert "in 100 (" in page
    chosen = [str(row.pk) for row in open_proposals(club)]
    nothing = client.post(
        "/handicaps/answer/", {"discipline": GAME, "since": "2026-11-01", "answer": "approve"}
    )
    assert "Choose at least one proposal." in nothing.content.decode()
    given = {"discipline": GAME, "proposal": chosen, "since": "2026-11-01", "answer": "approve"}
    assert client.post("/handicaps/answer/", given).status_code == 302
    assert "set by hand" not in client.get(f"/players/{first.pk}/distances/").content.decode()
    own = cast.make_user("quendal")
    first.user = own
    first.save()
    client.force_login(own)
    assert client.get(f"/players/{first.pk}/distances/").status_code == 200
    assert client.post(f"/players/{first.pk}/distances/", {"distance": "3"}).status_code == 403
    assert client.get(f"/players/{second.pk}/distances/").status_code == 404


def test_programs_set_propose_and_answer():
    api = cast.client_for(cast.make_organiser())
    first, second = cast.make_player("Quendal"), cast.make_player("Vilemeer")
    confirmed_match(first, second)
    body = {
        "player": first.pk,
        "discipline": GAME,
        "distance": 30,
        "uuid": "1b4f1a52-0a0a-4a3e-9b53-1d1f8a2f6a02",
    }
    answers = [api.post("/api/handicaps/", body, format="json") for _ in range(2)]
    assert [one.status_code for one in answers] == [201, 200]
    asked = {"discipline": GAME, "method": "average-30-plus-2", "least_innings": 1}
    proposals = api.post("/api/handicaps/proposals/", asked, format="json").json()["proposals"]
    assert {row["player"]: (row["current"], row["distance"]) for row in proposals} == {
        first.pk: (30, 52),
        second.pk: (None, 12),
    }
    answer = {"proposals": [row["id"] for row in proposals], "approve": True}
    assert api.post("/api/handicaps/proposals/answer/", answer, format="json").status_code == 200
    again = api.post("/api/handicaps/proposals/answer/", answer, format="json")
    assert (again.status_code, again.json()["code"]) == (409, "answered")
    rows = api.get(f"/api/handicaps/?player={first.pk}").json()["results"]
    assert [row["distance"] for row in rows] == [52, 30]
    assert api.get("/api/handicaps/?player=x").status_code == 400
