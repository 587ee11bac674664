"""Exercises and the check in a real browser: by keys, without a script, on a phone, for everybody."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from playwright.sync_api import Browser, Page, expect

from analytics.aim.exercises import exercise

PHONE = {"width": 360, "height": 740}


def test_a_run_by_keys_says_its_result(
    page: Page, live_server: Any, axe: Callable[[Page], list[str]], complaints: list[str]
) -> None:
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    page.goto(live_server.url + "/diamonds/exercise/?level=sum&seed=8")
    assert axe(page) == []
    page.locator("#id_answer").focus()
    page.keyboard.type(f"{exercise('sum', 8, 1).expected:g}".replace(".", ","))
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("1 of 1 right.")
    assert axe(page) == []
    expect(page.get_by_role("link", name="Next exercise")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Exercise 2 of 10")).to_be_visible()
    expect(page.locator("#id_answer")).to_be_focused()
    page.keyboard.type("99")
    page.keyboard.press("Enter")
    expect(page.locator(".ruling-head")).to_contain_text("99 is not it")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert complaints == []


def test_the_check_works_without_a_script_and_is_accessible(
    page: Page,
    browser: Browser,
    live_server: Any,
    axe: Callable[[Page], list[str]],
    complaints: list[str],
) -> None:
    context = browser.new_context(java_script_enabled=False, viewport=PHONE)  # type: ignore[arg-type]
    bare = context.new_page()
    bare.goto(live_server.url + "/diamonds/checked/")
    bare.locator("#id_system").select_option("plus")
    bare.get_by_role("button", name="Check it").click()
    bare.locator("#id_track").select_option("3-2")
    bare.get_by_role("button", name="Draw it").click()
    expect(bare.get_by_text("Origin 3, aim 2: the sum says 5.")).to_be_visible()
    context.close()
    page.goto(live_server.url + "/diamonds/checked/")
    assert axe(page) == []
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    page.emulate_media(color_scheme="dark")
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert complaints == []
