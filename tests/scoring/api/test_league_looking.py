"""Who answers for boards answers for what was looked at, and enters no line-up over another's head."""

from __future__ import annotations

import uuid

import pytest

from scoring.models import Encounter
from tests import cast
from tests.scoring.event.league import League, figures

pytestmark = pytest.mark.django_db


def test_boards_that_changed_since_they_were_looked_at_are_not_confirmed_or_decided():
    league = League()
    league.reveal()
    home, away = league.captain(league.home), league.captain(league.away)
    organiser = cast.client_for(league.organiser)
    for board in range(1, 5):
        league.step(home, "board", board=board, **figures(20, 12))
    looked = league.step(home, "hand-over").json()["written"]
    league.step(home, "board", board=2, **figures(20, 2))
    address, stale = f"/encounters/{league.encounter.pk}/", "A board was changed since you looked at it."
    answer = league.step(away, "confirm", expected=looked)
    assert (answer.status_code, answer.json()["code"]) == (409, "stale")
    page = away.post(address, {"act": "confirm", "expected": looked}, format="multipart")
    assert stale in page.content.decode()
    now = page.context["told"]["written"]
    assert now > looked
    assert f'name="expected" value="{now}"' in page.content.decode()
    told = league.step(away, "dispute", board=2, why="Twelve, as it was.").json()
    assert league.step(away, "confirm", expected=now).json()["code"] == "stale"
    once = {"boards": [1, 3, 4], "expected": told["written"], "uuid": str(uuid.uuid4())}
    confirmed = league.step(away, "confirm", **once)
    assert confirmed.json()["status"] == "disputed"
    # Sent again after it was stored: its boards hold more now, and it is the same step.
    assert league.step(away, "confirm", **once).status_code == 200

    decision = {"act": "settle", "settle-board": 2, "settle-decision": "Twelve.", "expected": now}
    assert stale in organiser.post(address, decision, format="multipart").content.decode()
    assert Encounter.objects.get(pk=league.encounter.pk).status == "disputed"
    decided = organiser.post(
        address, decision | {"expected": confirmed.json()["written"]}, format="multipart"
    )
    assert decided.status_code == 302
    assert Encounter.objects.get(pk=league.encounter.pk).status == "confirmed"


def test_organisers_enter_a_line_up_where_there_is_none_and_overwrite_nobodys():
    league = League()
    home, organiser = league.captain(league.home), cast.client_for(league.organiser)
    league.step(home, "line-up", players=league.regulars(league.home))
    others = [league.squad(league.home)[4].pk, None, None, None]
    answer = league.step(organiser, "line-up", side="home", players=others)
    assert (answer.status_code, answer.json()["code"]) == (409, "line-up-entered")
    # Through the page as well, which shows no form for it.
    sent = {"act": "line-up", "side": "home", "knowing": f"{others[0]},,,", "board_1": others[0]}
    answer = organiser.post(f"/encounters/{league.encounter.pk}/", sent, format="multipart")
    assert "entered already" in answer.content.decode()
    kept = Encounter.objects.get(pk=league.encounter.pk).home_line_up["players"]
    assert kept == league.regulars(league.home)
    assert league.step(home, "line-up", players=league.regulars(league.home)[::-1]).status_code == 200
    once = {"side": "away", "players": league.regulars(league.away), "uuid": str(uuid.uuid4())}
    assert league.step(organiser, "line-up", **once).status_code == 200
    assert league.step(organiser, "line-up", **once).status_code == 200
