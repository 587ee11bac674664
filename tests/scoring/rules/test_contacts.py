"""Reading contacts: what passes, and that all else is named politely."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.contacts import (
    BALLS,
    RAILS,
    Contact,
    contacts_to_json,
    parse_balls,
    parse_contacts,
    parse_rails,
)
from scoring.rules.said import Malformed
from tests.scoring.rules.spelling import refusal

RED, LEFT = {"ball": "red"}, {"rail": "left"}


def test_contacts_are_read_and_written_back():
    value = [RED, LEFT, {"rail": "top", "tie": True}, {"ball": "yellow"}]
    contacts = parse_contacts(value, "white")
    assert contacts[2] == Contact(rail="top", tie=True)
    assert contacts_to_json(contacts) == value


@pytest.mark.parametrize(
    ("value", "field"),
    [
        (None, "contacts"),
        ("red", "contacts"),
        ({}, "contacts"),
        ([RED] * 201, "contacts"),
        ([RED] * 10_000, "contacts"),
        ([RED, "left"], "contacts[1]"),
        ([RED, {}], "contacts[1]"),
        ([RED, {"ball": "yellow", "rail": "left"}], "contacts[1]"),
        ([RED, LEFT, LEFT, {"ball": "white"}], "contacts[3].ball"),
        ([{"ball": "green"}], "contacts[0].ball"),
        ([{"ball": ["red"]}], "contacts[0].ball"),
        ([{"rail": "middle"}], "contacts[0].rail"),
        ([{"rail": 3}], "contacts[0].rail"),
        ([{"rail": "left", "tie": True}], "contacts[0].tie"),
        ([RED, {"rail": "left", "tie": 1}], "contacts[1].tie"),
        ([RED, {"rail": "left", "tie": None}], "contacts[1].tie"),
        ([{"rail": "left", "at": [0, 1]}], "contacts[0]"),
    ],
)
def test_what_cannot_be_read_is_named(value, field):
    with pytest.raises(Malformed) as caught:
        parse_contacts(value, "white")
    assert caught.value.field == field
    assert str(caught.value.reason)


def test_two_hundred_contacts_pass():
    assert len(parse_contacts([RED] * 200, "white")) == 200


def test_balls_and_rails_by_name_or_list():
    assert parse_balls(None, "off_table") == ()
    assert parse_balls("red", "off_table") == ("red",)
    assert parse_balls(["white", "red", "red"], "off_table") == ("white", "red")
    assert parse_rails(["left", "top"], "touching_rail") == ("left", "top")
    for read in (
        lambda: parse_balls(["red"] * 4, "off_table"),
        lambda: parse_balls("white", "touching_ball", "white"),
        lambda: parse_rails(["left", "left", "top"], "touching_rail"),
        lambda: parse_rails(7, "touching_rail"),
    ):
        with pytest.raises(Malformed):
            read()


NAMES = st.sampled_from([*BALLS, *RAILS, "ball", "rail", "tie"])
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text() | NAMES,
    lambda inner: st.lists(inner, max_size=5) | st.dictionaries(st.text() | NAMES, inner, max_size=4),
    max_leaves=20,
)


@given(JSON | st.lists(JSON, max_size=5), st.none() | st.sampled_from(["white", "yellow"]))
def test_reading_raises_nothing_but_malformed(value, cue_ball):
    for read in (
        lambda: contacts_to_json(parse_contacts(value, cue_ball)),
        lambda: parse_balls(value, "off_table", cue_ball),
        lambda: parse_rails(value, "touching_rail"),
    ):
        refused = refusal(read)
        assert refused is None or (refused.field and str(refused.reason))
