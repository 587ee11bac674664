"""What to practise next: the advice, the session that is proposed, and who may begin it."""

from __future__ import annotations

import uuid

import pytest
from django.urls import reverse

from analytics.models import Prediction
from analytics.predictions import do_note_followed
from scoring import ledger
from scoring.models import Match, PracticeSession, StrokeProjection
from tests.cast import client_for, make_match, make_organiser, make_player, make_user
from tests.scoring.pages.writing import ORGANISER, opened

pytestmark = pytest.mark.django_db


@pytest.fixture
def player(db):
    """A player who makes fewer banks than promised, and ticky shots as promised."""
    found = make_player("Quendal", user=make_user("mira"))
    match = opened(make_match(found, make_player("Vilemeer"), distance=(90, 90)), found.pk)
    sent = []
    for family, made in (("bank", 6), ("ticky", 16)):
        for at in range(30):
            sent += [{"kind": "point", "family": family}] if at < made else [
                {"kind": "miss", "family": family},
                {"kind": "inning", "run": 0},
            ]  # fmt: skip
    sent = [{"after": 1, "uuid": str(uuid.uuid4()), **one} for one in sent]
    outcomes, _state = ledger.append_list(match.pk, sent, ORGANISER)
    assert {one.status for one in outcomes} == {"stored"}
    Prediction.objects.bulk_create(
        Prediction(
            match=match,
            place=stroke.place,
            kind="blind",
            source="declared",
            layout={},
            cue_ball="white",
            line={},
            discipline="three-cushion",
            parameters={},
            spread=1.0,
            success=0.5,
            stderr=0.01,
            hits=[],
            grid=[],
            strokes=1024,
            model=1,
            kernels="",
        )
        for stroke in StrokeProjection.objects.filter(match=match, player=found)
    )
    do_note_followed(Match.objects.select_related("projection").get(pk=match.pk))
    return found


def address(player):
    return reverse("player-practise", args=[player.pk])


def signed_in(client, user):
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return client


def test_the_family_that_falls_short_of_its_promises_is_named(client, player):
    text = signed_in(client, player.user).get(address(player)).content.decode()
    assert "Practise bank: worth about" in text
    assert "what the aim calculator promised your own hands" in text
    assert "No position was practised yet." in text


def test_the_player_begins_the_session_that_was_shown(client, player):
    page = signed_in(client, player.user).get(address(player), {"seed": "5"}).content.decode()
    assert 'name="seed" value="5"' in page
    answer = client.post(address(player), {"seed": "5"})
    session = PracticeSession.objects.get()
    assert answer.url == reverse("practice-session", args=[session.pk])
    assert session.goal["attempts"] == sum(one["repetitions"] for one in session.positions) == 40
    for one in session.positions:
        assert f'<td class="num">{one["repetitions"]}</td><td class="num">{one["goal"]}</td>' in page
    api = client_for(player.user).get(f"/api/players/{player.pk}/practise/", {"seed": "5"}).json()
    assert api["named"] == "bank"
    for block in api["session"]:
        told = f"{block['goal']} of {block['strokes']}, reached about {100 * block['today']:.0f} times in 100"
        assert told in page
    assert sum(block["strokes"] for block in api["session"]) == 40


def test_an_organiser_reads_the_advice_and_no_practice_and_begins_nothing(client, player):
    text = signed_in(client, make_organiser()).get(address(player)).content.decode()
    assert "Practise bank" in text
    assert "Positions practised" not in text
    assert "Begin this session" not in text
    assert client.post(address(player), {"seed": "5"}).status_code == 404
    assert not PracticeSession.objects.exists()


def test_a_stranger_finds_nothing(client, player):
    assert client.get(address(player)).status_code == 404
    assert client_for(make_user()).get(f"/api/players/{player.pk}/practise/").status_code == 404


def test_too_little_is_said_to_be_too_little(client):
    newcomer = make_player("Astavik", user=make_user("ronja"))
    text = signed_in(client, newcomer.user).get(address(newcomer)).content.decode()
    assert "Too early to advise anything" in text
    assert "Begin this session" not in text


def test_a_seed_that_is_none_is_told(player):
    answer = client_for(player.user).get(f"/api/players/{player.pk}/practise/", {"seed": "x"})
    assert answer.status_code == 400
    assert "seed" in answer.json()


def test_the_report_says_of_each_family_what_would_tell(client, player):
    text = signed_in(client, player.user).get(reverse("player-report", args=[player.pk])).content.decode()
    assert "strokes would show a difference of 5 in 100" in text
