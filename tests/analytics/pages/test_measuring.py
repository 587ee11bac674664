"""Measuring a table on its pages: readings kept as they come, what is refused, and what plays by it."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from analytics.aim.measured.solving import readings_of
from analytics.aim.measured.strokes import STROKES
from analytics.measuring import do_begin, do_finish, do_read, do_use
from analytics.models import MeasuredSet
from analytics.table.parameters import PRESETS
from analytics.tables import find_table
from tests import cast

pytestmark = pytest.mark.django_db

TRUTH = {"cushion_restitution": 0.92, "cushion_friction": 0.20, "cloth_rolling_friction": 0.008}


@pytest.fixture
def table():
    return cast.make_table("Table 3", heated=False)


@pytest.fixture
def organiser():
    return cast.client_for(cast.make_organiser())


def perfect() -> dict[str, list[float]]:
    """Return what a perfect reader reads of a table with the true values, to a hundredth."""
    exact = readings_of(PRESETS["club"].overridden(TRUTH), {"lag-1": 1.35, "lag-2": 1.45})
    return {code: [round(value, 2) for value in values] for code, values in exact.items()}


def measured(table, note: str = "new cloth") -> MeasuredSet:
    """Return a set of the table, measured perfectly and finished."""
    one = do_begin(table, None, note)
    for code, values in perfect().items():
        do_read(one, code, values)
    do_finish(one)
    one.refresh_from_db()
    return one


def ask(client, table, **fields):
    return client.post(reverse("table-measure", kwargs={"pk": table.pk}), fields, format="multipart")


def test_readings_are_kept_as_they_come_and_the_next_stroke_is_shown(organiser, table):
    address = reverse("table-measure", kwargs={"pk": table.pk})
    assert "Begin" in organiser.get(address).content.decode()
    ask(organiser, table, act="begin", note="heating off")
    went = ask(organiser, table, act="read", stroke="lag-1", read="3,5", seconds="7.25")
    assert went["Location"] == f"{address}?stroke=lag-2#shoot"
    one = MeasuredSet.objects.get()
    assert (one.readings, one.note, one.in_use) == ({"lag-1": [3.5, 7.25]}, "heating off", False)
    # Whoever comes back goes on where it stopped.
    text = organiser.get(address).content.decode()
    assert "Lag 2" in text
    assert "1 of 16 strokes is read." in text
    assert f"<b>{'3.5, 7.25 s'}</b>" in text


@pytest.mark.parametrize(
    ("read", "seconds", "said"),
    [
        ("", "7", "A number is needed."),
        ("3,5", "soon", "A number is needed."),
        ("8.4", "7", "From 0 to 8 diamonds."),
        ("3.5", "90", "From 0.5 to 30 seconds."),
        ("nan", "7", "A number is needed."),
    ],
)
def test_what_cannot_be_read_stays_in_its_field_and_is_not_kept(organiser, table, read, seconds, said):
    ask(organiser, table, act="begin")
    text = ask(organiser, table, act="read", stroke="lag-1", read=read, seconds=seconds).content.decode()
    assert said in text
    assert f'value="{seconds}"' in text
    assert MeasuredSet.objects.get().readings == {}


def test_a_reading_may_be_taken_back_and_a_set_struck_out(organiser, table):
    ask(organiser, table, act="begin")
    ask(organiser, table, act="read", stroke="plain-1", read="1.6")
    ask(organiser, table, act="forget", stroke="plain-1")
    assert MeasuredSet.objects.get().readings == {}
    ask(organiser, table, act="drop")
    assert not MeasuredSet.objects.exists()


def test_too_few_strokes_and_one_that_fits_nothing_are_said(organiser, table):
    ask(organiser, table, act="begin")
    one = MeasuredSet.objects.get()
    assert "16 strokes are read" in ask(organiser, table, act="finish").content.decode()
    for code, values in (perfect() | {"track-4-1": [4.2]}).items():
        do_read(one, code, values)
    text = ask(organiser, table, act="finish").content.decode()
    assert "<h2>Track 4, 1</h2>" in text
    assert "One stroke fits nothing" in text
    one.refresh_from_db()
    assert one.finished_at is None


def test_a_finished_set_is_played_by_once_an_organiser_says_so(organiser, table):
    ask(organiser, table, act="begin")
    one = MeasuredSet.objects.get()
    for code, values in perfect().items():
        do_read(one, code, values)
    went = ask(organiser, table, act="finish")
    address = reverse("table-measured", kwargs={"pk": table.pk})
    assert went["Location"] == f"{address}?set={one.pk}"
    assert find_table(table.pk) == PRESETS["club"]
    act = reverse("table-measured-act", kwargs={"pk": table.pk})
    organiser.post(act, {"act": "use", "set": one.pk}, format="multipart")
    played = find_table(table.pk)
    for name, value in TRUTH.items():
        assert getattr(played, name) == pytest.approx(value, rel=0.02)
    organiser.post(act, {"act": "withdraw"}, format="multipart")
    assert find_table(table.pk) == PRESETS["club"]
    organiser.post(act, {"act": "use", "set": one.pk}, format="multipart")
    organiser.post(act, {"act": "delete", "set": one.pk}, format="multipart")
    assert find_table(table.pk) == PRESETS["club"]
    assert not MeasuredSet.objects.exists()


def test_own_values_come_after_measured_ones_and_asked_ones_last(table):
    do_use(measured(table))
    table.overrides = {"cushion_friction": 0.15}
    table.save()
    assert find_table(table.pk).cushion_friction == 0.15
    asked = find_table({"id": table.pk, "overrides": {"cushion_restitution": 0.9}})
    assert (asked.cushion_friction, asked.cushion_restitution) == (0.15, 0.9)
    assert asked.cloth_rolling_friction == pytest.approx(0.008, rel=0.02)


@pytest.mark.both_databases
def test_at_most_one_set_is_in_use_and_the_history_stays(table):
    first, second = measured(table), measured(table, "heating off")
    do_use(first)
    do_use(second)
    assert list(MeasuredSet.objects.filter(in_use=True)) == [second]
    assert MeasuredSet.objects.count() == 2


def test_measured_tables_cost_no_question_each(table, django_assert_num_queries):
    client = cast.client_for()
    client.get("/aim/stroke/")
    with CaptureQueriesContext(connection) as few:
        client.get("/aim/stroke/")
    for at in range(4):
        do_use(measured(cast.make_table(f"Table 1{at}")))
    with django_assert_num_queries(len(few)):
        client.get("/aim/stroke/")


def test_everybody_reads_the_result_on_the_page_and_over_the_api(table):
    do_use(measured(table))
    do_begin(table, None, "not told yet")
    text = cast.client_for().get(reverse("table-measured", kwargs={"pk": table.pk})).content.decode()
    assert "new cloth" in text
    assert "Play by this set" not in text
    assert "cushion_restitution" in text
    answer = cast.client_for().get(f"/api/tables/{table.pk}/measured/").json()
    (one,) = answer["results"]
    assert (one["note"], one["in_use"], len(one["readings"])) == ("new cloth", True, len(STROKES))
    assert {value["name"] for value in one["values"]} == set(TRUTH)
    assert one["correction"]["low"] == 1.0
    assert not {"measured_by", "id"} & set(one)
    assert cast.client_for().get("/api/tables/999/measured/").status_code == 404


def test_own_table_numbers_stand_beside_the_books(table):
    do_use(measured(table))
    asked = {"system": "corner", "origin": 5, "aim": 3}
    client = cast.client_for()
    plain = client.post("/api/diamonds/", asked, format="json").json()
    own = client.post("/api/diamonds/", asked | {"table": table.pk}, format="json").json()
    assert plain["own"] is None
    assert own["arrival"] == plain["arrival"] == 2.0
    read = perfect()["track-5-3"][0]
    assert own["own"]["low"] < own["own"]["arrival"] < own["own"]["high"]
    assert own["own"]["arrival"] == pytest.approx(read, abs=0.15)
    # Aimed by the own number the ball comes to the book's arrival: long tables are aimed longer.
    assert (own["own"]["aim"] - 3) * (own["own"]["arrival"] - 2) > 0
    assert (
        client.post("/api/diamonds/", asked | {"arrival": 2, "system": "plus"}, format="json").status_code
        == 400
    )
    page = client.get(
        "/diamonds/", {"system": "corner", "find": "arrival", "origin": 5, "aim": 3, "table": table.pk}
    )
    assert "On this table" in page.content.decode()
