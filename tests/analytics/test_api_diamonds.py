"""Asking a diamond system through the API: what it takes, what it answers, what it refuses."""

from __future__ import annotations

import json

import pytest
from django.core.cache import cache

from analytics.api.limits import VisitorDiamonds
from tests import cast

pytestmark = pytest.mark.django_db


def ask(client=None, **body):
    client = client or cast.client_for()
    return client.post(
        "/api/diamonds/", json.dumps({"system": "corner"} | body), content_type="application/json"
    )


def test_a_stranger_asks_for_the_aim():
    answer = ask(origin=5, arrival=2)
    assert answer.status_code == 200
    told = answer.json()
    assert (told["origin"], told["aim"], told["arrival"]) == (5, 3, 2)
    assert told["points"] == {"origin": [0, 0], "aim": [4, 5], "arrival": [0, 6], "fourth": [4, 0]}
    assert "Aim = origin − arrival: 5 − 2 = 3." in told["steps"]
    assert len(told["status"]) == len(told["steps"])
    low, high = told["window"]
    assert low < 2 < high
    assert told["warnings"]


def test_a_layout_stands_for_the_numbers():
    told = ask(layout={"cue_ball": [2, 2], "ball": [1, 5]}).json()
    assert (told["origin"], told["aim"], told["arrival"]) == pytest.approx((5, 3.5, 1.5))
    part = ask(layout={"cue_ball": [2, 2]}, arrival=1.5, reading="opposite", mark_offset=0).json()
    assert part["aim"] == pytest.approx(3.7344, abs=1e-3)


@pytest.mark.parametrize("system", ["plus", "one-rail", "two-rail", "sid", "half", "base-30"])
def test_every_system_answers(system):
    aim = {"half": 2, "base-30": 3}.get(system, 1)
    told = ask(system=system, origin=4, aim=aim).json()
    assert told["system"] == system
    assert told["aim"] == aim


def test_orientation_and_the_other_options():
    told = ask(origin=8, arrival=2, corner="top-right", first_rail="left", outer="european", correct=True)
    assert told.status_code == 200, told.content
    assert told.json()["points"]["origin"] == [1.5, 8]
    assert told.json()["track"] == 2


def test_balls_are_bigger_on_a_smaller_table():
    table = cast.make_table(size="210")
    wide = ask(origin=5, arrival=1, table=table.pk).json()["window"]
    usual = ask(origin=5, arrival=1).json()["window"]
    assert wide[1] - wide[0] > 1.2 * (usual[1] - usual[0])
    same = ask(origin=5, arrival=1, table={"overrides": {"table_length": 2.1, "table_width": 1.05}})
    assert same.json()["window"] == pytest.approx(wide)


@pytest.mark.parametrize(
    ("field", "body"),
    [
        ("system", {"system": "clock"}),
        ("system", {"system": None}),
        ("aim", {"origin": 4}),
        ("origin", {"origin": "4", "aim": 2}),
        ("origin", {"origin": True, "aim": 2}),
        ("aim", {"origin": 4, "aim": 10**400}),
        ("aim", {"origin": 4, "aim": 1e300}),
        ("arrival", {"origin": 3, "arrival": 5}),
        ("arrival", {"origin": 4, "aim": 1, "arrival": 2}),
        ("aim", {"origin": 4.5, "aim": 6}),
        ("layout", {"system": "two-rail", "layout": {"cue_ball": [1, 6], "ball": [3, 6]}}),
        ("layout", {"layout": [1, 2]}),
        ("layout.ball", {"layout": {"cue_ball": [2, 2], "ball": [1]}}),
        ("layout.ball", {"layout": {"cue_ball": [2, 2], "ball": [2.1, 2]}}),
        ("layout.cue_ball", {"layout": {"cue_ball": [5, 2], "ball": [1, 5]}}),
        ("layout.red", {"layout": {"cue_ball": [2, 2], "red": [1, 5]}}),
        ("corner", {"origin": 4, "aim": 1, "corner": ["top-left"]}),
        ("first_rail", {"origin": 4, "aim": 1, "first_rail": "top"}),
        ("reading", {"origin": 4, "aim": 1, "reading": None}),
        ("outer", {"origin": 4, "aim": 1, "outer": "new"}),
        ("mark_offset", {"origin": 4, "aim": 1, "mark_offset": 2}),
        ("correct", {"origin": 4, "aim": 1, "correct": "yes"}),
        ("table", {"origin": 4, "aim": 1, "table": "3"}),
        ("table.id", {"origin": 4, "aim": 1, "table": {"id": 999999}}),
        ("table.overrides.slope", {"origin": 4, "aim": 1, "table": {"overrides": {"slope": 1}}}),
        ("speed", {"origin": 4, "aim": 1, "speed": 3}),
    ],
)
def test_refusal_names_the_field(field, body):
    answer = ask(**body)
    assert answer.status_code == 400, answer.content
    assert list(answer.json()) == [field]


def test_what_is_no_json_number_is_refused():
    assert ask(origin=float("nan"), aim=2).status_code == 400
    assert ask(origin=4, aim=float("inf")).status_code == 400


def test_a_visitor_who_asks_too_much_is_told_when_to_come_back(monkeypatch):
    monkeypatch.setattr(VisitorDiamonds, "THROTTLE_RATES", {"diamonds": "2/min"})
    cache.clear()
    visitor = cast.client_for()
    assert [ask(visitor, origin=5, aim=3).status_code for _ in range(3)] == [200, 200, 429]
    assert 0 < int(ask(visitor, origin=5, aim=3)["Retry-After"]) <= 60
    member = cast.client_for(cast.make_user())
    assert [ask(member, origin=5, aim=3).status_code for _ in range(3)] == [200] * 3
    cache.clear()
