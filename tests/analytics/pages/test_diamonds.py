"""The page of the diamonds: the sum it shows, where it sends the eye, and what it says of nonsense."""

from __future__ import annotations

import json
import re
from html import unescape
from math import cos, radians, sin
from typing import Any
from urllib.parse import parse_qs

import pytest
from django.http import QueryDict
from django.test import Client

from analytics.aim.diamonds.geometry import CORNERS, LENGTH, WIDTH, Orientation
from analytics.aim.diamonds.systems import SYSTEMS
from analytics.pages.diamond_asked import SHORT, asked_of, query_of
from analytics.pages.diamonds import answer_context
from tests.cast import make_table

pytestmark = pytest.mark.django_db
LAYOUT = "by=balls&cue_x=2&cue_y=2&ball_x=1&ball_y=5"


def ask(client: Client, query: str) -> str:
    answer = client.get(f"/diamonds/?{query}")
    assert answer.status_code == 200
    return unescape(answer.content.decode())


def told(text: str) -> dict[str, Any]:
    found = re.search(r'<script id="diamonds-told" type="application/json">(.*?)</script>', text)
    assert found
    return json.loads(found[1])


def total(text: str) -> list[str]:
    """Return the rows of the sum, sign and all, the answer last."""
    rows = re.findall(r"<dt>([\w' ]+)</dt><dd>(.*?)</dd>", text)
    return [f"{name} {re.sub('<.*?>', '', value)}" for name, value in rows]


# Alciatore TP 7.2; newsgroup FAQ; *Systems in Three Cushion*; System Sid; a mathematics lesson page.
@pytest.mark.parametrize(
    ("query", "rows"),
    [
        ("find=arrival&origin=4.5&aim=2", ["origin 4.5", "aim −2", "arrival 2.5"]),
        ("find=origin&aim=2&arrival=3", ["aim 2", "arrival +3", "origin 5"]),
        ("origin=5&arrival=3,5", ["origin 5", "arrival −3.5", "aim 1.5"]),
        ("system=plus&find=arrival&origin=3&aim=2.5", ["origin 3", "aim +2.5", "arrival 5.5"]),
        ("system=sid&origin=3&arrival=3", ["origin 3", "target's number ×2.5", "aim 7.5"]),
        ("system=one-rail&origin=6&arrival=2", ["origin 6", "arrival +2", "half of it ÷2", "aim 4"]),
        ("system=two-rail&origin=7&arrival=3", ["origin 7", "arrival −3", "half of it ÷2", "aim 2"]),
        ("system=half&origin=8", ["origin 8", "half of it ÷2", "aim 4"]),
        ("system=base-30&find=arrival&origin=4", ["origin 4", "aim −3", "arrival 1"]),
        (LAYOUT, ["origin 5", "arrival −1.5", "aim 3.5"]),
    ],
)
def test_sum_stands_as_on_paper(client: Client, query: str, rows: list[str]) -> None:
    assert total(ask(client, query)) == rows


def test_answer_says_where_to_look_what_hits_and_what_is_derived(client: Client) -> None:
    text = ask(client, LAYOUT)
    assert "Half-way from mark 3 to mark 4 of the right rail, counted from the top rail." in text
    assert "arrivals from 1.19 to 1.81." in text
    assert '<span class="dia-derived">derived</span>' in text
    assert "Aim = origin − arrival: 5 − 1.5 = 3.5." in text
    assert "running side" in text
    assert "notice-ochre" in text
    assert 'href="/docs/diamonds/"' in text


def test_a_number_off_its_rail_has_no_place_and_no_ring(client: Client) -> None:
    text = ask(client, "find=arrival&origin=4.5&aim=5")
    assert total(text)[-1] == "arrival −0.5"
    assert "<dt>Arrival <b>" not in text
    assert text.count('class="dia-ring"') == 2
    assert told(text)["spoken"] == "Arrival −0.5."


def test_other_rails_have_other_words(client: Client) -> None:
    text = ask(client, "origin=5&arrival=1.5&corner=top-right")
    assert "Half-way from mark 3 to mark 4 of the left rail, counted from the bottom rail." in text


