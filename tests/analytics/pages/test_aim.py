"""The page of aim: what an address may ask, and what it says of one that asks nonsense."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from django.test import Client

pytestmark = pytest.mark.django_db
LAYOUT = "white=0.7,1.1&yellow=3,1.9&red=1.3,3.6"


def ask(client: Client, query: str) -> tuple[str, dict[str, Any]]:
    answer = client.get(f"/aim/?{query}")
    assert answer.status_code == 200
    text = answer.content.decode()
    found = re.search(r'<script id="aim-data" type="application/json">(.*?)</script>', text)
    assert found
    return text, json.loads(found[1])


def test_a_whole_question_stands_as_it_was_asked(client: Client) -> None:
    _, seen = ask(client, LAYOUT + "&cue=yellow&spread=1.2&table=club")
    assert seen["whole"] is True
    assert (seen["asked"]["cue"], seen["asked"]["spread"], seen["asked"]["table"]) == ("yellow", 1.2, "club")
    assert (seen["api"], seen["shots"], seen["stroke"]) == ("/api/aim/", "/api/shots/", "/aim/stroke/")


def test_a_bare_address_asks_nothing(client: Client) -> None:
    text, seen = ask(client, "")
    assert (seen["whole"], seen["asked"]["spread"]) == (False, 1.0)
    assert 'id="summary"' not in text


@pytest.mark.parametrize("spread", ["0.1", "6", "wide", "nan", ""])
def test_a_spread_that_cannot_be_gives_way_and_is_explained(client: Client, spread: str) -> None:
    text, seen = ask(client, f"{LAYOUT}&spread={spread}")
    assert (seen["whole"], seen["asked"]["spread"]) == (False, 1.0)
    assert "Spread: From 0.2 to 5.0." in text
