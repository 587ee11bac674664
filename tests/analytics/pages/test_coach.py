"""A coach's overview: pupils who agreed, lately and at practice, what was set; and nobody who withdrew."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from scoring.coaching import do_agree, do_ask, do_set, do_withdraw
from scoring.models import Role
from tests.cast import (
    client_for,
    make_match,
    make_organiser,
    make_player,
    make_position,
    make_role,
    make_session,
)
from tests.scoring.pages.writing import innings, opened, write
from tests.scoring.practice.trying import tried

pytestmark = pytest.mark.django_db


@pytest.fixture
def coach(db):
    return make_role(Role.Kind.COACH, name="ilse")


def a_pupil(coach, family="Quendal", matches=1):
    player = make_player(family)
    other = make_player("Vilemeer")
    for _ in range(matches):
        match = opened(make_match(player, other, distance=(5, 5)), player.pk)
        innings(match, 1, 0, 0, 2, 4, 0)
        write(match, "confirm")
    asked = do_ask(coach, player)
    do_agree(asked.pk)
    return player, asked


def page_of(user, **query):
    return client_for(user).get(reverse("coach"), query)


def call(user, **query):
    return client_for(user).get("/api/coach/", query)


def test_a_pupil_stands_with_matches_practice_and_what_was_set(coach):
    player, asked = a_pupil(coach, matches=2)
    position = make_position(coach)
    task = do_set(
        asked.pk,
        name="Ten of each",
        positions=[{"position": position.pk, "repetitions": 10, "goal": None}],
        goal={"attempts": 10, "made": 2},
    )
    session = make_session(player, name="Evening", assignment=task)
    for outcome in ("made", "missed", "made"):
        tried(session, outcome=outcome)
    text = page_of(coach).content.decode()
    assert "Mira Quendal" in text
    assert "General average 1.666: 10 points in 6 innings of 2 matches." in text
    assert "Set: Ten of each" in text
    assert "Long way round, 10 times." in text
    assert "Goal: 2 of 10. Reached." in text
    assert "Practised: 2 of 3 attempts made in one session." in text
    assert reverse("practice-player", args=[player.pk]) in text
    pupil = call(coach).json()["pupils"][0]
    assert (pupil["matches"], pupil["points"], pupil["average"]) == (2, 10, "1.666")
    assert pupil["before"]["matches"] == 0
    assert (pupil["practised"]["tried"], pupil["tasks"][0]["reached"]) == (3, True)
    assert pupil["next"] == {"recorded": 0, "named": None, "contenders": [], "worth": []}


def test_who_withdraws_is_gone_at_once_and_who_was_only_asked_is_not_there(coach):
    _player, asked = a_pupil(coach)
    do_ask(coach, make_player("Astavik"))
    assert [one["name"] for one in call(coach).json()["pupils"]] == ["Mira Quendal"]
    do_withdraw(asked.pk)
    assert call(coach).json()["pupils"] == []
    text = page_of(coach).content.decode()
    assert "No pupil has agreed yet." in text
    assert "Quendal" not in text


def test_another_coach_and_an_organiser_see_none_of_it(coach):
    a_pupil(coach)
    assert call(make_role(Role.Kind.COACH)).json()["pupils"] == []
    assert call(make_organiser()).status_code == page_of(make_organiser()).status_code == 403
    assert page_of(None).status_code == 302


def test_the_last_ten_matches_stand_beside_those_before(coach):
    a_pupil(coach, matches=16)
    pupil = call(coach).json()["pupils"][0]
    assert (pupil["last"]["matches"], pupil["before"]["matches"]) == (10, 6)
    assert pupil["change"]["ratio"] == pytest.approx(1.0)
    assert not pupil["change"]["clear"]
    text = page_of(coach).content.decode()
    assert "The last 10: 1.666" in text
    assert "Too early to tell whether anything changed" in text
    rows = page_of(coach, csv="pupils").content.decode().splitlines()
    assert rows[1].startswith("Mira Quendal,16,1.66667,")


def test_pupils_who_played_each_other_have_their_own_sides(coach):
    one, two = make_player("Quendal"), make_player("Astavik")
    match = opened(make_match(one, two, distance=(5, 5)), one.pk)
    innings(match, 1, 0, 0, 2, 4, 0)
    write(match, "confirm")
    for player in (one, two):
        do_agree(do_ask(coach, player).pk)
    found = {one["name"]: one for one in call(coach).json()["pupils"]}
    assert (found["Mira Quendal"]["points"], found["Ronja Astavik"]["points"]) == (5, 2)


def test_it_asks_as_often_however_many_pupils_there_are(coach):
    counts = []
    for family in ("Quendal", "Astavik", "Karnhof"):
        player, asked = a_pupil(coach, family, matches=2)
        make_session(player)
        do_set(asked.pk, name="Again", positions=[{"position": make_position(coach).pk, "repetitions": 5}])
        for address in ("/coach/", "/api/coach/"):
            client_for(coach).get(address)
            with CaptureQueriesContext(connection) as queries:
                assert client_for(coach).get(address).status_code == 200
            counts.append(len(queries))
    assert len(set(counts[::2])) == len(set(counts[1::2])) == 1


def test_the_practice_page_and_the_overview_lead_to_each_other(coach):
    player, _asked = a_pupil(coach)
    assert 'href="/coach/"' in client_for(coach).get("/practice/").content.decode()
    pupil = client_for(coach).get(reverse("practice-player", args=[player.pk])).content.decode()
    assert f'href="/coach/#pupil-{player.pk}"' in pupil
    assert 'href="/practice/"' in page_of(coach).content.decode()
