"""Predictions of attempts at practice: the same sums, the same cursor, once each."""

from __future__ import annotations

import uuid

import pytest

from analytics import attempt_predictions, prediction_run
from analytics.aim import predicting
from analytics.attempt_predictions import asked_of_sessions, sessions_behind
from analytics.models import Prediction
from analytics.predictions import do_predict_match
from scoring.forgetting import do_forget
from scoring.models import Attempt, PracticeSession
from tests import cast
from tests.scoring.pages.writing import opened, write
from tests.scoring.practice.trying import row, send, strike, tried

pytestmark = pytest.mark.django_db

LAYOUT = {"white": [3.25, 5.0], "yellow": [2.75, 6.25], "red": [0.75, 4.25]}
LESS = predicting.Budget(2048, 4, 4, 1, (8,), (1, 4), 16, 64)
LINE = {"direction": 118.0, "speed": 4.0, "side": 0.2, "height": 0.1}


@pytest.fixture(autouse=True)
def few_strokes(monkeypatch) -> None:
    """Play fewer strokes a node, and search for less: none of this is about the numbers."""
    monkeypatch.setattr("analytics.aim.predicting.STROKES", 64)
    search = predicting.find_lines
    monkeypatch.setattr(
        predicting, "find_lines", lambda *asked, **how: search(*asked, **(how | {"budget": LESS}))
    )
    attempt_predictions._answers.clear()


@pytest.fixture
def session() -> PracticeSession:
    return cast.make_session(cast.make_player("Quendal", user=cast.make_user("mira")))


def kinds() -> list[tuple[str, str]]:
    return [(one.kind, one.source) for one in Prediction.objects.order_by("told_seq")]


def test_each_kind_of_telling_has_its_prediction_told_through_the_api(session):
    position = cast.make_position(session.player.user, layout=LAYOUT, line=LINE)
    blind = tried(session, position=position.pk, layout=None, cue_ball=None)
    tried(session, layout=LAYOUT, line=LINE | {"speed": 3.0})
    path = f"/api/sessions/{session.pk}/attempts/"
    client = cast.client_for(session.player.user)
    assert [one["prediction"] for one in client.get(path).json()["results"]] == [None, None]
    progress = prediction_run.do_run(threads=1)
    assert (progress.done, progress.total, progress.left_out) == (2, 2, 0)
    assert kinds() == [("blind", "declared"), ("same-time", "declared")]
    made = Prediction.objects.get(attempt_uuid=blind.uuid)
    told = client.get(path).json()["results"]
    assert told[0]["prediction"] == {
        "success": made.success,
        "stderr": made.stderr,
        "kind": "blind",
        "source": "declared",
    }
    assert not sessions_behind().exists()
    assert not prediction_run.strokes_wait()


def test_an_attempt_has_the_numbers_of_the_same_stroke_in_a_match(session):
    tried(session, layout=LAYOUT, line=LINE)
    match = opened(cast.make_match())
    write(match, "miss", layout=LAYOUT, line=LINE)
    do_predict_match(match, threads=1)
    prediction_run.do_run(threads=1)
    of_stroke, of_attempt = Prediction.objects.order_by("pk")
    assert of_attempt.attempt_uuid is not None
    assert of_stroke.hits == of_attempt.hits
    assert of_stroke.parameters == of_attempt.parameters
    assert of_stroke.kind == of_attempt.kind == "same-time"


def test_a_position_that_is_repeated_is_searched_once(session, monkeypatch):
    asked = []
    makes = predicting.predict
    monkeypatch.setattr(predicting, "predict", lambda *how, **more: asked.append(how) or makes(*how, **more))
    send(session, *(row(layout=LAYOUT) for _ in range(5)))
    prediction_run.do_run(threads=1)
    assert len(asked) == 1
    assert kinds() == [("same-time", "best")] * 5
    assert len({one.success for one in Prediction.objects.all()}) == 1


def test_what_is_struck_out_is_not_predicted_until_it_is_put_back(session):
    struck = strike(session, tried(session, layout=LAYOUT, line=LINE).uuid)
    assert asked_of_sessions([session]) == []
    assert not prediction_run.do_ask()
    assert not sessions_behind().exists()
    strike(session, struck)
    assert [one.session for one in asked_of_sessions(sessions_behind())] == [session]


def test_what_cannot_be_predicted_is_looked_at_once(session):
    # As it was written before layouts were judged.
    stored = tried(session, layout=LAYOUT)
    Attempt.objects.filter(pk=stored.pk).update(layout=LAYOUT | {"red": LAYOUT["white"]})
    assert prediction_run.do_run(threads=1).left_out == 1
    assert not sessions_behind().exists()
    assert not Prediction.objects.exists()


def test_a_worker_is_asked_and_a_second_run_makes_nothing_twice(session):
    send(session, row(layout=LAYOUT, line=LINE), {"uuid": str(uuid.uuid4()), "void": str(uuid.uuid4())})
    assert prediction_run.do_ask()  # the worker of the tests is at it at once
    assert len(kinds()) == 1
    tried(session, layout=LAYOUT, line=LINE)
    assert prediction_run.do_run(threads=1).done == 1
    assert len(kinds()) == 2


def test_what_was_predicted_stays_when_the_player_is_forgotten(session):
    tried(session, layout=LAYOUT, line=LINE)
    prediction_run.do_run(threads=1)
    do_forget(session.player)
    assert kinds() == [("same-time", "declared")]
