"""Asking for a ruling: anyone may, and every field is read with care."""

from __future__ import annotations

import json

import pytest
from django.core.cache import cache

from scoring.api.limits import VisitorRulings
from scoring.models import Club, OwnDiscipline, OwnRuleSet
from scoring.rules.disciplines import DISCIPLINES
from tests import cast

pytestmark = pytest.mark.django_db

# Red, three cushions, yellow: the plainest valid point.
ROUND = [{"ball": "red"}, {"rail": "left"}, {"rail": "top"}, {"rail": "right"}, {"ball": "yellow"}]


def ask(**changes):
    body = {"discipline": "three-cushion", "cue_ball": "white", "contacts": ROUND} | changes
    return cast.client_for().post("/api/rulings/", json.dumps(body), content_type="application/json")


def test_a_stranger_may_ask():
    answer = ask()
    assert answer.status_code == 200
    ruling = answer.json()
    assert (ruling["valid"], ruling["cushions"], ruling["required"]) == (True, 3, 3)
    assert ruling["family"] == "around-the-table"
    assert ruling["reason"]


@pytest.mark.parametrize(
    "change",
    [
        {"off_table": ["yellow"]},
        {"off_table": "red"},
        {"touching_ball": "red"},
        {"touching_ball": ["red"], "rule_set": None},
        {"contacts": ROUND[:-1]},
        {"contacts": [{"rail": "left"}, *ROUND], "opening": True},
        {"contacts": [*ROUND[:3], ROUND[3], {"ball": "yellow", "tie": True}]},
    ],
)
def test_what_spoils_the_point(change):
    answer = ask(**change)
    assert answer.status_code == 200, answer.content
    assert answer.json()["valid"] is False


def test_a_rail_lain_against_is_a_foul_or_uncounted_by_the_rule_set():
    contacts = [{"rail": "left"}, {"rail": "top"}, {"ball": "red"}, {"rail": "right"}, {"ball": "yellow"}]
    foul = ask(contacts=contacts, touching_rail="left", rule_set={"rail_frozen": "foul"}).json()
    uncounted = ask(contacts=contacts, touching_rail="left", rule_set={"rail_frozen": "uncounted"}).json()
    assert (foul["valid"], foul["foul"]) == (False, "ball-in-contact")
    assert (uncounted["valid"], uncounted["cushions"], uncounted["foul"]) == (False, 2, None)


@pytest.mark.parametrize(
    ("field", "change"),
    [
        ("discipline", {"discipline": "darts"}),
        ("discipline", {"discipline": None}),
        ("discipline", {"discipline": "\ud800"}),
        ("cue_ball", {"cue_ball": "red"}),
        ("cue_ball", {"cue_ball": "\ud800"}),
        ("contacts", {"contacts": None}),
        ("contacts", {"contacts": {}}),
        ("contacts", {"contacts": "red"}),
        ("contacts", {"contacts": ROUND * 2000}),
        ("contacts[0]", {"contacts": [7]}),
        ("contacts[0]", {"contacts": [{}]}),
        ("contacts[0].ball", {"contacts": [{"ball": "white"}]}),
        ("contacts[0].rail", {"contacts": [{"rail": ["left"]}]}),
        ("contacts[1].tie", {"contacts": [{"ball": "red"}, {"rail": "left", "tie": 1}]}),
        ("opening", {"opening": "perhaps"}),
        ("touching_rail", {"touching_rail": 7}),
        ("touching_ball", {"touching_ball": {"red": True}}),
        ("off_table", {"off_table": ["red"] * 50}),
        ("off_table[0]", {"off_table": ["green"]}),
        ("rule_set", {"rule_set": "house rules nobody wrote"}),
        ("rule_set", {"rule_set": [1]}),
        ("rule_set", {"rule_set": {"name": "\ud800"}}),
        ("rule_set.rail_frozen", {"rule_set": {"rail_frozen": "perhaps"}}),
        ("rule_set.?", {"rule_set": {"\x01": 1}}),
    ],
)
def test_a_field_out_of_shape_is_named(field, change):
    answer = ask(**change)
    assert answer.status_code == 400, answer.content
    assert list(answer.json()) == [field]


def test_a_club_adds_a_discipline_and_a_rule_set_without_code():
    club = Club.objects.the_first()
    two = DISCIPLINES["three-cushion"].to_json() | {
        "code": "two-cushion",
        "name": "Two cushions",
        "required_cushions": 2,
    }
    OwnDiscipline.objects.create(club=club, code="two-cushion", data=two)
    OwnRuleSet.objects.create(club=club, code="cellar", data={"code": "cellar", "rail_frozen": "uncounted"})
    short = [ROUND[0], ROUND[1], ROUND[2], ROUND[4]]
    assert ask(contacts=short).json()["valid"] is False
    assert ask(contacts=short, discipline="two-cushion").json()["valid"] is True
    contacts = [{"rail": "left"}, *short]
    told = {"contacts": contacts, "touching_rail": "left", "discipline": "two-cushion"}
    assert ask(**told).json()["foul"] == "ball-in-contact"
    assert ask(**told, rule_set="cellar").json()["valid"] is True
    match = cast.make_match(discipline="two-cushion", rule_set="cellar")
    assert match.discipline["required_cushions"] == 2
    assert match.rule_set["rail_frozen"] == "uncounted"


def test_a_body_beyond_all_measure_is_refused(settings):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 1000
    assert ask(contacts=ROUND * 20).status_code == 413


def test_a_visitor_who_asks_too_much_is_told_when_to_come_back(monkeypatch):
    monkeypatch.setattr(VisitorRulings, "THROTTLE_RATES", {"rulings": "2/min"})
    cache.clear()
    stroke = {"discipline": "three-cushion", "cue_ball": "white", "contacts": []}

    def asked(client):
        return client.post("/api/rulings/", stroke, format="json")

    visitor = cast.client_for()
    assert [asked(visitor).status_code for _ in range(3)] == [200, 200, 429]
    assert 0 < int(asked(visitor)["Retry-After"]) <= 60
    member = cast.client_for(cast.make_user())
    assert [asked(member).status_code for _ in range(3)] == [200] * 3
    cache.clear()
