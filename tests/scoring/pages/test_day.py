"""The counter of a day, the calls of the room, and protests, as pages and through the API."""

from __future__ import annotations

import uuid

import pytest

from scoring.conducting import read_state
from scoring.models import Match
from tests import cast
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db


@pytest.fixture
def cup():
    return cast.make_competition()


@pytest.fixture
def table():
    return cast.make_table("Table 1", number=1)


@pytest.fixture
def match(cup):
    return cast.make_match(competition=cup)


@pytest.fixture
def organiser(client):
    client.force_login(cast.make_organiser())
    return client


def test_the_counter_calls_what_it_proposes(organiser, cup, table, match):
    page = organiser.get(f"/competitions/{cup.pk}/day/").content.decode()
    assert "Quendal – Vilemeer" in page
    assert "expected to end" in page
    assert "Call now" in page
    answer = organiser.post(
        f"/competitions/{cup.pk}/day/", {"act": "call", "match": match.pk, "table": table.pk, "row": ""}
    )
    assert answer.status_code == 302
    assert Match.objects.get(pk=match.pk).table_id == table.pk
    room = organiser.get(f"/competitions/{cup.pk}/calls/").content.decode()
    assert "Table 1" in room
    assert "called at" in room


def test_what_is_refused_stands_in_its_row_with_what_was_typed(organiser, cup, table, match):
    address, key = f"/competitions/{cup.pk}/day/", f"t{table.pk}"
    page = organiser.post(address, {"act": "table-out", "table": table.pk, "row": key}).content.decode()
    assert "Say why" in page
    assert f'id="{key}" open' in page
    organiser.post(address, {"act": "table-out", "table": table.pk, "row": key, "why": "heating"})
    assert "out of order" in organiser.get(address).content.decode()
    page = organiser.post(
        address, {"act": "call", "match": match.pk, "table": table.pk, "row": f"m{match.pk}"}
    ).content.decode()
    assert "This table is out of order." in page
    assert "Choose one of the list" in organiser.post(address, {"act": "call", "match": "x"}).content.decode()
    assert (
        "14:30"
        in organiser.post(address, {"act": "not-before", "match": match.pk, "at": "noon"}).content.decode()
    )


def test_two_taps_from_the_counter_to_a_walkover(organiser, cup, table, match):
    address = f"/competitions/{cup.pk}/day/"
    organiser.post(
        address,
        {"act": "walkover", "match": match.pk, "absent": match.entrant_a_id, "why": "did not appear"},
    )
    stored = Match.objects.select_related("projection").get(pk=match.pk).projection
    assert (stored.winner_id, stored.state["ended_by"]) == (match.entrant_b_id, "walkover")


def test_the_room_reads_the_names_that_were_agreed(organiser, cup, table):
    shy = cast.make_player("Astavik")
    known = cast.make_player("Karnhof", consent="full", published=True)
    called = cast.make_match(shy, known, competition=cup)
    organiser.post(f"/competitions/{cup.pk}/day/", {"act": "call", "match": called.pk, "table": table.pk})
    room = organiser.get(f"/competitions/{cup.pk}/calls/").content.decode()
    assert "Karnhof" in room
    assert "Astavik" not in room
    assert f"Player {shy.pk}" in room


def test_tables_and_referees_are_chosen(organiser, cup, table, match):
    other = cast.make_table("Table 2", number=2)
    address = f"/competitions/{cup.pk}/day/"
    organiser.post(address, {"act": "tables-in-use", "tables": [other.pk]})
    organiser.post(address, {"act": "referees", "players": [match.entrant_a_id]})
    told = read_state(cup)["day"]
    assert (told["tables"], told["referees"]) == ([other.pk], [match.entrant_a_id])
    page = organiser.get(address).content.decode()
    assert "no referee is free" in page


def test_a_protest_marks_the_match_until_it_is_decided(organiser, client, cup, table, match):
    opened(match)
    innings(match, 2, 1)
    address = f"/matches/{match.pk}/protest/"
    assert "This is needed." in organiser.post(address, {"act": "dispute", "why": ""}).content.decode()
    organiser.post(address, {"act": "dispute", "why": "the second point was a kiss"})
    assert "the second point was a kiss" in organiser.get(address).content.decode()
    day = organiser.get(f"/competitions/{cup.pk}/day/").content.decode()
    assert "a protest is not decided" in day
    api = organiser.get(f"/api/competitions/{cup.pk}/day/").json()
    assert [one["provisional"] for one in api["matches"]] == [True]
    referee = cast.client_for(cast.make_referee())
    assert referee.post(address, {"act": "settle", "decision": "mine"}, format="multipart").status_code == 403
    organiser.post(address, {"act": "settle", "decision": "the point stands"})
    assert "not decided" not in organiser.get(f"/competitions/{cup.pk}/day/").content.decode()


def test_a_walkover_can_be_protested_too(organiser, match):
    write(match, "result", outcome="walkover", player=match.entrant_a_id, why="late")
    address = f"/matches/{match.pk}/protest/"
    assert organiser.post(address, {"act": "dispute", "why": "stuck in traffic"}).status_code == 302
    assert Match.objects.get(pk=match.pk).projection.flag_count == 1


def test_the_api_reads_and_runs_the_day(cup, table, match):
    client = cast.client_for(cast.make_organiser())
    address = f"/api/competitions/{cup.pk}/day/"
    told = client.get(address).json()
    assert [one["match"] for one in told["calls"]] == [match.pk]
    sent = {"uuid": str(uuid.uuid4()), "act": "call", "fields": {"match": match.pk, "table": table.pk}}
    for _ in range(2):
        told = client.post(address, sent, format="json").json()
        assert [one["state"] for one in told["matches"]] == ["called"]
    assert told["tables"][0]["matches"] == [match.pk]
    refused = client.post(
        address, {"act": "call", "fields": {"match": match.pk, "table": table.pk + 1}}, format="json"
    )
    assert refused.status_code == 400
    again = client.post(address, {"act": "table-back", "fields": {"table": table.pk}}, format="json")
    assert (again.status_code, again.json()["code"]) == (409, "table-not-out")
