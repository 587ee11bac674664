"""Disciplines, rule sets and clocks are data: they go out as JSON and come back."""

import json
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules import words
from scoring.rules.clock import CLOCKS, Clock
from scoring.rules.disciplines import DISCIPLINES, Discipline
from scoring.rules.formats import FORMATS
from scoring.rules.fouls import FOUL_REASONS
from scoring.rules.handicaps import METHODS, Method
from scoring.rules.points import SCHEMES, Scheme
from scoring.rules.rulesets import RULE_SETS, RuleSet, settings
from scoring.rules.said import Malformed
from scoring.rules.words import NAMES_IN_DATA
from tests.scoring.rules.spelling import refusal
from tests.scoring.rules.test_contacts import JSON

_KINDS = (
    (Discipline, DISCIPLINES),
    (RuleSet, RULE_SETS),
    (Clock, CLOCKS),
    (Method, METHODS),
    (Scheme, SCHEMES),
)
POSITIONS = Path(words.__file__).with_name("data") / "positions.json"
THREE = DISCIPLINES["three-cushion"].to_json()


@pytest.mark.parametrize(
    ("kind", "one"),
    [pytest.param(kind, one, id=one.code) for kind, known in _KINDS for one in known.values()],
)
def test_out_and_back(kind, one):
    assert kind.from_json(json.loads(json.dumps(one.to_json()))) == one
    assert hash(one) == hash(kind.from_json(one.to_json()))


def test_every_name_in_the_data_is_marked_for_translation():
    everything = (DISCIPLINES, RULE_SETS, CLOCKS, FORMATS, METHODS, SCHEMES)
    named = [one.name for known in everything for one in known.values()]
    named += [row["name"] for row in json.loads(POSITIONS.read_text("utf-8"))]
    assert sorted(named) == sorted(text.template for text in NAMES_IN_DATA)


@pytest.mark.parametrize(
    ("part", "value"),
    [
        ("code", "Three Cushion"),
        ("name", ""),
        ("name", "a\nb"),
        ("required_cushions", 10),
        ("required_cushions", True),
        ("red_first_at_opening", "yes"),
        ("off_table", "all"),
        ("frozen", None),
        ("announce_last", -1),
        ("implausible_run", 0),
        ("families", "bank"),
        ("default_format", []),
        ("surprise", 1),
    ],
)
def test_a_discipline_part_out_of_bounds_is_named(part, value):
    with pytest.raises(Malformed) as caught:
        Discipline.from_json(THREE | {part: value})
    assert caught.value.field == f"discipline.{part}"


def test_a_discipline_needs_its_parts_but_not_those_that_follow():
    for part in ("families", "default_format", "implausible_run"):
        assert Discipline.from_json({name: one for name, one in THREE.items() if name != part}).code
    with pytest.raises(Malformed) as caught:
        Discipline.from_json({name: one for name, one in THREE.items() if name != "frozen"})
    assert caught.value.field == "discipline.frozen"


def test_a_rule_set_is_a_preset_or_a_preset_with_own_settings():
    assert RuleSet.from_json("us-reading") is RULE_SETS["us-reading"]
    assert RuleSet.from_json(None) is RULE_SETS["world"]
    own = RuleSet.from_json({"preset": "us-reading", "opening_red_direct": False, "since": "2026-01-01"})
    assert (own.rail_frozen, own.opening_red_direct, own.since) == ("uncounted", False, date(2026, 1, 1))
    assert own.code == "us-reading-own"
    assert RuleSet.from_json(own.to_json()) == own
    assert RuleSet.from_json({}) == RULE_SETS["world"]


@pytest.mark.parametrize(
    ("value", "field"),
    [
        ("moon", "rule_set"),
        (7, "rule_set"),
        ({"preset": "moon"}, "rule_set.preset"),
        ({"rail_frozen": "maybe"}, "rule_set.rail_frozen"),
        ({"opening_red_first": 1}, "rule_set.opening_red_first"),
        ({"since": "soon"}, "rule_set.since"),
        ({"lag_repeats_that_lose_choice": 0}, "rule_set.lag_repeats_that_lose_choice"),
        ({"unknown": True}, "rule_set.unknown"),
    ],
)
def test_a_rule_set_part_out_of_bounds_is_named(value, field):
    with pytest.raises(Malformed) as caught:
        RuleSet.from_json(value)
    assert caught.value.field == field


def test_every_setting_says_what_it_means_and_where_it_stands():
    told = settings()
    assert {one.name for one in told} == set(RULE_SETS["world"].to_json()) - {"code", "name", "since"}
    assert all(str(one.meaning).endswith(".") and one.source for one in told)


def test_the_codes_of_fouls():
    assert list(FOUL_REASONS) == [
        "outside",
        "balls-moving",
        "not-with-tip",
        "touched",
        "pushed-through",
        "ball-in-contact",
        "foot",
        "marks",
        "wrong-ball",
        "time",
        "other",
    ]


@given(JSON, st.sampled_from(list(THREE)))
def test_reading_data_raises_nothing_but_malformed(value, part):
    clock = CLOCKS["called-40"].to_json()
    for read in (
        lambda: Discipline.from_json(value),
        lambda: Discipline.from_json(THREE | {part: value}),
        lambda: RuleSet.from_json(value),
        lambda: RuleSet.from_json({"since": value}),
        lambda: Clock.from_json(value),
        lambda: Clock.from_json(clock | {"timeouts": value}),
        lambda: Method.from_json(value),
        lambda: Method.from_json(METHODS["average-30"].to_json() | {"factor": value, "least": value}),
        lambda: Scheme.from_json(value),
        lambda: Scheme.from_json(SCHEMES["own-average"].to_json() | {"percentage": value, "win": value}),
    ):
        refused = refusal(read)
        assert refused is None or (refused.field and str(refused.reason))