@pytest.mark.parametrize("by", ["numbers", "balls"])
@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("first", ["long", "short"])
def test_every_system_has_an_answer_to_begin_with_and_an_address_to_keep(
    system: str, by: str, first: str
) -> None:
    for corner in CORNERS:
        asked = asked_of(QueryDict(f"system={system}&by={by}&first={first}&corner={corner}"))
        assert asked.wrong == {}
        shown = answer_context(asked)
        assert shown["places"]
        again = asked_of(QueryDict(query_of(asked)))
        assert again.answer is not None
        assert again.seen == pytest.approx(asked.seen, abs=1e-3)
        assert again.first == ("short" if first == "short" and system in SHORT else "long")


@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ("origin=5&arrival=", "arrival", "A number is needed."),
        ("origin=<b>&arrival=2", "origin", "A number is needed."),
        ("origin=nan&arrival=2", "origin", "A number is needed."),
        ("origin=1e99&arrival=2", "origin", "the system has origins from 1 to 8"),
        ("origin=2&arrival=3", "arrival", "no aim reaches it"),
        ("system=pentagram", "system", "“pentagram” is not known here."),
        ("system=" + "x" * 900, "system", "“" + "x" * 40 + "…” is not known here."),
        ("corner=middle", "corner", "“middle” is not known here."),
        ("mark=7", "mark", "from 0 to 0.5"),
        ("mark=far", "mark", "A number is needed."),
        ("by=balls&cue_x=2&cue_y=9&ball_x=1&ball_y=5", "cue", "outside the noses"),
        ("by=balls&cue_x=2&cue_y=up&ball_x=1&ball_y=5", "cue", "Two numbers are needed"),
        ("by=balls&cue_x=2&cue_y=2&ball_x=2&ball_y=2.1", "ball", "overlap"),
        ("by=balls&cue_x=2&cue_y=2&ball_x=&ball_y=", "layout", "Send two of"),
        ("by=balls&system=half&cue_x=2&cue_y=2&ball_x=0.2&ball_y=0.3", "ball", "does not lie on the way"),
    ],
)
def test_what_cannot_be_answered_is_explained_beside_its_field(
    client: Client, wrong: str, field: str, said: str
) -> None:
    text = ask(client, wrong)
    part = text.partition(f'id="field_{field}"')[2]
    beside = part.partition('<p class="wrong">')[2].partition("</p>")[0]
    assert said in beside
    assert f'href="#field_{field}"' in text
    assert "No answer" in text


def test_what_was_typed_is_shown_again_and_never_as_markup(client: Client) -> None:
    text = client.get("/diamonds/", {"origin": "<b>", "arrival": "</script>"}).content.decode()
    assert 'value="&lt;b&gt;"' in text
    assert '<b>"' not in text
    assert text.count("</script>") == 3


def test_numbers_of_another_system_give_way_and_balls_are_reflected(client: Client) -> None:
    moved = told(ask(client, "system=sid&shown=corner.long.bottom-left&origin=7&arrival=1"))
    assert moved["fields"]["origin"] == "3"
    turned = told(ask(client, f"{LAYOUT}&corner=top-right&shown=corner.long.bottom-left"))
    assert [turned["fields"][name] for name in ("cue_x", "cue_y", "ball_x", "ball_y")] == ["2", "6", "3", "3"]
    assert turned["wrong"] == {}


def test_part_asked_for_is_the_answer_alone(client: Client) -> None:
    text = ask(client, f"{LAYOUT}&part=answer")
    assert "<form" not in text
    assert told(text)["query"] == "system=corner&" + LAYOUT


def along_the_aim(query: str) -> tuple[dict[str, float], float]:
    """Return the tried stroke's place and direction, and where it meets the line of x = 4.25."""
    asked = asked_of(QueryDict(query))
    parts = {name: one[0] for name, one in parse_qs(answer_context(asked)["try_query"]).items()}
    x, y = (float(part) for part in parts["white"].split(","))
    turn = radians(float(parts["direction"]))
    numbers = {name: float(parts[name]) for name in ("direction", "speed", "side")}
    return numbers, y + (4.25 - x) * sin(turn) / cos(turn)


