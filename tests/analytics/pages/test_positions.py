"""Positions of a match: what was promised of them, what came of them, the way to the aim page."""

from __future__ import annotations

import pytest

from analytics.predictions import do_predict_match
from tests.cast import client_for, make_match, make_organiser, make_table
from tests.scoring.pages.writing import opened, write

pytestmark = pytest.mark.django_db

LAYOUT = {"white": [1.0, 1.0], "yellow": [3.1, 2.3], "red": [2.1, 5.9]}
LINE = {"direction": 33.78, "speed": 5.84, "side": -0.31, "height": 0.25}


@pytest.fixture(autouse=True)
def _few_strokes(monkeypatch):
    monkeypatch.setattr("analytics.aim.predicting.STROKES", 64)


def shown(match) -> str:
    answer = client_for(make_organiser()).get(f"/matches/{match.pk}/positions/")
    assert answer.status_code == 200
    return answer.content.decode()


def test_a_match_without_positions_says_so():
    assert "No position of this match was written down." in shown(opened(make_match()))


def test_a_position_leads_to_its_lines_and_its_planned_stroke():
    table = make_table()
    match = opened(make_match(table=table))
    write(match, "point", layout=LAYOUT, line=LINE, family="bank")
    write(match, "miss")
    page = shown(match)
    assert "One stroke of this match" in page
    assert (
        f"/aim/?white=1,1&amp;yellow=3.1,2.3&amp;red=2.1,5.9&amp;cue=white&amp;discipline=three-cushion&amp;table={table.pk}"
        in page
    )
    assert "/aim/stroke/?white=1,1" in page
    assert "speed=5.84" in page
    assert "not promised anything yet" in page
    do_predict_match(match)
    page = shown(match)
    assert "promised about" in page
    assert "not promised anything yet" not in page


def test_a_stranger_does_not_see_the_positions_of_a_match():
    match = opened(make_match())
    assert client_for().get(f"/matches/{match.pk}/positions/").status_code == 404
    assert (
        f"/matches/{match.pk}/positions/"
        in client_for(make_organiser()).get(f"/matches/{match.pk}/").content.decode()
    )
