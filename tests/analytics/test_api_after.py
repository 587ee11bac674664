"""What becomes of a line, through the API: where it strays and what it leaves."""

from __future__ import annotations

import json

import pytest
from django.core.cache import cache

from analytics import searches
from analytics.aim.lines import leaving
from tests import cast

pytestmark = pytest.mark.django_db

LINE = {
    "layout": {"white": [1.0, 1.0], "yellow": [3.1, 2.3], "red": [2.1, 5.9]},
    "cue_ball": "white",
    "strike": {"direction": 20.0, "speed": 3.0, "side": 0.3, "height": 0.2},
}


@pytest.fixture(autouse=True)
def _fresh_limits():
    cache.clear()


def ask(name, **body):
    url = f"/api/aim/{name}/"
    return cast.client_for().post(url, json.dumps(LINE | body), content_type="application/json")


def test_a_stranger_asks_where_a_line_strays():
    told = ask("stray", spread=0.8)
    assert told.status_code == 200, told.content
    answer = told.json()
    assert len(answer["ways"]) == 24
    assert len(answer["rests"]) == len(answer["made"]) == answer["strokes"] > 200
    assert all(0 <= place <= 8 for place in answer["arrivals"])
    steadier = ask("stray", spread=0.2).json()
    assert answer["rests"] != steadier["rests"]


def test_a_stranger_asks_what_a_line_leaves(monkeypatch):
    monkeypatch.setattr(leaving, "RESTS", 2)
    best = cast.client_for().post(
        "/api/aim/",
        json.dumps({name: LINE[name] for name in ("layout", "cue_ball")} | {"quick": True, "limit": 1}),
        content_type="application/json",
    )
    told = ask("leaves", strike=best.json()["lines"][0]["strike"])
    assert told.status_code == 200, told.content
    answer = told.json()
    assert answer["complete"]
    assert 0 <= answer["success"] <= 1
    assert answer["stderr"] >= 0
    assert answer["searched"] > 10_000
    assert set(answer["leaves"][0]["layout"]) == {"white", "yellow", "red"}


@pytest.mark.parametrize("name", ["stray", "leaves"])
@pytest.mark.parametrize(
    ("field", "body"),
    [
        ("strike.speed", {"strike": {"direction": 1, "speed": 0}}),
        ("strike", {"strike": None}),
        ("spread", {"spread": 9}),
        ("table", {"table": 999}),
        ("layout.red", {"layout": LINE["layout"] | {"red": [9, 1]}}),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_field(name, field, body):
    answer = ask(name, **body)
    assert answer.status_code == 400
    assert list(answer.json()) == [field]


def test_visitors_wait_their_turn_for_leaves(monkeypatch):
    monkeypatch.setattr(searches, "_room", searches.threading.BoundedSemaphore(1))
    with searches._room:
        answer = ask("leaves")
    assert answer.status_code == 429
    assert int(answer["Retry-After"]) >= 1
