"""Table links through the API: made, shown once, entered by code, revoked; and what they open."""

from __future__ import annotations

import datetime
import uuid
import zoneinfo

import pytest
from django.core.cache import cache
from django.db import transaction
from django.utils import timezone

from scoring.access import Forbidden
from scoring.api.limits import CodeTries
from scoring.linking import CODE_LENGTH, SIGNS, default_expiry, do_clear_away, do_make_link, do_revoke
from scoring.models import Club, MatchEntry, Pen, TableLink, hash_secret
from scoring.pens import do_take_pen
from scoring.rights import ADDRESSES, Right
from tests import cast
from tests.scoring.test_access import IN, World, named_patterns, outcome

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)


@pytest.fixture
def cup():
    return cast.make_competition()


@pytest.fixture
def organiser(cup):
    return cast.client_for(cast.make_organiser(cup))


def make(client, a_table, a_competition, **fields):
    body = {"table": a_table.pk, "competition": a_competition.pk} | fields
    return client.post("/api/table-links/", body, format="json")


def enter(code, client=None):
    return (client or cast.client_for()).post("/api/table-links/enter/", {"code": code}, format="json")


def send(client, match, kind="point", **fields):
    body = {"uuid": str(uuid.uuid4()), "after": match.projection.seq, "kind": kind} | fields
    return client.post(f"/api/matches/{match.pk}/entries/", body, format="json")


def test_a_link_is_told_once_and_only_hashes_are_kept(organiser, cup):
    table = cast.make_table()
    body = {"uuid": str(uuid.uuid4())}
    first, again = (make(organiser, table, cup, **body) for _ in range(2))
    assert (first.status_code, again.status_code) == (201, 200), first.content
    made = first.json()
    assert made["url"] == f"http://testserver/at-the-table/#{made['token']}"
    code = made["code"].replace("-", "")
    assert len(code) == CODE_LENGTH >= 8
    assert set(code) <= set(SIGNS)
    assert not set(SIGNS) & set("0O1IL2Z5S6G8B")
    assert [again.json()[name] for name in ("id", "token", "url", "code")] == [made["id"], None, None, None]
    [listed] = organiser.get("/api/table-links/").json()["results"]
    assert [listed[name] for name in ("id", "token", "url", "code")] == [made["id"], None, None, None]
    row = TableLink.objects.get()
    stored = [str(getattr(row, field.attname)) for field in TableLink._meta.concrete_fields]
    assert not {made["token"], code, made["code"], hash_secret(code)} & set(stored)
    assert row.token_hash == hash_secret(made["token"])


def test_a_code_opens_the_link_however_it_is_typed(organiser, cup):
    made = make(organiser, cast.make_table(), cup).json()
    for typed in (made["code"], made["code"].lower(), f" {made['code'].replace('-', ' ')} "):
        answer = enter(typed)
        assert (answer.status_code, answer.json()["token"]) == (200, made["token"])


def test_wrong_codes_are_answered_alike_whatever_is_wrong_with_them(organiser, cup):
    revoked, over = (make(organiser, cast.make_table(), cup).json() for _ in range(2))
    assert organiser.delete(f"/api/table-links/{revoked['id']}/").status_code == 204
    TableLink.objects.filter(pk=over["id"]).update(expires=timezone.now())
    answers = [enter(code) for code in (revoked["code"], over["code"], "3479A-CDEFH", "x", "3479A CDEFH é")]
    assert {answer.status_code for answer in answers} == {400}
    assert len({answer.content for answer in answers}) == 1


def test_tries_are_few_a_minute_and_those_that_fit_are_free(monkeypatch, organiser, cup):
    monkeypatch.setattr(CodeTries, "THROTTLE_RATES", {"table-codes": "2/min"})
    cache.clear()
    code = make(organiser, cast.make_table(), cup).json()["code"]
    assert [enter(code).status_code for _ in range(4)] == [200] * 4
    assert [enter("wrong").status_code for _ in range(3)] == [400, 400, 429]
    held = enter(code)
    assert held.status_code == 429
    assert 0 < int(held["Retry-After"]) <= 60
    assert enter(code, organiser).status_code == 429  # whoever asks from there
    cache.clear()


