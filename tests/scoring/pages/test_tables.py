"""The tables of the club: read by anyone, kept by an organiser."""

import pytest
from django.test import Client

from scoring.models import PlayTable
from tests import cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk() -> Client:
    client = Client()
    client.force_login(cast.make_organiser(), backend="django.contrib.auth.backends.ModelBackend")
    return client


def test_anyone_reads_the_tables_and_nobody_else_changes_them(client):
    table = cast.make_table("Table 1", number=1, heated=False)
    said = client.get("/tables/").content.decode()
    assert "Table 1" in said
    assert "not heated" in said
    assert "2.84 by 1.42 m" in said
    assert f'href="/tables/{table.pk}/"' not in said
    assert client.post(f"/tables/{table.pk}/", {"name": "Mine"})["Location"].startswith("/sign-in/")
    client.force_login(cast.make_referee(), backend="django.contrib.auth.backends.ModelBackend")
    assert client.post("/tables/new/", {"name": "Mine"}).status_code == 403
    assert [one.name for one in PlayTable.objects.all()] == ["Table 1"]


def test_an_organiser_adds_and_changes_a_table(desk):
    assert desk.post("/tables/new/", {"name": " Table  4 ", "number": 4, "size": "230"}).status_code == 302
    table = PlayTable.objects.get()
    assert (table.name, table.number, table.size, table.heated) == ("Table 4", 4, "230", False)
    desk.post(f"/tables/{table.pk}/", {"name": "By the bar", "number": "", "size": "match", "heated": "on"})
    table.refresh_from_db()
    assert (table.name, table.number, table.size, table.heated) == ("By the bar", None, "match", True)
    assert "By the bar" in desk.get("/tables/").content.decode()


def test_a_size_from_elsewhere_is_kept(desk):
    table = cast.make_table(size="pocket-3", overrides={"speed": 1})
    assert "pocket-3" in desk.get(f"/tables/{table.pk}/").content.decode()
    desk.post(f"/tables/{table.pk}/", {"name": "Table 9", "size": "pocket-3"})
    table.refresh_from_db()
    assert (table.name, table.size, table.overrides) == ("Table 9", "pocket-3", {"speed": 1})


@pytest.mark.parametrize(
    "wrong",
    [
        {"name": ""},
        {"name": "\u200b"},
        {"name": "x" * 81},
        {"name": "a\0b"},
        {"number": "0"},
        {"number": "1000"},
        {"number": "one"},
        {"size": "moon"},
        {"size": ""},
    ],
)
def test_what_cannot_be_a_table_is_sent_back(desk, wrong):
    said = desk.post("/tables/new/", {"name": "Table 1", "number": "1", "size": "match"} | wrong)
    assert "One thing is to be mended" in said.content.decode()
    assert not PlayTable.objects.exists()


def test_a_table_that_is_not_there(desk):
    assert desk.get("/tables/4711/").status_code == 404