@pytest.mark.parametrize(
    "query", [LAYOUT, "origin=5&arrival=1.5", "origin=4&arrival=0.5", "origin=7&arrival=3.5"]
)
def test_stroke_to_try_runs_to_the_mark_with_running_side(query: str) -> None:
    stroke, at = along_the_aim(query)
    assert at == pytest.approx(LENGTH - 3.5, abs=0.01)
    assert stroke["side"] < 0


def test_mirrored_question_tries_the_mirrored_stroke() -> None:
    plain, _ = along_the_aim(LAYOUT)
    mirror = Orientation(True, False)
    (cx, cy), (bx, by) = mirror.turn((2.0, 2.0)), mirror.turn((1.0, 5.0))
    turned, _ = along_the_aim(f"by=balls&corner=bottom-right&cue_x={cx}&cue_y={cy}&ball_x={bx}&ball_y={by}")
    assert turned["direction"] == pytest.approx(180 - plain["direction"], abs=0.01)
    assert turned["side"] == -plain["side"]


@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("system", SYSTEMS)
def test_address_of_the_stroke_is_one_that_can_be_struck(client: Client, system: str, corner: str) -> None:
    text = ask(client, f"system={system}&corner={corner}")
    link = re.search(r'href="(/aim/stroke/\?[^"]*)"', text)
    assert link
    answer = client.get(link[1]).content.decode()
    assert '"whole": true' in answer


def test_drawing_lies_within_its_room(client: Client) -> None:
    for corner in CORNERS:
        text = ask(client, f"{LAYOUT}&corner={corner}&shown=corner.long.bottom-left&part=answer")
        box = re.search(r'viewBox="0 0 (\d+) (\d+)"', text)
        assert box
        assert int(box[1]) > 40 * WIDTH
        places = [
            (float(x), float(y)) for x, y in re.findall(r'<text [^>]*x="([\d.-]+)" y="([\d.-]+)"', text)
        ]
        assert len(places) > 20
        assert all(0 < x < int(box[1]) and 0 < y < int(box[2]) for x, y in places)


def test_a_ball_off_the_cloth_is_explained_and_not_drawn(client: Client) -> None:
    text = ask(client, "by=balls&cue_x=1e99&cue_y=2&ball_x=1&ball_y=5")
    assert "outside the noses" in text
    assert 'data-grip="ball"' in text
    assert 'data-grip="cue"' not in text


def test_page_asks_the_database_for_nothing_of_its_own(
    client: Client, django_assert_max_num_queries: Any
) -> None:
    client.get("/diamonds/")
    with django_assert_max_num_queries(1):
        client.get(f"/diamonds/?{LAYOUT}&part=answer")


def test_a_table_of_the_club_settles_the_balls_and_goes_along(client: Client) -> None:
    table = make_table("Small one", size="210")
    query = "origin=5&find=aim&arrival=2"
    book, own = told_window(ask(client, query)), told_window(ask(client, f"{query}&table={table.pk}"))
    # Balls of 61.5 mm are larger in the shorter diamonds of a small table.
    assert own[1] - own[0] > 1.2 * (book[1] - book[0])
    text = ask(client, f"{query}&table={table.pk}")
    assert f"table={table.pk}" in told(text)["query"]
    assert "table" not in told(ask(client, query))["query"]
    assert f"/diamonds/checked/?system=corner&table={table.pk}" in text
    tried = re.search(r'href="/aim/stroke/\?([^"]*)"', text)
    assert tried
    assert parse_qs(tried[1])["table"] == [str(table.pk)]
    assert "is not known here" in ask(client, "table=999999")


def told_window(text: str) -> tuple[float, float]:
    found = re.search(r"arrivals from ([\d.]+) to ([\d.]+), for a ball", text)
    assert found
    return float(found[1]), float(found[2])
