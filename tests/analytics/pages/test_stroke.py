"""The page of a stroke: what an address may ask, and what it says of one that asks nonsense."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from django.test import Client

from scoring.models import Club, PlayTable

pytestmark = pytest.mark.django_db
WHOLE = "white=0.7,1.1&yellow=3,1.9&red=1.3,3.6&cue=white&direction=17.3&speed=3.6"


def data(text: str) -> dict[str, Any]:
    found = re.search(r'<script id="stroke-data" type="application/json">(.*?)</script>', text)
    assert found
    return json.loads(found[1])


def ask(client: Client, query: str) -> tuple[str, dict[str, Any]]:
    answer = client.get(f"/aim/stroke/?{query}")
    assert answer.status_code == 200
    text = answer.content.decode()
    return text, data(text)


def test_a_whole_question_stands_as_it_was_asked(client: Client) -> None:
    _, seen = ask(client, WHOLE + "&side=-0.1&height=0.3&table=small-210&discipline=one-cushion")
    assert seen["whole"] is True
    assert seen["asked"] == {
        "layout": {"white": [0.7, 1.1], "yellow": [3.0, 1.9], "red": [1.3, 3.6]},
        "cue": "white",
        "direction": 17.3,
        "speed": 3.6,
        "side": -0.1,
        "height": 0.3,
        "discipline": "one-cushion",
        "table": "small-210",
    }


def test_a_bare_address_asks_nothing(client: Client) -> None:
    text, seen = ask(client, "")
    assert seen["whole"] is False
    assert 'id="summary"' not in text


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ("red=0.7,1.2", "Red: The ball overlaps White."),
        ("red=5,1", "Red: The ball lies outside the noses."),
        ("red=nan,1", "Red: Two numbers are needed"),
        ("red=1", "Red: Two numbers are needed"),
        ("speed=0", "Speed: Above 0 and at most 12.0 m/s."),
        ("speed=1e999", "Speed: A number is needed."),
        ("direction=up", "Direction: A number is needed."),
        ("side=0.4&height=0.4", "Side: The tip would slip"),
        ("cue=red", "Cue ball: “red” is not known here."),
        ("table=99", "Table: “99” is not known here."),
        ("discipline=%3Cscript%3E", "Discipline: “&lt;script&gt;” is not known here."),
    ],
)
def test_what_cannot_be_read_is_explained_and_not_struck(client: Client, wrong: str, said: str) -> None:
    text, seen = ask(client, f"{WHOLE}&{wrong}")
    assert said in text
    assert seen["whole"] is False


def test_tables_of_the_club_may_be_chosen_and_those_without_a_size_may_not(client: Client) -> None:
    club = Club.objects.the_first()
    small = PlayTable.objects.create(club=club, name="Table 7", size="210")
    PlayTable.objects.create(club=club, name="Table 8", size="a door")
    text, seen = ask(client, f"{WHOLE}&table={small.pk}")
    assert seen["asked"]["table"] == str(small.pk)
    assert seen["tables"][str(small.pk)]["across"] == pytest.approx(1.05 / 4)
    assert "Table 7" in text
    assert "Table 8" not in text


def test_a_smaller_table_has_larger_balls_in_diamonds(client: Client) -> None:
    close = WHOLE.replace("red=1.3,3.6", "red=0.7,1.3")
    assert ask(client, close)[1]["whole"] is True
    assert "overlaps" in ask(client, close + "&table=small-210")[0]


def test_home_and_the_ruling_page_lead_here(client: Client) -> None:
    for address in ("/", "/rulings/"):
        assert 'href="/aim/stroke/"' in client.get(address).content.decode()
