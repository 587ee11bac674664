"""Home, matches, players and starting a match, as visitors, players and referees meet them."""

import datetime

import pytest
from django.test import Client
from django.utils import timezone

from scoring.models import Match, Player
from tests.cast import (
    make_competition,
    make_match,
    make_organiser,
    make_player,
    make_referee,
    make_table,
    make_user,
)
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db

ROUND = [{"ball": "red"}, {"rail": "left"}, {"rail": "top"}, {"rail": "right"}, {"ball": "yellow"}]


def browser(user):
    """Return a browser in which `user` is signed in."""
    client = Client()
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return client


def text_of(client, address, status=200):
    answer = client.get(address)
    assert answer.status_code == status
    return answer.content.decode()


@pytest.fixture
def public():
    return make_competition("Autumn Groups", published=True)


@pytest.fixture
def match(public):
    players = [make_player(name, consent="full", published=True) for name in ("Quendal", "Vilemeer")]
    return opened(make_match(*players, competition=public, table=make_table("Table 3"), distance=(5, 5)))


# Home


def test_an_empty_club_is_told_what_to_do(client):
    assert "No match is being played" in text_of(client, "/")


def test_home_shows_what_is_played_to_whom_may_see_it(client, match):
    innings(match, 2, 1, 0)
    page = text_of(client, "/")
    assert "Quendal" in page
    assert "inning 2" in page
    closed = make_match(
        make_player("Astavik"), make_player("Karnhof"), competition=make_competition("Closed")
    )
    innings(opened(closed), 1)
    assert "Astavik" not in text_of(client, "/")
    assert "Astavik" in text_of(browser(make_organiser()), "/")


def test_home_shows_the_last_point_described_and_its_ruling(client, match):
    write(match, "point", contacts=ROUND)
    page = text_of(client, "/")
    assert "The last point described" in page
    assert "Counts: 3 cushions" in page


def test_home_lists_what_comes_next(client, public):
    soon = timezone.now() + datetime.timedelta(hours=2)
    make_match(
        make_player("Brinsel", consent="full", published=True),
        make_player("Oudewaal", consent="full", published=True),
        competition=public,
        scheduled_at=soon,
    )
    assert "Brinsel" in text_of(client, "/")


# A match and its sheet


def test_a_match_page_names_score_and_turn(client, match):
    innings(match, 2, 1)
    page = text_of(client, f"/matches/{match.pk}/")
    assert "to play" in page
    assert f"/matches/{match.pk}/sheet/" in page


def test_a_match_that_is_not_public_is_not_there(client):
    match = opened(make_match(competition=make_competition("Closed")))
    for part in ("", "sheet/"):
        text_of(client, f"/matches/{match.pk}/{part}", 404)
    assert client.get(f"/matches/{match.pk}/score/").status_code in (302, 404)


def test_the_scoring_page_is_for_those_who_write(client, match, public):
    address = f"/matches/{match.pk}/score/"
    assert client.get(address)["Location"].startswith("/sign-in/")
    text_of(browser(make_user()), address, 403)
    assert "score-data" in text_of(browser(make_referee(public)), address)


def test_the_sheet_shows_the_struck_out_figure_beside_the_new_one(client, match):
    first, *_ = innings(match, 2, 1)
    write(match, "inning", run=3, instead_of=first, why="miscounted")
    page = text_of(browser(make_organiser()), f"/matches/{match.pk}/sheet/")
    assert "<del" in page
    assert 'struck out </span>2</del> <span class="unseen">now </span>3' in page
    assert "miscounted" in page
    assert "miscounted" not in text_of(client, f"/matches/{match.pk}/sheet/")


# The list of matches


def test_the_list_is_narrowed_to_own_matches(match):
    user = make_user()
    own = make_player("Astavik", user=user)
    mine = make_match(own, make_player("Karnhof"), competition=match.competition)
    page = text_of(browser(user), "/matches/?show=mine")
    assert f"/matches/{mine.pk}/" in page
    assert f"/matches/{match.pk}/" not in page


