"""Tokens: shown once, hashed, named, expiring; what a device's token opens."""

from __future__ import annotations

import datetime
import io

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from scoring.models import PEN_LAPSE, ApiToken, Pen, TableLink, hash_secret, new_secret
from tests import cast

pytestmark = pytest.mark.django_db


def create_token(*args: str) -> str:
    out = io.StringIO()
    call_command("create_token", *args, stdout=out)
    return out.getvalue().strip()


def with_token(key: str, word: str = "Token"):
    client = cast.client_for()
    client.credentials(HTTP_AUTHORIZATION=f"{word} {key}")
    return client


def test_the_command_prints_a_key_that_is_stored_nowhere():
    user = cast.make_organiser(name="ilse")
    key = create_token("ilse", "--name", "import", "--days", "30")
    row = ApiToken.objects.get()
    assert (row.user, row.name, row.token_hash) == (user, "import", hash_secret(key))
    stored = [str(getattr(row, field.attname)) for field in ApiToken._meta.concrete_fields]
    assert key not in stored
    assert datetime.timedelta(29) < row.expires - timezone.now() < datetime.timedelta(31)
    answer = with_token(key).post("/api/tables/", {"name": "Table 1"}, format="json")
    assert answer.status_code == 201
    row.refresh_from_db()
    assert row.last_used_at is not None


@pytest.mark.parametrize("args", [("nobody",), ("ilse", "--days", "0"), ("ilse", "--name", "x" * 81)])
def test_the_command_says_what_it_cannot_do(args):
    cast.make_user("ilse")
    with pytest.raises(CommandError):
        create_token(*args)
    assert ApiToken.objects.count() == 0


def test_several_tokens_a_user():
    cast.make_organiser(name="ilse")
    keys = [create_token("ilse") for _each in range(2)]
    assert len(set(keys)) == 2
    assert [with_token(key).get("/api/tokens/").status_code for key in keys] == [200, 200]


@pytest.mark.parametrize(
    "change",
    [
        {"revoked_at": timezone.now()},
        {"expires": timezone.now() - datetime.timedelta(seconds=1)},
        {"token_hash": "0" * 64},
    ],
)
def test_a_token_that_no_longer_holds_is_refused_even_where_anyone_may_read(change):
    cast.make_organiser(name="ilse")
    key = create_token("ilse")
    assert with_token(key).get("/api/tables/").status_code == 200
    ApiToken.objects.update(**change)
    answer = with_token(key).get("/api/tables/")
    assert (answer.status_code, answer["WWW-Authenticate"]) == (401, "Token")


def test_the_token_of_a_user_who_left_is_refused():
    user = cast.make_organiser(name="ilse")
    key = create_token("ilse")
    user.is_active = False
    user.save()
    assert with_token(key).get("/api/tables/").status_code == 401


@pytest.mark.parametrize(
    "header", ["Token", "Token ", "Token a b", "Token \xe9", "Bearer", "Bearer nothing", "Bearer a b"]
)
def test_a_header_that_holds_no_known_token_is_refused(header):
    client = cast.client_for()
    client.credentials(HTTP_AUTHORIZATION=header)
    assert client.get("/api/tables/").status_code == 401


def test_a_user_makes_and_withdraws_own_tokens():
    user, other = cast.make_user("ilse"), cast.make_user("noor")
    client = cast.client_for(user)
    made = client.post("/api/tokens/", {"name": "phone"}, format="json")
    assert made.status_code == 201
    key = made.json()["key"]
    assert with_token(key).get("/api/tokens/").json()["results"][0]["key"] is None
    path = f"/api/tokens/{made.json()['id']}/"
    assert cast.client_for(other).delete(path).status_code == 404
    assert cast.client_for(other).get("/api/tokens/").json()["results"] == []
    assert client.delete(path).status_code == 204
    assert with_token(key).get("/api/tokens/").status_code == 401
    assert client.delete(path).status_code == 404


def test_a_retry_does_not_show_the_key_again():
    client = cast.client_for(cast.make_user())
    body = {"name": "phone", "uuid": "8a3c1f52-0d5e-4a55-9d0f-3a8f6f5f0b11"}
    first, again = (client.post("/api/tokens/", body, format="json") for _each in range(2))
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json()["key"]
    assert again.json()["key"] is None
    foreign = cast.client_for(cast.make_user()).post("/api/tokens/", body, format="json")
    assert (foreign.status_code, foreign.json()["code"]) == (409, "uuid-taken")


def test_a_token_makes_no_tokens():
    cast.make_user("ilse")
    client = with_token(create_token("ilse"))
    assert client.post("/api/tokens/", {"name": "another"}, format="json").status_code == 403


@pytest.mark.parametrize("expires", ["yesterday", "2001-01-01T00:00:00Z", 5, "\x00"])
def test_a_token_that_would_have_run_out_is_malformed(expires):
    client = cast.client_for(cast.make_user())
    answer = client.post("/api/tokens/", {"name": "phone", "expires": expires}, format="json")
    assert (answer.status_code, list(answer.json())) == (400, ["expires"])


# --- devices -----------------------------------------------------------------


def make_link(**fields) -> str:
    token = new_secret()
    fields = {"expires": timezone.now() + datetime.timedelta(days=1)} | fields
    TableLink.objects.create(
        table=cast.make_table(),
        competition=cast.make_competition(),
        token_hash=hash_secret(token),
        code_hash=hash_secret("code"),
        **fields,
    )
    return token


def test_a_table_link_reads_its_unpublished_competition():
    token = make_link()
    competition = TableLink.objects.get().competition
    path = f"/api/competitions/{competition.pk}/"
    assert cast.client_for(bearer=token).get(path).status_code == 200
    assert cast.client_for().get(path).status_code == 404
    assert cast.client_for(bearer=token).patch(path, {"published": True}, format="json").status_code == 403


@pytest.mark.parametrize(
    "change", [{"revoked_at": timezone.now()}, {"expires": timezone.now() - datetime.timedelta(seconds=1)}]
)
def test_a_table_link_that_no_longer_holds_is_refused(change):
    token = make_link()
    TableLink.objects.update(**change)
    answer = cast.client_for(bearer=token).get("/api/tables/")
    assert answer.status_code == 401


def make_pen(match, token: str, **fields) -> Pen:
    return Pen.objects.create(match=match, device="tablet", token_hash=hash_secret(token), **fields)


def test_a_pen_lapses_after_its_last_use():
    pen = make_pen(cast.make_match(), "ink")
    client = cast.client_for(bearer="ink")
    assert client.get("/api/tables/").status_code == 200
    assert [row["id"] for row in client.get("/api/matches/").json()["results"]] == [pen.match_id]
    Pen.objects.update(last_used_at=timezone.now() - PEN_LAPSE)
    assert client.get("/api/tables/").status_code == 401


def test_who_lost_the_pen_is_told_so_when_writing():
    match = cast.make_match()
    make_pen(match, "old", ended_at=timezone.now())
    client = cast.client_for(bearer="old")
    assert client.post("/api/rulings/", {}, format="json").status_code == 401
    make_pen(match, "new")
    answer = client.post("/api/rulings/", {}, format="json")
    assert (answer.status_code, answer.json()["code"]) == (409, "pen-elsewhere")
    assert client.get("/api/tables/").status_code == 401
