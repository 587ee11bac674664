"""The page of predictions: words and a bar for every state, and what an organiser does there."""

from __future__ import annotations

import uuid
from datetime import timedelta

import pytest
from django.utils import timezone

from analytics import prediction_run
from analytics.models import Prediction, PredictionDesk
from tests.cast import client_for, make_match, make_organiser, make_referee
from tests.scoring.pages.writing import opened, write

pytestmark = pytest.mark.django_db

LAYOUT = {"white": [1.0, 1.0], "yellow": [3.1, 2.3], "red": [2.1, 5.9]}
LINE = {"direction": 33.78, "speed": 5.84, "side": -0.31, "height": 0.25}


@pytest.fixture(autouse=True)
def _few_strokes(monkeypatch):
    monkeypatch.setattr("analytics.aim.predicting.STROKES", 64)


def stroke_waits() -> None:
    write(opened(make_match()), "miss", layout=LAYOUT, line=LINE)


def shown(**row) -> str:
    PredictionDesk.objects.update_or_create(pk=1, defaults=row)
    return client_for(make_organiser()).get("/predictions/").content.decode()


def test_nothing_waits():
    page = shown()
    assert "Nothing waits" in page
    assert "<progress" not in page
    assert "<button" not in page.partition("data-progress")[2].partition("</section>")[0]
    page = shown(stopped=True, done=2, total=2)
    assert "strokes to come will wait" in page
    assert 'value="go">Go on</button>' in page


def test_words_and_a_bar_while_it_goes_on():
    stroke_waits()
    now = timezone.now()
    going = {"claim": uuid.uuid4(), "beat_at": now, "begun_at": now - timedelta(minutes=5), "begun_done": 100}
    page = shown(done=400, total=2200, left_out=1, **going)
    assert "Predicting: 400 of 2,200 strokes." in page
    assert "About 30 minutes left." in page
    assert "1 stroke was left out" in page
    assert '<progress class="how-far" aria-labelledby="how-far" value="400" max="2200">' in page
    assert 'value="stop">Stop</button>' in page
    page = shown(stopped=True)
    assert "Stopping after the stroke at hand: 400 of 2,200 strokes." in page
    page = shown(claim=None)
    assert "Stopped: 400 of 2,200 strokes." in page
    assert 'value="go">Go on</button>' in page


def test_a_worker_that_is_missing_is_missed():
    stroke_waits()
    assert "no worker is here" in shown()
    assert "A worker begins in a moment" in shown(worker_seen_at=timezone.now())
    assert "no worker is here" in shown(worker_seen_at=timezone.now() - prediction_run.UNSEEN * 2)


def test_an_organiser_stops_it_and_lets_it_go_on():
    stroke_waits()
    client = client_for(make_organiser())
    assert client.post("/predictions/", {"act": "stop"}, format="multipart").status_code == 302
    assert prediction_run.desk().stopped
    assert 'value="go">Start</button>' in client.get("/predictions/").content.decode()
    client.post("/predictions/", {"act": "go"}, format="multipart")  # the worker of the tests does it at once
    assert Prediction.objects.count() == 1
    page = client.get("/predictions/").content.decode()
    assert '<th scope="row">same time</th><td class="num">1</td><td class="num">0</td>' in page


def test_others_change_nothing():
    stroke_waits()
    client = client_for(make_referee())
    assert client.post("/predictions/", {"act": "stop"}, format="multipart").status_code == 403
    assert not prediction_run.desk().stopped
