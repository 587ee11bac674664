"""Predictions that are kept: their kind, what they are made from, and that they never change."""

from __future__ import annotations

import signal
import uuid
from typing import Any

import pytest
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from analytics import prediction_run, predictions
from analytics.management.commands.worker import LeavingWorker
from analytics.models import FollowedMatch, Prediction, PredictionDesk
from analytics.predictions import asked_of, do_predict_match, matches_behind
from scoring.ledger import Author
from scoring.models import ImportBatch, Match
from tests.cast import client_for, make_match, make_organiser, make_table, make_user
from tests.scoring.pages.writing import opened, write

pytestmark = pytest.mark.django_db

LAYOUT = {"white": [1.0, 1.0], "yellow": [3.1, 2.3], "red": [2.1, 5.9]}
MOVED = {"white": [1.2, 1.1], "yellow": [3.1, 2.3], "red": [2.1, 5.9]}
THIRD = {"white": [0.7, 1.1], "yellow": [3.0, 1.9], "red": [1.3, 3.6]}
OVERLAPPING = {"white": [1.0, 1.0], "yellow": [1.0, 1.01], "red": [2.1, 5.9]}
LINE = {"direction": 33.78, "speed": 5.84, "side": -0.31, "height": 0.25}
OTHER = {"direction": 34.5, "speed": 5.5, "side": -0.3, "height": 0.2}


def match_of(**fields: Any) -> Match:
    return opened(make_match(distance=(90, 90), **fields))


def kinds(match: Match) -> list[tuple[int, str, str]]:
    rows = Prediction.objects.filter(match=match).order_by("place", "kind")
    return [(row.place, row.kind, row.source) for row in rows]


def wanted(match: Match) -> list[tuple[int, str]]:
    return [(one.place, one.kind) for one in asked_of([match])]


def told(match: Match) -> list[tuple[str, int, Any, Any]]:
    """What each wanted prediction is made from: kind, the entry that told it, layout, line."""
    found = [one.tellings[0] for one in asked_of([match])]
    return [(one.kind, one.seq, one.layout, one.line) for one in found]


# --- the kinds -----------------------------------------------------------------


def test_balls_and_line_told_before_the_stroke_are_blind():
    match = match_of()
    write(match, "position", layout=LAYOUT, line=LINE)
    write(match, "miss")
    assert told(match) == [("blind", 2, LAYOUT, LINE)]


def test_what_the_stroke_repeats_was_told_before_it():
    match = match_of()
    write(match, "position", layout=LAYOUT, line=LINE)
    write(match, "point", layout=LAYOUT, line=LINE, cue_ball="white")
    assert told(match) == [("blind", 2, LAYOUT, LINE)]


def test_what_the_strokes_own_entry_tells_is_same_time():
    match = match_of()
    write(match, "point", layout=LAYOUT)
    write(match, "position", layout=MOVED)
    write(match, "miss", line=LINE)
    assert told(match) == [("same-time", 2, LAYOUT, None), ("same-time", 4, MOVED, LINE)]


def test_what_is_told_afterwards_is_hindsight():
    match = match_of()
    first = write(match, "miss")
    write(match, "position", layout=MOVED)
    second = write(match, "miss")
    write(match, "annotate", target=first, layout=LAYOUT)
    write(match, "annotate", target=second, line=LINE)
    assert told(match) == [
        ("hindsight", 5, LAYOUT, None),
        ("blind", 3, MOVED, None),
        ("hindsight", 6, MOVED, LINE),
    ]


def test_an_annotation_that_tells_nothing_of_the_balls_asks_for_nothing():
    match = match_of()
    stroke = write(match, "point", layout=LAYOUT)
    write(match, "annotate", target=stroke, family="bank")
    write(match, "annotate", target=stroke, layout=LAYOUT)
    assert wanted(match) == [(2, "same-time")]


def test_an_annotation_that_is_struck_out_tells_nothing():
    match = match_of()
    stroke = write(match, "miss")
    note = write(match, "annotate", target=stroke, layout=LAYOUT)
    write(match, "void", target=note)
    assert wanted(match) == []


def test_a_correction_that_is_struck_out_tells_nothing():
    match = match_of()
    stroke = write(match, "miss", layout=LAYOUT)
    fix = write(match, "miss", instead_of=stroke, layout=MOVED, why="moved")
    assert wanted(match) == [(2, "same-time"), (2, "hindsight")]
    write(match, "void", target=fix)
    assert wanted(match) == [(2, "same-time")]


