"""The pages of the house in a real browser."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from clubsite.models import User


@pytest.mark.parametrize("address", ["/", "/sign-in/", "/no-such-page/"])
def test_page_is_accessible(
    page: Page, live_server: Any, axe: Callable[[Page], list[str]], address: str
) -> None:
    page.goto(live_server.url + address)
    assert axe(page) == []


@pytest.mark.parametrize("address", ["/", "/sign-in/"])
def test_browser_blocks_nothing(page: Page, live_server: Any, complaints: list[str], address: str) -> None:
    page.goto(live_server.url + address)
    assert complaints == []


def test_sign_in_by_keyboard(page: Page, live_server: Any) -> None:
    User.objects.create_user("anke", password="a long chalky word")
    page.goto(live_server.url + "/password/")
    expect(page).to_have_url(live_server.url + "/sign-in/?next=/password/")
    page.get_by_label("Username").fill("anke")
    page.get_by_label("Password").fill("a long chalky word")
    page.keyboard.press("Enter")
    expect(page).to_have_url(live_server.url + "/password/")


def test_signed_in_without_the_form(page: Page, live_server: Any, signed_in: Callable[[Any], None]) -> None:
    signed_in(User.objects.create_user("anke"))
    page.goto(live_server.url + "/password/")
    expect(page).to_have_url(live_server.url + "/password/")


def test_api_documentation_needs_no_other_host(page: Page, live_server: Any) -> None:
    hosts: set[str] = set()
    page.on("request", lambda request: hosts.add(request.url.split("/")[2]))
    page.goto(live_server.url + "/api/docs/")
    expect(page.get_by_role("heading", name="Cushion Ledger")).to_be_visible()
    assert hosts == {live_server.url.split("/")[2]}
