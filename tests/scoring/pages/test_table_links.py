"""Table links on pages: an organiser makes, prints and revokes them; a device opens its table."""

from __future__ import annotations

import datetime
import re
import uuid

import pytest
from django.test import Client
from django.utils import timezone

from scoring.linking import do_make_link, do_revoke, end_of_day
from scoring.models import TableLink, hash_secret
from scoring.pages.table_links import drawn, until_words
from tests import cast
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture
def cup():
    return cast.make_competition()


@pytest.fixture
def desk(cup) -> Client:
    client = Client()
    client.force_login(cast.make_organiser(cup), backend=BACKEND)
    return client


def at(link: TableLink) -> Client:
    """Return a device that was let in by a link."""
    client = Client()
    assert client.post("/at-the-table/", {"token": link.fresh_token}).status_code == 200
    return client


def read(client: Client, address: str, status: int = 200) -> str:
    answer = client.get(address)
    assert answer.status_code == status
    return answer.content.decode()


def make(desk: Client, cup, *tables, **fields):
    body = {"tables": [table.pk for table in tables], "once": str(uuid.uuid4())} | fields
    return desk.post(f"/competitions/{cup.pk}/links/", body)


def test_cards_are_printed_once_for_the_tables_that_were_chosen(desk, cup):
    first, second, third = (cast.make_table(f"Table {number}") for number in (1, 2, 3))
    offered = read(desk, f"/competitions/{cup.pk}/links/")
    assert offered.count(" checked") == 3
    form = {"once": re.search(r'name="once" value="([^"]+)"', offered)[1]}
    sheet = make(desk, cup, first, third, **form)
    said = sheet.content.decode()
    assert sheet["Cache-Control"].count("no-store") == 1
    assert (said.count("data-card="), said.count('class="qr"')) == (2, 2)
    assert "Table 2" not in said
    assert "http://testserver/at-the-table" not in said  # what is typed needs no scheme
    assert "testserver/at-the-table/" in said
    codes = re.findall(r'class="card-code">([^<]+)<', said)
    assert len(set(codes)) == 2
    for code in codes:
        answer = Client().post("/api/table-links/enter/", {"code": code}, content_type="application/json")
        token = answer.json()["token"]
        assert token not in said  # but in the square, as lines
        assert drawn(f"http://testserver/at-the-table/#{token}") in said
    again = make(desk, cup, first, third, **form)
    assert again.status_code == 302
    assert TableLink.objects.count() == 2
    listed = read(desk, f"/competitions/{cup.pk}/links/")
    assert (listed.count("not used yet"), listed.count(" checked")) == (0, 1)
    assert not any(code in listed for code in codes)
    assert second.links.count() == 0


def test_the_square_has_no_style_of_its_own_and_stays_readable_in_the_dark():
    square = drawn("http://club.example/at-the-table/#token")
    assert "style" not in square
    assert 'fill="#fff"' in square
    assert "viewBox" in square


def test_links_are_revoked_one_by_one_or_all_at_once(desk, cup):
    table = cast.make_table()
    first, second, third = (do_make_link(cup, table) for _ in range(3))
    elsewhere = do_make_link(cast.make_competition("Winter Cup"), table)
    address = f"/competitions/{cup.pk}/links/revoke/"
    for nonsense in ("", "none", "²", str(elsewhere.pk), "9" * 30):
        desk.post(address, {"link": nonsense})
    assert TableLink.objects.usable().count() == 4
    device = at(second)
    desk.post(address, {"link": second.pk})
    assert "revoked by an organiser" in read(device, "/at-the-table/")
    assert set(TableLink.objects.usable()) == {first, third, elsewhere}
    assert "2 links were revoked." in desk.post(address, {"link": "all"}, follow=True).content.decode()
    assert set(TableLink.objects.usable()) == {elsewhere}


def test_new_links_may_take_the_place_of_old_ones(desk, cup):
    table, other = cast.make_table(), cast.make_table("Table 2")
    old, kept = do_make_link(cup, table), do_make_link(cup, other)
    make(desk, cup, table)
    assert TableLink.objects.usable().count() == 3
    make(desk, cup, table, replacing="on")
    assert TableLink.objects.usable().count() == 2
    old.refresh_from_db()
    kept.refresh_from_db()
    assert (old.revoked_at is None, kept.revoked_at is None) == (False, True)


def test_a_last_day_is_asked_for_in_words_and_must_be_to_come(desk, cup):
    table = cast.make_table()
    day = timezone.localdate() + datetime.timedelta(days=3)
    assert make(desk, cup, table, until=day.isoformat()).status_code == 200
    link = TableLink.objects.get()
    assert link.expires == end_of_day(cup, day)
    assert until_words(cup, link.expires).startswith("to the end of")
    for wrong in ({"until": "2001-01-01"}, {"until": "soon"}, {"once": "?"}, {"tables": ["999"]}):
        assert 'class="wrong"' in make(desk, cup, table, **wrong).content.decode() or "once" in wrong
    assert TableLink.objects.count() == 1


