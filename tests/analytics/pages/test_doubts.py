"""Entries that can hardly be right: each asked about with its reason, and kept in every figure."""

from __future__ import annotations

import datetime
import uuid

import pytest
from django.urls import reverse
from django.utils import timezone

from scoring import ledger
from tests.cast import client_for, make_match, make_organiser, make_player, make_table, make_user
from tests.scoring.pages.writing import ORGANISER, innings, opened, write

pytestmark = pytest.mark.django_db


@pytest.fixture
def organiser(client):
    client.force_login(make_organiser(), backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def players(db):
    return make_player("Quendal"), make_player("Vilemeer")


def a_match(one, two, *runs, distance=90, **fields):
    """Write a sheet of whole innings, conceded at its end, and confirm it."""
    match = opened(make_match(one, two, distance=(distance, distance), **fields), one.pk)
    sent = [{"kind": "inning", "run": run} for run in runs] + [{"kind": "concede", "player": two.pk}]
    sent = [{"after": 1, "uuid": str(uuid.uuid4()), **row} for row in sent]
    assert {row.status for row in ledger.append_list(match.pk, sent, ORGANISER)[0]} == {"stored"}
    write(match, "confirm")
    return match


def doubts(user, **query):
    return client_for(user).get("/api/doubts/", query).json()


def kinds(found):
    return [(one["match"], one["kind"]) for one in found["doubts"]]


def test_a_run_that_the_earlier_matches_make_hard_to_believe(players, organiser):
    one, two = players
    for more in range(3):
        a_match(one, two, *[0, 1, 1, 0] * 10, more, 0)
    odd = a_match(one, two, 24, 0)
    found = doubts(make_organiser())
    assert (odd.pk, "run") in kinds(found)
    assert {match for match, _ in kinds(found)} == {odd.pk}
    (run,) = [row for row in found["doubts"] if row["kind"] == "run"]
    assert (run["about"], run["certain"]) == (one.pk, False)
    assert run["chance"] < 1e-4
    text = organiser.get(reverse("doubts")).content.decode()
    assert "A run of 24" in text
    assert reverse("match-sheet", args=[odd.pk]) in text
    # It stays in every figure.
    report = client_for(make_organiser()).get(f"/api/players/{one.pk}/report/").json()
    assert report["high_run"] == 24


def test_usual_sheets_raise_nothing(players, organiser):
    one, two = players
    for _ in range(2):
        a_match(one, two, 0, 1, 2, 0, 1, 1, 3)
    assert doubts(make_organiser())["doubts"] == []
    assert "Nothing here needs a question." in organiser.get(reverse("doubts")).content.decode()


def test_a_sheet_written_twice(players):
    one, two = players
    runs = [0, 3, 1, 0, 2, 2, 0, 1, 5, 0] * 3
    first = a_match(one, two, *runs)
    again = a_match(one, two, *runs)
    assert (again.pk, "twice") in kinds(doubts(make_organiser()))
    assert (first.pk, "twice") not in kinds(doubts(make_organiser()))


def test_strokes_faster_than_they_can_be_played(players):
    one, two = players
    match = opened(make_match(one, two, distance=(9, 9)), one.pk)
    begun = timezone.now() - datetime.timedelta(minutes=5)
    for seconds, kind in ((0, "point"), (40, "point"), (41, "miss")):
        moment = begun + datetime.timedelta(seconds=seconds)
        write(match, kind, device_time=moment.isoformat(timespec="milliseconds"))
    (found,) = doubts(make_organiser())["doubts"]
    assert (found["kind"], found["certain"]) == ("too-fast", False)


def test_a_player_at_two_tables_at_once(players):
    one, two = players
    three = make_player("Astavik")
    tables = make_table("Table 1"), make_table("Table 2")
    both = [
        opened(make_match(one, other, distance=(2, 2), table=table), one.pk)
        for other, table in zip((two, three), tables, strict=True)
    ]
    for match in both:
        innings(match, 2, 0)
    assert kinds(doubts(make_organiser())) == [(both[1].pk, "two-tables")]


def test_totals_that_contradict_themselves(players):
    one, two = players
    match = opened(make_match(one, two, distance=(30, 30)), one.pk)
    write(
        match,
        "result",
        outcome="played",
        score={"white": 30, "yellow": 12},
        innings={"white": 20, "yellow": 20},
        high_run={"white": 1, "yellow": 3},
        source="club book",
    )
    assert (match.pk, "high-run") in kinds(doubts(make_organiser()))


def test_days_and_rights(players, organiser):
    one, two = players
    a_match(one, two, 1, 0)
    assert doubts(make_organiser(), since="2031-01-01")["looked"] == 0
    assert "since" in client_for(make_organiser()).get("/api/doubts/", {"since": "soon"}).json()
    assert client_for(make_user()).get("/api/doubts/").status_code == 403
    head = organiser.get(reverse("doubts"), {"csv": "doubts"}).content.decode().splitlines()[0]
    assert head == "match,date,players,about,kind,certain,chance,reason"
