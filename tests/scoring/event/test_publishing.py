"""What outsiders read of a competition before and after each publication: pages, API and CSV."""

from __future__ import annotations

import csv
import io
import itertools

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scoring.conducting import do_rebuild_competition, do_record, read_state
from scoring.drawing import Asked, do_draw
from scoring.ledger import Author
from scoring.models import Competition, CompetitionEntry
from scoring.publishing import do_notice, do_publish, do_show_exactly, do_unpublish, read_notice, shown_parts
from scoring.rules.event.publication import PARTS
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed
from tests import cast
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db
ME = Author(organises=True)


def desk(cup):
    """Return the browser of an organiser."""
    client = Client()
    client.force_login(cast.make_organiser(cup), backend="django.contrib.auth.backends.ModelBackend")
    return client


# The part -> the addresses below the competition that show it.
ADDRESSES = {
    "standings": ("/competitions/{c}/standings/", "/api/competitions/{c}/standings/"),
    "schedule": ("/competitions/{c}/schedule/", "/api/competitions/{c}/schedule/"),
    "results": ("/competitions/{c}/results/", "/api/competitions/{c}/results/"),
    "sheets": ("/matches/{m}/", "/matches/{m}/sheet/", "/api/matches/{m}/", "/api/matches/{m}/innings/",
               "/api/matches/{m}/entries/"),
}  # fmt: skip


def ended(*players, **fields):
    """Return a confirmed match that White won."""
    match = opened(cast.make_match(*players, distance=(3, 3), **fields))
    innings(match, 3, 0)
    write(match, "confirm")
    return match


@pytest.fixture
def cup():
    return cast.make_competition()


@pytest.fixture
def match(cup):
    return ended(competition=cup)


def asked(client, cup, match, part):
    """Return what every address of a part answers, its CSV included."""
    found = []
    for address in ADDRESSES[part]:
        path = address.format(c=cup.pk, m=match.pk)
        found.append(client.get(path).status_code)
        if path.startswith("/api/competitions/"):
            found.append(client.get(path + "?format=csv").status_code)
    return set(found)


@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(st.sets(st.sampled_from(PARTS)), min_size=1, max_size=3))
def test_outsiders_see_the_published_parts_and_nothing_else(cup, match, steps):
    client = cast.client_for()
    for wanted in steps:
        do_show_exactly(cup, ME, wanted)
        cup.refresh_from_db()
        assert shown_parts(cup) == [one for one in PARTS if one in wanted]
        assert cup.published == bool(wanted)
        for part in ADDRESSES:
            assert asked(client, cup, match, part) == ({200} if part in wanted else {404}), part
        assert client.get(f"/competitions/{cup.pk}/").status_code == (200 if wanted else 404)
        listed = client.get("/api/matches/").json()["results"]
        assert [one["id"] for one in listed] == ([match.pk] if "sheets" in wanted else [])
    assert do_rebuild_competition(cup) == []


def test_its_own_people_see_every_part_all_along(cup, match):
    do_publish(cup, ME, asked=["prizes"])
    for user in (cast.make_organiser(cup), cast.make_referee(cup)):
        client = cast.client_for(user)
        for part in ADDRESSES:
            assert asked(client, cup, match, part) == {200}, part


def test_the_pinned_switch_publishes_all_or_nothing_and_is_recorded(cup, match):
    organiser = cast.client_for(cast.make_organiser(cup))
    path = f"/api/competitions/{cup.pk}/"
    told = organiser.patch(path, {"published": True}, format="json").json()
    assert (told["published"], told["parts"]) == (True, list(PARTS))
    assert organiser.patch(path, {"published": True}, format="json").status_code == 200
    told = organiser.patch(path, {"published": False}, format="json").json()
    assert (told["published"], told["parts"]) == (False, [])
    assert [one.kind for one in CompetitionEntry.objects.order_by("seq")] == ["publish", "unpublish"]
    told = organiser.patch(path, {"parts": ["results", "prizes"]}, format="json").json()
    assert (told["published"], told["parts"]) == (True, ["results", "prizes"])
    assert organiser.patch(path, {"parts": ["secrets"]}, format="json").status_code == 400
    assert organiser.patch(path, {"parts": []}, format="json").status_code == 400