def test_a_stroke_inserted_or_corrected_later_is_hindsight():
    match = match_of()
    first = write(match, "miss")
    write(match, "miss", before=first, by="white", layout=LAYOUT, why="forgotten")
    write(match, "miss", instead_of=first, layout=MOVED, line=LINE, why="the balls lay there")
    assert sorted(told(match), key=lambda one: one[1]) == [
        ("hindsight", 3, LAYOUT, None),
        ("hindsight", 4, MOVED, LINE),
    ]


def test_an_imported_stroke_is_hindsight():
    match = match_of()
    batch = ImportBatch.objects.create(source="an old book")
    brought = Author(batch_id=batch.pk, organises=True)
    write(match, "position", brought, layout=LAYOUT, line=LINE)
    write(match, "point", brought)
    write(match, "point", brought, layout=MOVED)
    assert [one[0] for one in told(match)] == ["hindsight", "hindsight"]


def test_the_outcome_changes_no_question():
    """The same balls before a point, a miss and a foul: the same is asked, word for word."""
    asked = []
    for kind, more in (
        ("point", {"contacts": [{"ball": "red"}, {"rail": "left"}, {"ball": "yellow"}]}),
        ("miss", {"family": "bank"}),
        ("foul", {"reason": "time"}),
    ):
        match = match_of()
        write(match, "position", layout=LAYOUT, line=LINE)
        write(match, kind, **more)
        asked.append(asked_of([match])[0].tellings)
    assert asked[0] == asked[1] == asked[2]


def test_a_table_that_was_left_is_the_one_its_strokes_were_played_on():
    first, second = make_table("Table 1"), make_table("Table 2", size="230", heated=False)
    match = match_of(table=first)
    write(match, "miss", layout=LAYOUT)
    write(match, "suspend")
    write(match, "resume", table=second.pk)
    write(match, "miss", layout=LAYOUT)
    assert [one.table for one in asked_of([match])] == [first, second]


# --- what is kept --------------------------------------------------------------


def test_a_prediction_is_stored_with_all_it_was_made_from():
    table = make_table("Table 2", size="230", heated=False)
    match = match_of(table=table)
    write(match, "position", layout=LAYOUT, line=LINE)
    write(match, "miss")
    assert do_predict_match(match) == 1
    row = Prediction.objects.get()
    assert (row.match, row.place, row.told_seq, row.kind, row.source) == (match, 3, 2, "blind", "declared")
    assert (row.layout, row.cue_ball, row.line) == (LAYOUT, "white", LINE)
    assert (row.table, row.parameters["table_length"]) == (table, 2.30)
    assert (row.spread, row.strokes, row.discipline) == (1.0, 1024, "three-cushion")
    assert len(row.grid) == len(row.hits) == 12
    assert 0 < row.grid[-1] <= row.success <= row.grid[0] < 1
    assert row.model >= 1
    assert row.kernels
    assert FollowedMatch.objects.get(match=match).seq == 3
    assert not matches_behind().exists()


@pytest.mark.both_databases
def test_a_kept_prediction_never_changes(few_strokes):
    match = match_of()
    stroke = write(match, "point", layout=LAYOUT, line=LINE)
    do_predict_match(match)
    row = Prediction.objects.get()
    row.success = 0.9
    with pytest.raises(TypeError):
        row.save()
    with pytest.raises(TypeError):
        Prediction.objects.update(success=0.9)
    row.pk, row._state.adding = None, True
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()
    # The corrected stroke keeps what was predicted before its outcome was known.
    write(match, "miss", instead_of=stroke, layout=MOVED, line=LINE, why="it was a miss")
    before = Prediction.objects.values().get()
    do_predict_match(match)
    assert kinds(match) == [(2, "hindsight", "declared"), (2, "same-time", "declared")]
    assert Prediction.objects.values().get(kind="same-time") == before


def test_a_corrected_stroke_is_predicted_from_what_was_told_in_time_whenever_that_is_done():
    match = match_of()
    stroke = write(match, "point", layout=LAYOUT, line=LINE)
    write(match, "miss", instead_of=stroke, why="it was a miss")
    assert told(match) == [("same-time", 2, LAYOUT, LINE)]


def test_a_stroke_that_is_struck_out_is_not_asked_for_and_keeps_what_is_stored(few_strokes):
    match = match_of()
    first = write(match, "miss", layout=LAYOUT, line=LINE)
    do_predict_match(match)
    second = write(match, "miss", layout=MOVED, line=LINE)
    write(match, "void", target=first)
    write(match, "void", target=second)
    assert wanted(match) == []
    assert kinds(match) == [(2, "same-time", "declared")]


