"""Every page of the house opens, and says in plain words what went wrong."""

import pytest
from django.test import Client

PAGES = ["/", "/sign-in/", "/api/docs/", "/jsi18n/", "/healthz"]


@pytest.mark.django_db
@pytest.mark.parametrize("address", PAGES)
def test_page_opens(client: Client, address: str) -> None:
    assert client.get(address).status_code == 200


@pytest.mark.django_db
def test_unknown_address_says_so(client: Client) -> None:
    answer = client.get("/no-such-page/")
    assert answer.status_code == 404
    assert "There is no such page" in answer.content.decode()
