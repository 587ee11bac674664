"""The page that says which ball goes where."""

import pytest

from scoring.models import Club, OwnRuleSet
from scoring.rules.rulesets import RULE_SETS

pytestmark = pytest.mark.django_db


def answer(client, **query):
    page = client.get("/spots/", query)
    assert page.status_code == 200
    return page.content.decode()


def test_a_visitor_reads_where_a_ball_goes(client):
    said = answer(client, happened="off", colour="white", balls="white")
    assert "White goes to the centre spot." in said
    assert "The inning is over; Yellow is to play." in said


def test_a_taken_spot_gives_way_to_the_spot_of_the_ball_in_the_way(client):
    said = answer(client, happened="off", colour="white", balls="red", at_yellow="top")
    assert "The top spot is taken by Yellow." in said
    assert "Red goes to the bottom spot." in said


def test_frozen_balls_are_spotted_on_request(client):
    said = answer(client, happened="frozen", colour="white", balls="red")
    assert "Red goes to the top spot." in said
    assert "White goes to the bottom spot." in said
    assert "Only if the player asks for it" in said


def test_in_straight_rail_all_three_return_to_the_opening_position(client):
    said = answer(client, happened="off", colour="white", balls="red", discipline="straight-rail")
    assert "Yellow goes to the right starting spot." in said
    assert "White goes to the bottom spot." in said


@pytest.mark.parametrize("query", [{}, {"happened": "x", "colour": "red", "balls": "blue", "at_red": "moon"}])
def test_what_cannot_be_meant_asks_for_the_balls(client, query):
    assert "Name the balls" in answer(client, **query)


def test_whether_the_frame_counts_is_for_the_rule_set_to_say(client):
    own = RULE_SETS["world"].to_json() | {
        "frame_contact_is_off_table": False,
        "code": "frame",
        "name": "Frame",
    }
    OwnRuleSet.objects.create(club=Club.objects.the_first(), code="frame", data=own)
    fallen = {"happened": "frame", "colour": "white", "balls": "red"}
    assert "Red goes to the top spot." in answer(client, **fallen)
    assert "No ball is moved." in answer(client, **fallen, rules="frame")