def test_balls_that_cannot_lie_so_are_left_out_until_they_are_put_right(few_strokes):
    match = match_of()
    stroke = write(match, "miss", layout=OVERLAPPING, line=LINE)
    assert do_predict_match(match) == 0
    assert not matches_behind().exists()
    write(match, "annotate", target=stroke, layout=LAYOUT)
    assert do_predict_match(match) == 1
    assert kinds(match) == [(2, "hindsight", "declared")]


@pytest.mark.both_databases
def test_an_attempt_has_predictions_of_its_own(few_strokes):
    match = match_of()
    write(match, "miss", layout=LAYOUT, line=LINE)
    do_predict_match(match)
    row = Prediction.objects.get()
    row.pk, row._state.adding = None, True
    row.attempt_uuid = uuid.uuid4()
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()  # of both
    row.match, row.place = None, None
    row.save()
    assert Prediction.objects.count() == 2


# --- all that waits ------------------------------------------------------------


def season() -> list[Match]:
    """Three matches, strokes of each kind."""
    made = []
    for at in range(3):
        match = match_of()
        write(match, "position", layout=LAYOUT, line=LINE | {"speed": 5.84 - at / 10})
        write(match, "point")
        stroke = write(match, "miss", layout=MOVED, line=OTHER)
        write(match, "annotate", target=stroke, line=LINE)
        made.append(match)
    return made


@pytest.fixture
def few_strokes(monkeypatch) -> None:
    """Play fewer strokes a node where it is not about the numbers."""
    monkeypatch.setattr("analytics.aim.predicting.STROKES", 64)


def numbers() -> list[tuple[Any, ...]]:
    return [
        (row.match_id, row.place, row.kind, tuple(row.hits), row.success)
        for row in Prediction.objects.order_by("match", "place", "kind")
    ]


def test_all_at_once_gives_the_numbers_of_one_at_a_time_in_any_order(few_strokes):
    matches = season()
    prediction_run.do_run(threads=2)
    together = numbers()
    assert len(together) == 9
    Prediction.objects.all().delete()
    FollowedMatch.objects.all().delete()
    for match in reversed(matches):
        do_predict_match(match, threads=1)
    assert numbers() == together


@pytest.mark.both_databases
def test_what_was_broken_off_goes_on_where_it_was(few_strokes, monkeypatch):
    season()
    makes = predictions.predicted
    made: list[int] = []

    def breaks_off(asked, threads=None):
        if len(made) == 4:
            raise KeyboardInterrupt
        made.append(asked.place)
        return makes(asked, threads)

    monkeypatch.setattr(prediction_run, "predicted", breaks_off)
    with pytest.raises(KeyboardInterrupt):
        prediction_run.do_run()
    progress = prediction_run.progress_of(prediction_run.desk())
    assert (progress.done, progress.total, progress.running) == (4, 9, False)
    first = numbers()
    monkeypatch.setattr(prediction_run, "predicted", makes)
    told = []
    progress = prediction_run.do_run(report=told.append)
    assert [one.done for one in told] == [5, 6, 7, 8, 9]
    assert told[1].seconds_left is not None
    assert (progress.done, progress.total) == (9, 9)
    assert set(first) < set(numbers())
    assert len(numbers()) == 9


@pytest.mark.both_databases
def test_the_claim_of_a_worker_that_died_lapses(few_strokes):
    season()
    PredictionDesk.objects.create(pk=1, claim=uuid.uuid4(), beat_at=timezone.now())
    with pytest.raises(prediction_run.Elsewhere):
        prediction_run.do_run()
    assert not prediction_run.do_ask()
    # The dead one renews nothing; whoever looks next takes its work up.
    PredictionDesk.objects.update(beat_at=timezone.now() - prediction_run.LAPSE * 1.01)
    prediction_run.do_look()
    assert len(numbers()) == 9
    assert not matches_behind().exists()


def test_matches_without_a_layout_ask_no_worker(monkeypatch):
    match = match_of()
    write(match, "inning", run=2)
    write(match, "miss")
    monkeypatch.setattr(prediction_run, "do_run", lambda **how: pytest.fail("asked all the same"))
    assert not prediction_run.strokes_wait()
    prediction_run.do_look()
    assert FollowedMatch.objects.get(match=match).seq == 3
    write(match, "miss", layout=LAYOUT)
    assert prediction_run.strokes_wait()


