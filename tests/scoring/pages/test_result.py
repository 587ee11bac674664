"""An organiser writes a result without innings."""

import pytest
from django.test import Client

from scoring.ledger import read_state
from scoring.models import Match
from tests.cast import make_match, make_organiser, make_referee
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db


def browser(user):
    client = Client()
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def match():
    return make_match(distance=(30, 20))


@pytest.fixture
def organiser():
    return browser(make_organiser())


def send(client, match, **fields):
    return client.post(f"/matches/{match.pk}/result/", fields)


def state_of(match):
    return read_state(Match.objects.get(pk=match.pk))


def test_a_walkover_is_written_before_the_opening(organiser, match):
    answer = send(organiser, match, outcome="walkover", player=match.entrant_b_id, why="nobody came")
    assert answer["Location"] == f"/matches/{match.pk}/"
    state = state_of(match)
    assert (state["status"], state["winner"], state["ended_by"]) == ("over", match.entrant_b_id, "walkover")
    assert "nobody came" not in Client().get(f"/matches/{match.pk}/").content.decode()


def test_totals_of_a_played_match_open_it_on_the_way(organiser, match):
    send(
        organiser,
        match,
        outcome="played",
        starter=match.entrant_b_id,
        score_a=30,
        score_b=15,
        innings_a=25,
        innings_b=25,
        high_run_a=5,
        high_run_b=3,
        source="club book",
        why="written from the book",
    )
    state = state_of(match)
    assert state["players"]["white"] == match.entrant_b_id
    assert (state["score"], state["winner"]) == ({"white": 15, "yellow": 30}, match.entrant_a_id)
    assert state["average"] == {"white": "0.600", "yellow": "1.200"}


def test_a_confirmed_match_is_annulled_with_a_reason(organiser, match):
    innings(opened(match), 3)
    write(match, "concede", player=match.entrant_a_id)
    write(match, "confirm")
    page = send(organiser, match, outcome="annulled", why="")
    assert "This is needed." in page.content.decode()
    send(organiser, match, outcome="annulled", why="played on the wrong table")
    state = state_of(match)
    assert (state["status"], state["winner"], state["ended_by"]) == ("over", None, "annulled")


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"outcome": "walkover"}, "Name the player whom the result favours."),
        ({"outcome": "played", "score_a": 3}, "A match that was played needs this."),
        ({"outcome": "won"}, "Choose one of the list."),
        ({"outcome": "award", "player": "12345"}, "Choose one of the list."),
        ({}, "This is needed."),
    ],
)
def test_what_is_missing_is_asked_for_and_nothing_is_written(organiser, match, fields, said):
    page = send(organiser, match, why="so decided", **fields)
    assert page.status_code == 200
    assert said in page.content.decode()
    assert state_of(match)["seq"] == 0


def test_it_is_an_organisers(match):
    assert send(browser(make_referee()), match, outcome="annulled", why="no").status_code in (403, 404)
    assert state_of(match)["seq"] == 0