# Players


def test_outsiders_read_only_the_names_that_were_agreed_to(client):
    for name, consent in (("Quendal", "full"), ("Vilemeer", "shortened"), ("Brinsel", "none")):
        make_player(name, consent=consent, published=True)
    page = text_of(client, "/players/")
    assert "Quendal" in page
    assert "Vilemeer" not in page
    assert "Brinsel" not in page
    assert "Brinsel" in text_of(browser(make_user()), "/players/")


def test_averages_are_for_the_player_unless_opened(client, match):
    innings(match, 5, 1)
    write(match, "confirm")
    address = f"/players/{match.entrant_a_id}/"
    assert "5.000" not in text_of(client, address).split("Matches")[0]
    Player.objects.filter(pk=match.entrant_a_id).update(report_open=True)
    assert "5.000" in text_of(client, address)


def test_a_guest_is_enrolled_by_a_referee_and_a_member_is_not():
    client = browser(make_referee())
    form = {"given": "Ada", "family": "Visitor", "consent": "none"}
    assert client.post("/players/new/", form | {"guest": "on"}).status_code == 302
    assert Player.objects.filter(guest=True, name__family="Visitor").exists()


@pytest.mark.parametrize("family", ["", "x" * 200, "\u200b", "\0", "!!!"])
def test_a_name_that_cannot_be_read_is_asked_for_again(family):
    client = browser(make_organiser())
    answer = client.post("/players/new/", {"given": "Ada", "family": family, "consent": "none"})
    assert answer.status_code == 200
    assert "summary" in answer.content.decode()
    assert not Player.objects.exists()


# Starting a match


@pytest.fixture
def pair():
    return make_player("Quendal"), make_player("Vilemeer")


def start(client, **fields):
    return client.post("/matches/new/", {"discipline": "three-cushion"} | fields)


def test_a_match_is_started_with_a_preset_and_own_distances(pair):
    first, second = pair
    answer = start(
        browser(make_organiser()),
        player_a=first.pk,
        player_b=second.pk,
        distance_a=30,
        distance_b=22,
        equalizing="yes",
        timeouts=0,
    )
    match = Match.objects.get()
    assert answer["Location"] == f"/matches/{match.pk}/score/"
    assert match.format["distance"] == [30, 22]
    assert (match.format["equalizing"], match.format["timeouts"]) == (True, None)


def test_a_guest_is_named_on_the_way(pair):
    start(browser(make_referee()), player_a=pair[0].pk, guest_b="Ada Passing")
    assert Match.objects.get().entrant_b.guest


def test_what_was_typed_is_kept_when_something_is_to_be_mended(pair):
    answer = start(browser(make_organiser()), player_a=pair[0].pk, player_b=pair[0].pk, distance_a=33)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "Two different players are needed." in page
    assert 'value="33"' in page
    assert not Match.objects.exists()


@pytest.mark.parametrize(
    "fields",
    [
        {"distance_a": "-1"},
        {"distance_a": "99999999999999999999"},
        {"distance_a": "ten"},
        {"discipline": "nine-ball"},
        {"preset": "none of them"},
        {"rule_set": "\0"},
        {"competition": "999"},
        {"scheduled_at": "soon"},
    ],
)
def test_a_match_that_cannot_be_meant_is_not_started(pair, fields):
    answer = start(browser(make_organiser()), player_a=pair[0].pk, player_b=pair[1].pk, **fields)
    assert answer.status_code == 200
    assert not Match.objects.exists()


def test_nobody_without_a_right_starts_a_match(client, pair):
    assert start(client, player_a=pair[0].pk, player_b=pair[1].pk)["Location"].startswith("/sign-in/")
    assert start(browser(make_user())).status_code == 403
    assert not Match.objects.exists()
