"""Formats: completed from the competition and the discipline, each field within bounds."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.disciplines import DISCIPLINES
from scoring.rules.formats import FIELDS, FORMATS, complete_format
from scoring.rules.said import Malformed
from tests.scoring.rules.spelling import refusal
from tests.scoring.rules.test_contacts import JSON

THREE = DISCIPLINES["three-cushion"]


def test_unset_parts_come_from_the_competition_then_the_discipline():
    given_, competition = {"distance": [20, None]}, {"distance": [30, 30], "innings_limit": 40}
    format_ = complete_format(given_, competition, THREE)
    assert format_ == dict(THREE.default_format) | {"distance": [20, None], "innings_limit": 40}
    assert tuple(format_) == FIELDS


def test_null_means_none_and_is_no_unset_part():
    format_ = complete_format({"innings_limit": None, "distance": None}, {"innings_limit": 40}, THREE)
    assert format_["innings_limit"] is None
    assert format_["distance"] == [None, None]


def test_a_preset_stands_below_what_is_given_beside_it():
    format_ = complete_format({"preset": "championship-groups", "distance": [5, 5]}, None, THREE)
    assert (format_["distance"], format_["shot_seconds"], format_["timeout_mode"]) == (
        [5, 5],
        30,
        "automatic",
    )


def test_an_inherited_warning_moves_with_the_limit():
    competition = {"preset": "championship-groups"}
    assert complete_format({"shot_seconds": 15}, competition, THREE)["warning_seconds"] == 5
    assert complete_format({"shot_seconds": 10}, competition, THREE)["warning_seconds"] is None
    assert complete_format({"shot_seconds": None}, competition, THREE)["warning_seconds"] is None
    assert complete_format({"shot_seconds": 50}, competition, THREE)["warning_seconds"] == 20


@pytest.mark.parametrize(
    ("part", "value"),
    [
        ("distance", [0, 5]),
        ("distance", [5, 1001]),
        ("distance", [True, 5]),
        ("distance", [5.0, 5]),
        ("distance", [5]),
        ("distance", 5),
        ("equalizing", 1),
        ("equalizing", None),
        ("equalizing_from", "centre"),
        ("innings_limit", 0),
        ("innings_limit", True),
        ("sets_to_win", -1),
        ("shot_seconds", 4),
        ("timeouts", 21),
        ("timeout_seconds", 0),
        ("timeout_mode", None),
        ("average_decimals", None),
        ("average_decimals", 7),
        ("average_rounding", "up"),
        ("preset", "unheard-of"),
        ("preset", ["club-evening"]),
        ("extra", 1),
        ("warning_seconds", 20),
    ],
)
def test_a_part_out_of_bounds_is_named(part, value):
    with pytest.raises(Malformed) as caught:
        complete_format({part: value}, None, THREE)
    assert caught.value.field == f"format.{part}"


def test_a_set_needs_a_distance():
    with pytest.raises(Malformed) as caught:
        complete_format({"sets_to_win": 3, "distance": [15, None]}, None, THREE)
    assert caught.value.field == "format.distance"


def test_the_competitions_own_part_is_named_as_such():
    with pytest.raises(Malformed) as caught:
        complete_format({}, {"timeouts": -1}, THREE)
    assert caught.value.field == "competition.format.timeouts"


@pytest.mark.parametrize("code", FORMATS)
def test_every_preset_completes_for_every_discipline(code):
    for discipline in DISCIPLINES.values():
        format_ = complete_format({"preset": code}, None, discipline)
        assert complete_format(format_, None, discipline) == format_
        assert FORMATS[code].source


@given(st.dictionaries(st.sampled_from([*FIELDS, "preset"]) | st.text(), JSON, max_size=4) | JSON)
def test_completing_raises_nothing_but_malformed(value):
    refused = refusal(lambda: complete_format(value, None, THREE))
    assert refused is None or refused.field.startswith("format")
