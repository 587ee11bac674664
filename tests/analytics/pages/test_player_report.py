"""The page of a player's report: its figures, its filter, its CSV, and who may read it."""

from __future__ import annotations

import pytest
from django.urls import reverse

from analytics.models import Prediction
from analytics.predictions import do_keep
from tests.cast import make_competition, make_match, make_organiser, make_player, make_user
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db


@pytest.fixture
def player(db):
    return make_player("Quendal")


@pytest.fixture
def organiser(client):
    client.force_login(make_organiser(), backend="django.contrib.auth.backends.ModelBackend")
    return client


def page_of(client, player, **query):
    return client.get(reverse("player-report", args=[player.pk]), query)


def a_match(one, competition=None):
    other = make_player("Vilemeer")
    match = opened(make_match(one, other, distance=(5, 5), competition=competition), one.pk)
    for kind, family in (("point", "bank"), ("point", "ticky"), ("miss", "bank")):
        write(match, kind, family=family)
    innings(match, 1, 0, 2, 3, 0)
    write(match, "confirm")
    return match


def promise(match, place, success):
    fields = {"layout": {}, "cue_ball": "white", "line": {}, "discipline": "three-cushion", "parameters": {}}
    do_keep(
        Prediction(
            match=match,
            place=place,
            kind="blind",
            source="declared",
            spread=1.0,
            success=success,
            stderr=0.01,
            hits=[],
            grid=[],
            strokes=1024,
            model=1,
            kernels="",
            **fields,
        )
    )


def test_what_was_promised_stands_beside_what_was_made(organiser, player):
    match = a_match(player)
    for place, success in ((2, 0.5), (3, 0.25), (4, 0.25)):
        promise(match, place, success)
    text = page_of(organiser, player).content.decode()
    assert "Promised before the stroke, of the line that was declared: 1 of 3 strokes. Made: 2." in text
    assert "General average 1.666: 5 points in 3 innings of one match." in text


def test_promises_of_points_alone_are_said_to_prove_nothing(organiser, player):
    match = a_match(player)
    promise(match, 2, 0.5)
    text = page_of(organiser, player).content.decode()
    assert "0 of 1 stroke. Made: 1." in text
    assert "All of them are points" not in text
    promise(match, 3, 0.25)
    assert "1 of 2 strokes. Made: 2." in (text := page_of(organiser, player).content.decode())
    assert "All of them are points" in text
    promise(match, 4, 0.25)
    assert "All of them are points" not in page_of(organiser, player).content.decode()


def test_no_match_is_said_in_plain_words(organiser, player):
    text = page_of(organiser, player).content.decode()
    assert "No match was begun yet." in text
    assert "chart" not in text.split("<main")[1].split("</main")[0]


def test_a_filter_that_finds_nothing_offers_all_again(organiser, player):
    a_match(player)
    text = page_of(organiser, player, since="2031-01-01").content.decode()
    assert "No match is among these." in text
    assert 'value="2031-01-01"' in text


def test_a_filter_that_cannot_be_read_is_told_beside_its_field(organiser, player):
    a_match(player)
    answer = page_of(organiser, player, until="soon")
    assert answer.status_code == 200
    assert "write a day as 2026-03-31" in answer.content.decode()


def test_what_the_page_has_no_field_of_is_told_all_the_same(organiser, player):
    a_match(player)
    text = page_of(organiser, player, competition="cup").content.decode()
    assert 'name="competition"' not in text
    assert "Competition of the address was not understood: send a number, as the lists show them." in text
    assert "was not understood" not in page_of(organiser, player, until="soon").content.decode()


@pytest.mark.parametrize("digits", ["0" * 19 + "1" + "9" * 30, "9" * 20, "0" * 20])
def test_numbers_that_no_row_has_are_told_beside_the_filter(organiser, player, digits):
    a_match(player, make_competition())
    text = page_of(organiser, player, competition=digits).content.decode()
    assert "send a number, as the lists show them" in text


def test_numbers_of_rows_may_begin_with_zeros(organiser, player):
    cup = make_competition()
    a_match(player, cup)
    assert "3 innings of one match" in page_of(organiser, player, competition=f"00{cup.pk}").content.decode()


def test_each_chart_is_had_as_csv_with_the_filter(organiser, player):
    cup = make_competition()
    a_match(player, cup)
    a_match(player)
    whole = page_of(organiser, player, csv="run-histogram")
    part = page_of(organiser, player, csv="run-histogram", competition=cup.pk)
    assert whole["Content-Type"].startswith("text/csv")
    assert "run-histogram.csv" in whole["Content-Disposition"]
    assert whole.content.decode().splitlines()[1].startswith("0,2")
    assert part.content.decode().splitlines()[1].startswith("0,1")
    assert page_of(organiser, player, csv="nothing").status_code == 404


def test_outsiders_read_what_is_published_where_it_is_opened(client, player):
    a_match(player)
    a_match(player, make_competition(published=True))
    assert page_of(client, player).status_code == 404
    player.report_open = True
    player.save()
    text = page_of(client, player).content.decode()
    assert "Published matches only." in text
    assert "3 innings of one match" in text


def test_another_member_reads_nothing_that_is_not_opened(client, player):
    a_match(player)
    client.force_login(make_user(), backend="django.contrib.auth.backends.ModelBackend")
    assert page_of(client, player).status_code == 404


def test_a_merged_player_leads_to_the_one_that_holds_the_matches(organiser, player):
    old = make_player("Astavik", merged_into=player)
    a_match(old)
    assert page_of(organiser, old).url == reverse("player-report", args=[player.pk])
    assert "5 points in 3 innings" in page_of(organiser, player).content.decode()
