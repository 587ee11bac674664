"""Charts in a real browser: drawn under the policy, in every light, on any screen, on paper; told without a script."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import override_settings
from playwright.sync_api import Browser, Page, expect

from tests.analytics.charts.samples import all_charts

pytestmark = pytest.mark.django_db(transaction=True)
PAGE = "/charts/"
FEW = "?only=run-histogram&only=lead&only=families"
FILL = "getComputedStyle(document.querySelector('#chart-run-histogram .barlayer path')).fill"
WIDTH = "document.querySelector('#chart-lead .main-svg').width.baseVal.value"
TOO_WIDE = "document.documentElement.scrollWidth > document.documentElement.clientWidth"


@pytest.fixture(autouse=True)
def site() -> Any:
    with override_settings(ROOT_URLCONF="tests.browser.charts_site"):
        yield


def test_charts_are_drawn_in_every_light_on_a_phone_and_on_paper(
    page: Page, live_server: Any, axe: Callable[[Page], list[str]], complaints: list[str]
) -> None:
    page.set_viewport_size({"width": 360, "height": 740})
    page.emulate_media(color_scheme="light")
    page.goto(live_server.url + PAGE)
    expect(page.locator("figure[data-drawn]")).to_have_count(len(all_charts()))
    assert page.locator('svg [style*="rgb(1, 2,"]').count() == 0, "every part of a drawing has its token"
    assert not page.evaluate(TOO_WIDE)
    page.goto(live_server.url + PAGE + FEW)
    expect(page.locator("figure[data-drawn]")).to_have_count(3)
    assert page.evaluate(FILL) == "rgb(23, 97, 90)"
    page.emulate_media(color_scheme="dark")
    assert page.evaluate(FILL) == "rgb(116, 184, 168)"
    assert page.locator("figure[data-chart] .chart-drawing:not([aria-hidden])").count() == 0
    page.locator("#chart-families summary").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#chart-families").get_by_role("cell", name="66", exact=True)).to_be_visible()
    assert not page.evaluate(TOO_WIDE)
    narrow = page.evaluate(WIDTH)
    assert narrow <= 344
    # Names stand above their rows there, beside them where there is room.
    row = page.locator("#chart-families .annotation-text", has_text="short angle")
    expect(row).to_have_count(1)
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print")
    assert page.evaluate(WIDTH) == 660
    assert page.evaluate(FILL) == "rgb(0, 0, 0)"
    page.emulate_media(media="screen")
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert page.evaluate(WIDTH) == narrow
    page.set_viewport_size({"width": 1200, "height": 800})
    expect(row).to_have_count(0)
    assert axe(page) == []
    assert complaints == []


def test_without_a_script_finding_and_numbers_are_there(browser: Browser, live_server: Any) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 360, "height": 740})
    page = context.new_page()
    page.goto(live_server.url + PAGE)
    expect(page.get_by_text("147 of 321 strokes made the point.")).to_be_visible()
    assert page.locator("figure table:visible").count() == len(all_charts())
    expect(page.locator(".chart-key:visible")).to_have_count(0)
    context.close()