@pytest.mark.both_databases
def test_after_the_revocation_nothing_is_answered_retries_included(organiser, cup):
    table = cast.make_table()
    match = cast.make_match(competition=cup, table=table)
    made = make(organiser, table, cup).json()
    device = cast.client_for(bearer=made["token"])
    opening = {"uuid": str(uuid.uuid4()), "kind": "open", "starter": match.entrant_a_id}
    assert send(device, match, **opening).status_code == 201
    pen = device.post(f"/api/matches/{match.pk}/pen/", {"device": "Table 1"}, format="json").json()["token"]
    writer = cast.client_for(bearer=pen)
    match.refresh_from_db()
    assert send(writer, match).status_code == 201
    # A pen asked for with a pen still comes from the link.
    again = writer.post(f"/api/matches/{match.pk}/pen/", {"device": "other"}, format="json").json()["token"]
    assert set(Pen.objects.values_list("link", flat=True)) == {made["id"]}
    assert organiser.delete(f"/api/table-links/{made['id']}/").status_code == 204
    for token in (made["token"], pen, again):
        late = cast.client_for(bearer=token)
        assert send(late, match, **opening).status_code == 401
        assert late.get("/api/tables/").status_code == 401
    assert organiser.delete(f"/api/table-links/{made['id']}/").status_code == 204  # a retry
    assert organiser.get("/api/table-links/").json()["results"] == []
    assert MatchEntry.objects.count() == 2


def test_a_link_opens_its_match_with_the_pen_and_is_its_author(organiser, cup):
    table = cast.make_table()
    match = cast.make_match(competition=cup, table=table)
    made = make(organiser, table, cup).json()
    device = cast.client_for(bearer=made["token"])
    token = device.post(f"/api/matches/{match.pk}/pen/", {"device": "Table 1"}, format="json").json()["token"]
    writer = cast.client_for(bearer=token)
    assert send(writer, match, "open", starter=match.entrant_b_id).status_code == 201
    entry = MatchEntry.objects.get()
    assert (entry.author_link_id, entry.author_pen.link_id) == (made["id"], made["id"])
    match.refresh_from_db()
    assert send(device, match, "point").json()["code"] == "pen-elsewhere"
    assert send(writer, match, "result", outcome="walkover", player=match.entrant_a_id).status_code == 403
    assert TableLink.objects.get().last_used_at is not None
    [listed] = organiser.get("/api/table-links/").json()["results"]
    assert listed["last_used_at"] is not None


def test_a_pen_writes_on_where_its_link_runs_out_by_itself(cup):
    match = cast.make_match(competition=cup, table=cast.make_table())
    link = do_make_link(cup, match.table)
    _, token = do_take_pen(match.pk, "tablet", link_id=link.pk)
    TableLink.objects.update(expires=timezone.now())
    opening = {"kind": "open", "starter": match.entrant_a_id}
    assert send(cast.client_for(bearer=link.fresh_token), match, **opening).status_code == 401
    assert send(cast.client_for(bearer=token), match, **opening).status_code == 201


def test_a_pen_is_not_given_through_a_link_that_was_just_revoked(cup):
    match = cast.make_match(competition=cup, table=cast.make_table())
    link = do_make_link(cup, match.table)
    do_revoke([link.pk])
    device = cast.client_for(bearer=link.fresh_token)
    assert device.post(f"/api/matches/{match.pk}/pen/", {"device": "x"}, format="json").status_code == 401
    with pytest.raises(Forbidden):
        do_take_pen(match.pk, "x", link_id=link.pk)


@pytest.mark.parametrize(
    ("fields", "named"),
    [
        ({"table": 999}, "table"),
        ({"table": "1"}, "table"),
        ({"competition": 999}, "competition"),
        ({"expires": "2001-01-01T00:00:00Z"}, "expires"),
        ({"expires": "soon"}, "expires"),
    ],
)
def test_what_cannot_be_linked_is_refused_by_its_field(organiser, cup, fields, named):
    answer = make(organiser, cast.make_table(), cup, **fields)
    assert (answer.status_code, list(answer.json())) == (400, [named])
    assert not TableLink.objects.exists()


def test_a_table_of_another_club_has_no_link(organiser, cup):
    elsewhere = cast.make_table()
    elsewhere.club = Club.objects.create(name="Elsewhere")
    elsewhere.save()
    assert list(make(organiser, elsewhere, cup).json()) == ["table"]