def test_cards_of_a_name_that_only_this_machine_has_are_warned_of(desk, cup, settings):
    settings.ALLOWED_HOSTS = ["*"]
    cast.make_table()
    address = f"/competitions/{cup.pk}/links/"
    warned = {
        host: b"a name that only this machine has" in desk.get(address, headers={"host": host}).content
        for host in ("localhost:8000", "127.0.0.1", "[::1]:8000", "club.example", "192.0.2.7:8000")
    }
    assert [host for host, said in warned.items() if said] == ["localhost:8000", "127.0.0.1", "[::1]:8000"]


# --- at the table ------------------------------------------------------------


def test_a_device_sees_what_is_written_and_what_waits_at_its_table_alone(cup):
    table, other = cast.make_table(), cast.make_table("Table 2")
    waiting = cast.make_match(competition=cup, table=table)
    playing = opened(cast.make_match(competition=cup, table=table))
    done = opened(
        cast.make_match(competition=cup, table=table, distance=(1, 1), format={"equalizing": False})
    )
    innings(done, 1)
    write(done, "confirm")
    cast.make_match(competition=cup, table=other)
    cast.make_match(competition=cast.make_competition("Open Cup", published=True), table=table)
    device = at(do_make_link(cup, table))
    said = read(device, "/at-the-table/")
    offered = re.findall(r"/matches/(\d+)/score/", said)
    assert offered == [str(playing.pk), str(waiting.pk)]
    assert ["Go on writing" in said, "Begin" in said, "Table 1" in said, cup.name in said] == [True] * 4
    for address in ("", "score/", "sheet/"):
        read(device, f"/matches/{waiting.pk}/{address}")
        read(Client(), f"/matches/{waiting.pk}/{address}", 404)
    assert TableLink.objects.get().last_used_at is not None


def test_the_scoring_page_of_a_device_goes_back_to_its_table(cup):
    match = cast.make_match(competition=cup, table=cast.make_table())
    link = do_make_link(cup, match.table)
    device = at(link)
    page = read(device, f"/matches/{match.pk}/score/")
    assert '"by_link": true' in page
    assert 'href="/at-the-table/">Leave' in page
    assert link.fresh_token not in page
    # Who may write without the link does, on the same device.
    device.force_login(cast.make_referee(cup), backend=BACKEND)
    assert '"by_link": false' in read(device, f"/matches/{match.pk}/score/")
    device.force_login(cast.make_user(), backend=BACKEND)
    assert '"by_link": true' in read(device, f"/matches/{match.pk}/score/")


def test_the_cookie_is_out_of_reach_of_scripts_and_ends_with_the_link(cup):
    link = do_make_link(cup, cast.make_table())
    device = at(link)
    cookie = device.cookies["table_link"]
    assert (cookie["httponly"], cookie["samesite"]) == (True, "Lax")
    assert 0 < cookie["max-age"] <= (link.expires - timezone.now()).total_seconds() + 1
    # The API does not look at it: a foreign page could not write through it.
    assert device.get(f"/api/competitions/{cup.pk}/").status_code == 404
    device.post("/at-the-table/", {"forget": "1"})
    assert device.cookies["table_link"].value == ""
    assert "Code on the card" in read(device, "/at-the-table/")


def test_a_link_that_holds_no_more_is_told_why(cup):
    table = cast.make_table()
    revoked, over = do_make_link(cup, table), do_make_link(cup, table)
    devices = [at(revoked), at(over)]
    do_revoke([revoked.pk])
    TableLink.objects.filter(pk=over.pk).update(expires=timezone.now())
    for device, link, why in zip(devices, (revoked, over), ("revoked", "has run out"), strict=True):
        answer = Client().post("/at-the-table/", {"token": link.fresh_token})
        assert answer.status_code == 403
        assert why in answer.json()["reason"]
        assert why in read(device, "/at-the-table/")
        assert why not in read(device, "/at-the-table/")  # said once; the cookie is gone
    unknown = Client().post("/at-the-table/", {"token": "x"}).json()["reason"]
    assert unknown == "This link is not known here."
    assert not TableLink.objects.filter(token_hash=hash_secret("x")).exists()


def test_the_competition_shows_the_way_to_its_organisers_alone(desk, cup):
    address = f"/competitions/{cup.pk}/links/"
    assert address in read(desk, f"/competitions/{cup.pk}/")
    referee = Client()
    referee.force_login(cast.make_referee(cup), backend=BACKEND)
    assert address not in read(referee, f"/competitions/{cup.pk}/")
    assert "/at-the-table/" in read(Client(), "/sign-in/")