def test_what_was_published_without_an_entry_is_taken_back_by_one(match):
    old = cast.make_competition("Winter Cup", published=True)
    do_publish(old, ME)
    assert not old.entries.exists()
    do_unpublish(old, ME, asked=["sheets"])
    assert shown_parts(Competition.objects.get(pk=old.pk)) == [one for one in PARTS if one != "sheets"]
    do_unpublish(old, ME, asked=[one for one in PARTS if one != "sheets"])
    assert not Competition.objects.get(pk=old.pk).published


@pytest.mark.parametrize("wrong", [[], ["sheets", "sheets"], ["secrets"], [1]])
def test_parts_that_do_not_exist_are_refused(cup, wrong):
    with pytest.raises(Malformed) as refused:
        do_publish(cup, ME, asked=wrong)
    assert refused.value.field == "parts"


def test_names_stand_as_each_agreed(cup):
    whole = cast.make_player("Quendal", consent="full", published=True)
    short = cast.make_player("Vilemeer", consent="shortened", published=True)
    nobody = cast.make_player("Astavik", consent="none", published=True)
    for pair in itertools.combinations((whole, short, nobody), 2):
        match = ended(*pair, competition=cup)
    do_publish(cup, ME)
    client = cast.client_for()
    paths = ["", "standings/", "schedule/", "schedule/?by=player", "schedule/?by=table", "results/", "wall/"]
    said = {path: client.get(f"/competitions/{cup.pk}/{path}").content.decode() for path in paths}
    said["sheet"] = client.get(f"/matches/{match.pk}/sheet/").content.decode()
    for part in ("standings", "schedule", "results"):
        for form in ("json", "csv"):
            answer = client.get(f"/api/competitions/{cup.pk}/{part}/?format={form}")
            said[f"{part}.{form}"] = answer.content.decode()
    for where, text in said.items():
        assert "Vilemeer" not in text, where
        assert "Astavik" not in text, where
        if where != "sheet":
            assert "Quendal" in text, where
        assert "Joost V." in text, where
    assert nobody.numbered_name in said["results.csv"]
    known = cast.client_for(cast.make_user("known"))
    assert "Vilemeer" in known.get(f"/competitions/{cup.pk}/results/").content.decode()


def test_rows_are_the_same_as_json_and_as_csv(cup, match):
    waits = cast.make_match(competition=cup)
    do_publish(cup, ME)
    client = cast.client_for()
    for part, count in (("schedule", 2), ("results", 1)):
        rows = client.get(f"/api/competitions/{cup.pk}/{part}/").json()["rows"]
        text = client.get(f"/api/competitions/{cup.pk}/{part}/?format=csv").content.decode()
        read = list(csv.DictReader(io.StringIO(text)))
        assert len(rows) == len(read) == count
        for row, line in zip(rows, read, strict=True):
            assert set(row) == set(line)
            same = {name: "" if value is None else str(value) for name, value in row.items()}
            same = {
                name: {"True": "true", "False": "false"}.get(value, value) for name, value in same.items()
            }
            assert same == line
    result = client.get(f"/api/competitions/{cup.pk}/results/").json()["rows"][0]
    assert (result["points_a"], result["average_a"], result["points_b"]) == (3, "3.000", 0)
    assert (result["winner"], result["outcome"], result["provisional"]) == (
        match.entrant_a_id, "played", False,
    )  # fmt: skip
    schedule = client.get(f"/api/competitions/{cup.pk}/schedule/").json()["rows"]
    assert {row["match"]: row["status"] for row in schedule} == {match.pk: "confirmed", waits.pk: "planned"}


def test_a_permanent_address_leads_there_and_is_as_private(cup):
    client = cast.client_for()
    assert client.get(f"/c/{cup.uuid}/").status_code == 404
    do_publish(cup, ME, asked=["standings"])
    assert client.get(f"/c/{cup.uuid}/")["Location"] == f"/competitions/{cup.pk}/"
    assert client.get(f"/c/{cup.uuid}/standings/")["Location"] == f"/competitions/{cup.pk}/standings/"
    assert client.get(f"/c/{cup.uuid}/elsewhere/").status_code == 404