def test_links_are_the_organisers_of_the_competition_alone(organiser, cup):
    table = cast.make_table()
    made = make(organiser, table, cup, uuid=str(uuid.uuid4())).json()
    other_cup = cast.make_competition("Winter Cup")
    other = cast.client_for(cast.make_organiser(other_cup))
    assert make(other, table, cup).status_code == 400
    assert other.get("/api/table-links/").json()["results"] == []
    assert other.delete(f"/api/table-links/{made['id']}/").status_code == 404
    taken = make(other, table, other_cup, uuid=made["uuid"])
    assert (taken.status_code, taken.json()["code"]) == (409, "uuid-taken")
    cup.published = True
    cup.save()
    assert make(other, table, cup).status_code == 403
    assert other.delete(f"/api/table-links/{made['id']}/").status_code == 403
    assert TableLink.objects.usable().count() == 1


def test_a_link_ends_a_day_after_the_last_day_where_the_club_is(cup):
    club = Club.objects.the_first()
    club.time_zone = "Pacific/Auckland"
    club.save()
    now = timezone.now()
    cup.refresh_from_db()
    assert default_expiry(cup, now) == now + 14 * DAY
    cup.ends_on = (now + 3 * DAY).date()
    midnight = datetime.datetime.combine(cup.ends_on + 2 * DAY, datetime.time())
    assert default_expiry(cup, now) == midnight.replace(tzinfo=zoneinfo.ZoneInfo("Pacific/Auckland"))
    cup.ends_on = (now - 30 * DAY).date()
    assert default_expiry(cup, now) == now + DAY


@pytest.mark.both_databases
def test_old_links_are_cleared_away_but_those_that_wrote(cup):
    table = cast.make_table()
    match = cast.make_match(competition=cup, table=table)
    wrote, idle, fresh = (do_make_link(cup, table) for _ in range(3))
    do_take_pen(match.pk, "tablet", link_id=wrote.pk)
    long_ago = timezone.now() - 40 * DAY
    TableLink.objects.filter(pk__in=(wrote.pk, idle.pk)).update(expires=long_ago)
    do_clear_away(timezone.now())
    assert set(TableLink.objects.values_list("pk", flat=True)) == {wrote.pk, fresh.pk}


# What the link of a table opens, at an address about the match on it, its competition, a player
# of it: by the header at the API, by the cookie at pages (where nobody is signed in: 401).
OPEN = {
    Right.ANYONE,
    Right.PLAYER_READ,
    Right.COMPETITION_READ,
    Right.LEAGUE_READ,
    Right.MATCH_READ,
    Right.MATCH_WRITE,
}
UNKNOWN = {
    Right.REPORT_READ,
    Right.SESSION_READ,
    Right.SESSION_WRITE,
    Right.POSITION_READ,
    Right.POSITION_EDIT,
    Right.COACHING_ANSWER,
}
OF_A_MATCH = {Right.MATCH_READ, Right.MATCH_WRITE, Right.MATCH_CORRECT}


def answers_of(link: TableLink, world: World) -> dict[tuple[str, str], int]:
    """Return what every address answers to a device with this link; nothing of it stays."""
    found = {}
    patterns = dict(named_patterns())
    for name, methods in ADDRESSES.items():
        for method in methods:
            path = world.path(name, patterns[name], "nobody")
            if path.startswith("/api/"):
                client, body = cast.client_for(bearer=link.fresh_token), ("{}", "application/json")
            else:
                client, body = cast.client_for(), ()
                client.cookies["table_link"] = link.fresh_token
            with transaction.atomic():
                found[name, method] = outcome(
                    client.generic(method, path, *(() if method == "GET" else body))
                )
                transaction.set_rollback(True)
    return found


def test_every_address_asked_by_the_link_of_a_table():
    world = World()
    own = answers_of(do_make_link(world.competition, world.table), world)
    for (name, method), answer in own.items():
        right = ADDRESSES[name][method]
        expected = IN if right in OPEN else 404 if right in UNKNOWN else 403 if "api" in name else 401
        assert answer == expected, (name, method, right)
    other = answers_of(do_make_link(world.competition, cast.make_table("Table 2")), world)
    differ = {
        ADDRESSES[name][method] for (name, method), answer in other.items() if answer != own[name, method]
    }
    assert differ == OF_A_MATCH
    assert {other[key] for key in other if ADDRESSES[key[0]][key[1]] in OF_A_MATCH} == {404}
