"""Every page of the house opens, tells the browser what it may do, and says plainly what went wrong."""

import pytest
from django.core.management import call_command
from django.db import DatabaseError
from django.test import Client

PAGES = ["/", "/sign-in/", "/api/docs/", "/jsi18n/", "/healthz"]

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("address", PAGES)
def test_page_opens(client: Client, address: str) -> None:
    assert client.get(address).status_code == 200


@pytest.mark.parametrize("address", [*PAGES, "/api/schema/", "/no-such-page/", "/password/"])
def test_policy_allows_nothing_unsafe(client: Client, address: str) -> None:
    policy = client.get(address)["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "script-src 'self'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy


def test_unknown_address_says_so(client: Client) -> None:
    answer = client.get("/no-such-page/")
    assert answer.status_code == 404
    assert "There is no such page" in answer.content.decode()


def test_unknown_call_is_answered_in_json(client: Client) -> None:
    answer = client.get("/api/no-such-call/")
    assert answer.status_code == 404
    assert answer.json() == {"detail": "There is no such address."}


def test_broken_call_is_answered_in_json(client: Client, monkeypatch) -> None:
    def broken(*args: object, **kwargs: object) -> None:
        raise RuntimeError("a shelf fell down")

    monkeypatch.setattr("drf_spectacular.views.SpectacularAPIView.get", broken)
    client.raise_request_exception = False
    answer = client.get("/api/schema/")
    assert answer.status_code == 500
    assert answer.json() == {"detail": "Something went wrong here; try again."}


def test_form_without_its_token_is_not_taken() -> None:
    answer = Client(enforce_csrf_checks=True).post("/sign-in/", {"username": "anke", "password": "x"})
    assert answer.status_code == 403
    assert "open too long" in answer.content.decode()


def test_broken_page_apologises_without_needing_the_site(client: Client, monkeypatch) -> None:
    def broken(*args: object, **kwargs: object) -> None:
        raise RuntimeError("a shelf fell down")

    monkeypatch.setattr("clubsite.pages.home.render", broken)
    client.raise_request_exception = False
    answer = client.get("/")
    assert answer.status_code == 500
    assert "It was the site, not you" in answer.content.decode()
    assert "shelf" not in answer.content.decode()


def test_health_tells_when_the_database_is_gone(client: Client, monkeypatch) -> None:
    class Gone:
        def cursor(self) -> None:
            raise DatabaseError("secret host name")

    monkeypatch.setattr("clubsite.views.connection", Gone())
    answer = client.get("/healthz")
    assert answer.status_code == 503
    assert answer.json() == {"status": "no database"}


def test_unknown_host_gets_no_call_answered(client: Client) -> None:
    answer = client.get("/api/schema/", headers={"host": "elsewhere.example"})
    assert (answer.status_code, answer["Content-Type"]) == (400, "application/json")


def test_unknown_host_is_turned_away(client: Client) -> None:
    assert client.get("/", headers={"host": "elsewhere.example"}).status_code == 400


def test_schema_describes_every_call(tmp_path) -> None:
    call_command("spectacular", "--validate", "--fail-on-warn", "--file", str(tmp_path / "schema.yaml"))
    assert "Cushion Ledger" in (tmp_path / "schema.yaml").read_text()


def test_schema_names_no_host(client: Client) -> None:
    schema = client.get("/api/schema/").content.decode()
    assert "testserver" not in schema
    assert "servers:" not in schema
