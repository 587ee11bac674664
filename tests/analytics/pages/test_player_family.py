"""A family's page: strokes in order, promises, practice apart from matches, and who sees it."""

from __future__ import annotations

import uuid

import pytest
from django.urls import reverse
from django.utils import timezone

from analytics.models import Prediction
from analytics.predictions import do_note_followed
from scoring import ledger
from scoring.models import Coaching, Match, Role, StrokeProjection
from tests.cast import (
    LAYOUT,
    client_for,
    make_match,
    make_organiser,
    make_player,
    make_role,
    make_session,
    make_user,
)
from tests.scoring.pages.writing import ORGANISER, opened
from tests.scoring.practice.trying import tried

pytestmark = pytest.mark.django_db


@pytest.fixture
def player(db):
    """A player who made 15 of 24 banks, the first with a layout, each promised 4 in 10."""
    found = make_player("Quendal", user=make_user("mira"))
    match = opened(make_match(found, make_player("Vilemeer"), distance=(90, 90)), found.pk)
    sent = [{"kind": "point", "family": "bank", "layout": LAYOUT}, {"kind": "point", "family": "ticky"}]
    for at in range(23):
        sent += (
            [{"kind": "point", "family": "bank"}]
            if at < 14
            else [{"kind": "miss", "family": "bank"}, {"kind": "inning", "run": 0}]
        )
    sent = [{"after": 1, "uuid": str(uuid.uuid4()), **one} for one in sent]
    outcomes, _state = ledger.append_list(match.pk, sent, ORGANISER)
    assert {one.status for one in outcomes} == {"stored"}
    fields = {"layout": {}, "cue_ball": "white", "line": {}, "parameters": {}, "hits": [], "grid": []}
    Prediction.objects.bulk_create(
        Prediction(
            match=match,
            place=stroke.place,
            kind="blind",
            source="declared",
            discipline="three-cushion",
            spread=1.0,
            success=0.4,
            stderr=0.01,
            strokes=1024,
            model=1,
            kernels="",
            **fields,
        )
        for stroke in StrokeProjection.objects.filter(match=match, player=found)
    )
    do_note_followed(Match.objects.select_related("projection").get(pk=match.pk))
    return found


def page_of(user, player, family="bank", **query):
    return client_for(user).get(reverse("player-family", args=[player.pk, family]), query)


def call(user, player, family="bank", **query):
    return client_for(user).get(f"/api/players/{player.pk}/families/{family}/", query)


def practise(player):
    session = make_session(player)
    tried(session, family="bank", outcome="made")
    for how in ("short", "short", "thin", None):
        tried(session, family="bank", how=how)
    tried(session, family="ticky")


def test_the_family_alone_is_counted_and_each_stroke_is_listed(player):
    text = page_of(make_organiser(), player).content.decode()
    assert "15 of 24 strokes made the point." in text
    assert "Promised before the stroke, of the line that was declared: 10 of 24 strokes. Made: 15." in text
    assert text.count('<li class="entry">') == 24
    assert "promised about 40 in 100" in text
    assert "/aim/?white=1,2&amp;yellow=2.5,6" in text
    assert page_of(make_organiser(), player, "nothing").status_code == 404


def test_the_call_tells_the_same_numbers_the_latest_stroke_first(player):
    body = call(make_organiser(), player, limit=10).json()
    assert (body["figures"]["attempts"], body["figures"]["points"], body["more"]) == (24, 15, 14)
    assert [one["outcome"] for one in body["strokes"]] == ["miss"] * 9 + ["point"]
    assert body["promised"][0]["tenths"] == [
        {"tenth": 4, "strokes": 24, "points": 15, "expected": pytest.approx(9.6), "low": 6, "high": 14}
    ]
    first = call(make_organiser(), player, limit=10, past=23).json()["strokes"]
    assert [one["aim"] is not None for one in first] == [True]
    assert call(make_organiser(), player, limit=0).status_code == 400


def test_misses_at_practice_are_for_the_player_and_agreed_coaches_and_in_no_figure_of_matches(player):
    practise(player)
    text = page_of(player.user, player).content.decode()
    assert "1 of 5 attempts made the point." in text
    assert "Missed: 2 short, 1 thin, 1 without saying how." in text
    assert "15 of 24 strokes made the point." in text
    assert call(player.user, player).json()["practised"] == {
        "tried": 5,
        "made": 1,
        "missed": {"short": 2, "long": 0, "thin": 1, "thick": 0, "unsaid": 1},
    }
    assert call(make_organiser(), player).json()["practised"] is None
    coach = make_role(Role.Kind.COACH)
    asked = Coaching.objects.create(coach=coach, player=player, agreed_at=timezone.now())
    assert call(coach, player).json()["practised"]["tried"] == 5
    asked.withdrawn_at = timezone.now()
    asked.save()
    assert call(coach, player).status_code == page_of(coach, player).status_code == 404


def test_charts_are_had_as_csv(player):
    practise(player)
    rows = page_of(player.user, player, csv="promised-blind-declared").content.decode().splitlines()
    assert rows[1].startswith("about 4 in 10,24,15,9.6,")
    rows = page_of(player.user, player, csv="ways-to-miss").content.decode().splitlines()
    assert rows[1] == "short,2,,,"


def test_a_family_never_tried_says_so_and_the_report_leads_to_those_that_were(player):
    text = page_of(make_organiser(), player, "umbrella").content.decode()
    assert "No stroke of this family stands in these matches." in text
    assert "Nothing was promised of these strokes." in text
    report = client_for(make_organiser()).get(reverse("player-report", args=[player.pk])).content.decode()
    assert f"/players/{player.pk}/families/bank/?discipline=three-cushion" in report
