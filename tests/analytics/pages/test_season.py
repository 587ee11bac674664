"""The season's page: what is counted for whom, lists of the best, and CSV."""

from __future__ import annotations

import pytest
from django.urls import reverse

from tests.cast import (
    client_for,
    make_competition,
    make_match,
    make_organiser,
    make_player,
    make_user,
)
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db


def a_match(competition=None, runs=(1, 0, 4, 2), names=("Quendal", "Vilemeer"), players=None, **fields):
    pair = players or [make_player(name, **fields) for name in names]
    match = opened(make_match(*pair, distance=(90, 90), competition=competition), pair[0].pk)
    write(match, "point", family="bank")
    write(match, "miss", family="bank")
    innings(match, 0, *runs)
    write(match, "concede", player=pair[1].pk)
    write(match, "confirm")
    return match


def page_of(user=None, **query):
    answer = client_for(user).get(reverse("season"), query)
    assert answer.status_code == 200
    return answer.content.decode()


def call(user=None, **query):
    return client_for(user).get("/api/season/", query)


def test_organisers_have_everything_counted_others_what_is_published():
    a_match(make_competition("Spring Cup", published=True), consent="full", published=True)
    a_match(make_competition("Autumn Cup"))
    a_match()
    text = page_of(make_organiser())
    assert "3 matches are over." in text
    assert "Published competitions only." not in text
    for user in (None, make_user()):
        text = page_of(user)
        assert "One match is over." in text
        assert "Published competitions only." in text
        assert "Autumn Cup" not in text
    assert call().json()["matches"] == 1
    assert call(make_organiser()).json()["matches"] == 3


def test_the_figures_are_those_of_confirmed_matches():
    cup = make_competition("Spring Cup", published=True)
    match = a_match(cup, runs=(1, 0, 4, 2))
    waiting = opened(
        make_match(make_player("Astavik"), make_player("Karnhof"), distance=(3, 3), competition=cup)
    )
    innings(waiting, 3, 0)
    body = call().json()
    assert (body["matches"], body["confirmed"], body["players"]) == (2, 1, 4)
    assert (body["points"], body["innings"], body["high_run"]) == (8, 6, 4)
    assert [(one["high_run"], one["match"]) for one in body["high_runs"]] == [(4, match.pk), (2, match.pk)]
    assert [(one["points"], one["innings"]) for one in body["best_averages"]] == [(6, 3), (2, 3)]
    assert (body["averages"], body["too_few_innings"]) == ([], 2)
    bank = body["families"][0]
    assert (bank["family"], bank["attempts"], bank["points"], bank["success"]) == ("bank", 2, 1, None)
    assert [one["matches"] for one in body["weeks"]] == [2]
    assert body["lengths"] is None


def test_names_stand_as_each_player_agreed():
    cup = make_competition("Spring Cup", published=True)
    a_match(cup, names=("Quendal", "Vilemeer"), consent="shortened", published=True)
    text = page_of()
    assert "Mira Q." in text
    assert "Quendal" not in text
    assert "Mira Quendal" in page_of(make_organiser())


def test_merged_players_are_one():
    cup = make_competition("Spring Cup", published=True)
    kept = make_player("Quendal")
    old = make_player("Astavik", merged_into=kept)
    a_match(cup, players=[kept, make_player("Vilemeer")], runs=[1, 0] * 5)
    a_match(cup, players=[old, make_player("Karnhof")], runs=[1, 0] * 5)
    body = call().json()
    assert body["players"] == 3
    assert [one["players"] for one in body["averages"]] == [1]


def test_the_filter_is_kept_and_narrows():
    cup = make_competition("Spring Cup", published=True)
    a_match(cup)
    a_match(make_competition("Winter Cup", published=True))
    assert "One match is over." in page_of(competition=cup.pk)
    assert "No match is among these." in page_of(since="2031-01-01")
    assert "<span>from 1 Jan 2031 on</span>" in page_of(since="2031-01-01")
    assert "<span>until 1 Jan 2031</span>" in page_of(until="2031-01-01")
    assert call(since="soon").status_code == 400
    assert call(competition=cup.pk).json()["matches"] == 1


def test_lists_and_charts_are_had_as_csv():
    a_match(make_competition("Spring Cup", published=True), consent="full", published=True)
    assert page_of(csv="matches-a-week").splitlines()[1].endswith(",1")
    assert page_of(csv="high-runs").splitlines()[1].startswith("Mira Quendal,")
    assert page_of(csv="best-averages").splitlines()[1].endswith(",6,3,2.000")
    assert client_for().get(reverse("season"), {"csv": "nothing"}).status_code == 404


def test_nothing_played_is_said_in_plain_words():
    assert "No match of a published competition was begun yet." in page_of()
    assert "No match was begun yet." in page_of(make_organiser())