def test_whoever_lost_the_claim_stops(few_strokes, monkeypatch):
    season()
    makes = predictions.predicted

    def is_robbed(asked, threads=None):
        PredictionDesk.objects.update(claim=uuid.uuid4())
        return makes(asked, threads)

    monkeypatch.setattr(prediction_run, "predicted", is_robbed)
    prediction_run.do_run()
    assert len(numbers()) == 1
    assert prediction_run.desk().claim is not None


def test_it_stops_after_the_stroke_at_hand_and_begins_when_told(few_strokes, monkeypatch):
    season()
    makes = predictions.predicted

    def is_stopped(asked, threads=None):
        prediction_run.do_stop()
        return makes(asked, threads)

    monkeypatch.setattr(prediction_run, "predicted", is_stopped)
    assert prediction_run.do_ask()  # the worker of the tests does it at once
    assert len(numbers()) == 1
    assert not prediction_run.do_ask()
    prediction_run.do_look()
    assert len(numbers()) == 1
    monkeypatch.setattr(prediction_run, "predicted", makes)
    prediction_run.do_go_on()
    assert len(numbers()) == 9


def test_it_leaves_with_its_process(monkeypatch):
    season()
    prediction_run.leaving.set()
    try:
        progress = prediction_run.do_run()
    finally:
        prediction_run.leaving.clear()
    assert (progress.running, progress.stopped, len(numbers())) == (False, False, 0)


def test_a_worker_that_is_told_to_end_lets_its_task_go():
    worker = LeavingWorker(
        queue_names=["default"],
        excluded_queue_names=[],
        interval=1,
        batch=False,
        backend_name="default",
        startup_delay=False,
        max_tasks=None,
        worker_id="a worker",
    )
    worker.running_task = True
    try:
        worker.shutdown(signal.SIGTERM, None)
        assert prediction_run.leaving.is_set()
        assert not worker.running
    finally:
        prediction_run.leaving.clear()


def test_the_command_tells_what_it_did(few_strokes, capsys):
    season()
    call_command("predict", "--threads", "1")
    assert capsys.readouterr().out == "9 of 9 strokes predicted.\n"
    call_command("predict")
    assert capsys.readouterr().out == "Nothing waits: every stroke with a layout has its prediction.\n"


# --- the API -------------------------------------------------------------------


def test_strokes_carry_their_prediction_for_whoever_sees_the_match(few_strokes):
    match = match_of()
    write(match, "position", layout=LAYOUT, line=LINE)
    write(match, "point")
    write(match, "miss")
    write(match, "inning", run=2)
    client = client_for(make_organiser())
    address = f"/api/matches/{match.pk}/"
    entries = client.get(address + "entries/").json()["results"]
    assert [(one["kind"], one.get("prediction", "-")) for one in entries] == [
        ("open", "-"),
        ("position", "-"),
        ("point", None),
        ("miss", None),
        ("inning", "-"),
    ]
    do_predict_match(match)
    row = Prediction.objects.get()
    shown = {"success": row.success, "stderr": row.stderr, "kind": "blind", "source": "declared"}
    entries = client.get(address + "entries/").json()["results"]
    assert [one.get("prediction") for one in entries] == [None, None, shown, None, None]
    innings = client.get(address + "innings/").json()["results"]
    assert [one["prediction"] for inning in innings for one in inning["strokes"]] == [shown, None, None]
    assert client_for(make_user()).get(address + "entries/").status_code == 404


def test_the_kind_told_in_time_is_shown_before_hindsight(few_strokes):
    match = match_of()
    stroke = write(match, "miss", layout=LAYOUT, line=LINE)
    write(match, "annotate", target=stroke, layout=MOVED)
    assert do_predict_match(match) == 2
    entries = client_for(make_organiser()).get(f"/api/matches/{match.pk}/entries/").json()["results"]
    assert entries[1]["prediction"]["kind"] == "same-time"


@pytest.mark.parametrize("what", ["entries", "innings"])
def test_predictions_are_asked_for_once_however_many_strokes(what):
    counts = []
    client = client_for(make_organiser())
    for strokes in (1, 6):
        match = match_of()
        for _ in range(strokes):
            write(match, "point", layout=LAYOUT)
        client.get(f"/api/matches/{match.pk}/{what}/")
        with CaptureQueriesContext(connection) as queries:
            client.get(f"/api/matches/{match.pk}/{what}/")
        counts.append(len(queries))
        assert sum("prediction" in one["sql"] for one in queries) == 1
    assert counts[0] == counts[1]
