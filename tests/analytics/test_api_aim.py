"""Asking for lines through the API: what it takes, what it answers, what it refuses."""

from __future__ import annotations

import json

import pytest
from django.core.cache import cache

from analytics import searches
from analytics.api.limits import VisitorAim
from tests import cast

pytestmark = pytest.mark.django_db

LAYOUT = {"white": [1.0, 1.0], "yellow": [3.1, 2.3], "red": [2.1, 5.9]}


@pytest.fixture(autouse=True)
def _fresh_limits():
    cache.clear()


def ask(client=None, **body):
    client = client or cast.client_for()
    body = {"layout": LAYOUT, "cue_ball": "white", "quick": True} | body
    return client.post("/api/aim/", json.dumps(body), content_type="application/json")


def test_a_stranger_asks_for_first_lines():
    answer = ask(limit=2, spread=1.2)
    assert answer.status_code == 200, answer.content
    told = answer.json()
    assert len(told["lines"]) == 2
    assert told["complete"] is False
    assert told["searched"] > 5000
    assert told["spread"] == 1.2
    assert told["execution_error"] == {"direction": 0.43, "speed": 0.086, "side": 0.065, "height": 0.065}
    best = told["lines"][0]
    assert best["success"] >= told["lines"][1]["success"]
    assert {"family", "first_ball", "thickness", "luck", "kiss", "costs", "path"} < set(best)
    assert best["aim"]["rail"] in ("bottom", "right", "top", "left")
    assert 0 <= best["aim"]["diamond"] <= 8
    shot = cast.client_for().post(
        "/api/shots/",
        json.dumps({"layout": LAYOUT, "cue_ball": "white", "strike": best["strike"], "paths": True}),
        content_type="application/json",
    )
    assert shot.json()["ruling"]["valid"]
    assert shot.json()["contacts"][: len(best["contacts"])] == best["contacts"]
    assert shot.json()["paths"]["white"] == best["path"]


def test_people_of_the_club_and_a_table_of_their_own():
    table = cast.make_table(size="210")
    client = cast.client_for(cast.make_user())
    told = ask(client, limit=1, table=table.pk, cue_ball="yellow", discipline="one-cushion")
    assert told.status_code == 200, told.content
    heated = ask(client, limit=1, cue_ball="yellow", discipline="one-cushion").json()
    assert told.json()["lines"][0]["strike"] != heated["lines"][0]["strike"]


@pytest.mark.parametrize(
    ("field", "body"),
    [
        ("layout.red", {"layout": LAYOUT | {"red": [9, 1]}}),
        ("layout.yellow", {"layout": LAYOUT | {"yellow": [1.05, 1]}}),
        ("layout.white", {"layout": {"yellow": [1, 1], "red": [2, 2]}}),
        ("cue_ball", {"cue_ball": "red"}),
        ("spread", {"spread": 0.1}),
        ("spread", {"spread": 5.01}),
        ("spread", {"spread": "1"}),
        ("limit", {"limit": 0}),
        ("limit", {"limit": 21}),
        ("limit", {"limit": 2.5}),
        ("limit", {"limit": None}),
        ("quick", {"quick": 1}),
        ("discipline", {"discipline": "nine-cushion"}),
        ("table", {"table": 987654}),
        ("table.overrides.radius", {"table": {"overrides": {"radius": 5}}}),
        ("seed", {"seed": 4}),
    ],
)
def test_refused(field, body):
    answer = ask(**body)
    assert answer.status_code == 400, answer.content
    assert list(answer.json()) == [field]


def test_a_visitor_is_limited(monkeypatch):
    monkeypatch.setattr(VisitorAim, "get_rate", lambda self: "1/min")
    assert ask(limit=0).status_code == 400
    again = ask(limit=0)
    assert again.status_code == 429
    assert int(again["Retry-After"]) > 0


def test_few_visitors_may_wait():
    held = [searches._room.acquire(blocking=False) for _ in range(searches.MOST_WAITING)]
    try:
        assert all(held)
        answer = ask()
        assert answer.status_code == 429
        assert int(answer["Retry-After"]) > 0
    finally:
        for _ in held:
            searches._room.release()
    assert ask(limit=1).status_code == 200