def test_a_notice_stands_until_another_or_none(cup):
    do_notice(cup, ME, "Doors open at nine.")
    do_notice(cup, ME, "Doors open at ten.")
    do_publish(cup, ME)
    text = cast.client_for().get(f"/competitions/{cup.pk}/").content.decode()
    assert "Doors open at ten." in text
    assert "at nine" not in text
    do_notice(cup, ME, "")
    assert read_notice(cup, read_state(cup)) == ""
    assert not CompetitionEntry.objects.filter(data__icontains="Doors").exists()


def test_the_form_publishes_what_is_ticked(cup):
    organiser = desk(cup)
    path = f"/competitions/{cup.pk}/publish/"
    assert 'name="parts"' in organiser.get(path).content.decode()
    organiser.post(path, {"parts": ["standings", "results"]})
    cup.refresh_from_db()
    assert shown_parts(cup) == ["standings", "results"]
    assert "One thing is to be mended" in organiser.post(path, {"parts": ["secrets"]}).content.decode()
    organiser.post(f"/competitions/{cup.pk}/notice/", {"notice": "Doors open\nat nine."})
    assert read_notice(cup, read_state(cup)) == "Doors open at nine."
    organiser.post(path, {})
    cup.refresh_from_db()
    assert not cup.published


def test_the_wall_shows_standings_only_once_they_are_published(cup, match):
    organiser = cast.client_for(cast.make_organiser(cup))
    path = f"/competitions/{cup.pk}/wall/"
    kinds = [one["kind"] for one in organiser.get(path).context["screens"]]
    assert kinds == ["tables"]
    do_publish(cup, ME, asked=["standings"])
    assert [one["kind"] for one in organiser.get(path).context["screens"]] == ["tables", "standings"]
    visitor = cast.client_for()
    assert [one["kind"] for one in visitor.get(path).context["screens"]] == ["standings"]
    do_show_exactly(cup, ME, ["prizes"])
    assert visitor.get(path).status_code == 404


def test_the_wall_chooses_the_competition_that_runs(cup, match):
    other = cast.make_competition("Winter Cup", published=True)
    visitor = cast.client_for()
    assert "competition" not in visitor.get("/wall/").context
    do_publish(cup, ME)
    assert visitor.get("/wall/").context["competition"] == cup
    opened(cast.make_match(competition=other))
    assert visitor.get("/wall/").context["competition"] == other


@pytest.mark.parametrize("path", ["", "schedule/", "results/", "wall/", "verify/"])
def test_pages_ask_as_often_for_many_matches_as_for_few(path):
    client, counts = cast.client_for(), []
    for number in (2, 7):
        cup = cast.make_competition(f"Cup of {number}")
        table = cast.make_table(f"Table {number}")
        for _ in range(number):
            ended(competition=cup, table=table)
            cast.make_match(competition=cup, table=table)
            opened(cast.make_match(competition=cup))
        do_publish(cup, ME)
        client.get(f"/competitions/{cup.pk}/{path}")
        with CaptureQueriesContext(connection) as queries:
            assert client.get(f"/competitions/{cup.pk}/{path}").status_code == 200
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_a_part_is_no_kind_of_its_own(cup):
    with pytest.raises(Malformed):
        do_record(cup, "publish", {"parts": "sheets"}, ME)
    with pytest.raises(Refused):
        do_record(cup, "reopen", {"why": "it never was closed"}, ME)


def test_the_ledger_tells_outsiders_nothing_of_parts_that_are_not_published(cup):
    players = [cast.make_player(family) for family in ("Quendal", "Vilemeer")]
    do_draw(cup, Asked("knockout", [one.pk for one in players], seed="4711"), ME)
    do_publish(cup, ME, asked=["standings"])
    address = f"/api/competitions/{cup.pk}/entries/"

    def draw(client):
        return next(one for one in client.get(address).json()["results"] if one["kind"] == "draw")

    assert (draw(Client())["fields"], draw(Client())["withheld"]) == ({}, "bracket")
    assert draw(desk(cup))["fields"]["seed"] == "4711"
    do_publish(cup, ME, asked=["bracket"])
    assert draw(Client())["fields"]["seed"] == "4711"


@pytest.mark.parametrize("path", ["standings", "schedule", "results"])
def test_no_name_is_a_formula_in_a_csv(path, cup, match):
    match.entrant_a.write_name("=1+1", "Quendal")
    told = desk(cup).get(f"/api/competitions/{cup.pk}/{path}/?format=csv").content.decode()
    assert "'=1+1 Quendal" in told
    assert ",=1+1" not in told
