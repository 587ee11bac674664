"""The page of the exercises: what it asks, how answers may be written, what it counts."""

from __future__ import annotations

import re
from html import unescape
from urllib.parse import parse_qs, urlsplit

import pytest
from django.test import Client

from analytics.aim.exercises import LEVELS, RUN, exercise
from analytics.pages.diamond_exercise import number_written

pytestmark = pytest.mark.django_db


def ask(client: Client, query: str) -> str:
    answer = client.get(f"/diamonds/exercise/?{query}")
    assert answer.status_code == 200
    return unescape(answer.content.decode())


def after(text: str, words: str) -> dict[str, str]:
    """Return what a link carries."""
    found = re.search(rf'href="(\?[^"]*)"[^>]*>{words}<', text)
    assert found
    return {name: values[0] for name, values in parse_qs(urlsplit(found[1]).query).items()}


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("2", 2.0),
        (" 1,5 ", 1.5),
        ("1.25", 1.25),
        ("1½", 1.5),
        ("½", 0.5),
        ("2 ¾", 2.75),
        ("1 1/2", 1.5),
        ("3/4", 0.75),
        ("-1", -1.0),
        ("−0,5", -0.5),
        (".5", 0.5),
        ("", None),
        ("two", None),
        ("1/0", None),
        ("11/2/3", None),
        ("nan", None),
        ("1e3", None),
        (".", None),
        ("٣", 3.0),
    ],
)
def test_numbers_as_people_write_them(text: str, value: float | None) -> None:
    assert number_written(text) == value


def test_without_a_seed_one_is_drawn_and_stands_in_the_address(client: Client) -> None:
    answer = client.get("/diamonds/exercise/?level=plus")
    assert answer.status_code == 302
    query = parse_qs(urlsplit(answer["Location"]).query)
    assert query["level"] == ["plus"]
    assert int(query["seed"][0]) > 0


@pytest.mark.parametrize("level", LEVELS)
def test_every_level_asks_without_telling_and_explains_afterwards(client: Client, level: str) -> None:
    one = exercise(level, 8, 1)
    before = ask(client, f"level={level}&seed=8")
    assert "Step by step" not in before
    assert 'class="leg"' not in before
    told = ask(client, f"level={level}&seed=8&answer={one.expected:.2f}")
    assert "Right: the " in told
    assert told.count("<li><span>") >= 3
    assert 'class="leg"' in told
    assert "%(" not in before + told


def test_right_answers_are_counted_along_the_run(client: Client) -> None:
    query = {"level": "sum", "seed": "8", "n": "1", "right": "0"}
    for place in range(1, RUN + 1):
        expected = exercise("sum", 8, place).expected
        given = expected if place % 2 else expected + 1
        parts = "&".join(f"{name}={value}" for name, value in query.items())
        text = ask(client, f"{parts}&answer={given}")
        assert ("Right:" if place % 2 else "is not it") in text
        if place < RUN:
            query = after(text, "Next exercise")
            assert query["n"] == str(place + 1)
    assert "The run is over: 5 of 10 right." in text
    assert after(text, "Another run")["seed"] != "8"


def test_what_is_no_number_counts_nothing_and_may_be_mended(client: Client) -> None:
    text = ask(client, "level=sum&seed=8&n=3&right=2&answer=three<b>")
    assert "A number is needed" in text
    assert 'value="three<b>"' in text
    assert "Next exercise" not in text
    assert 'name="right" value="2"' in text
    assert "<b>" not in client.get("/diamonds/exercise/?seed=8&answer=<b>").content.decode()


@pytest.mark.parametrize("query", ["level=x&seed=8&n=99&right=77", "seed=8&n=0&right=-1", "seed=999999&n=a"])
def test_nonsense_gives_an_exercise(client: Client, query: str) -> None:
    text = ask(client, query)
    assert "Exercise " in text
    right = re.search(r'name="right" value="(\d+)"', text)
    assert right
    assert int(right[1]) < RUN
