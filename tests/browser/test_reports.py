"""The pages of a player's figures: drawn, readable to all, on phone and desk, and without a script."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.cast import make_competition, make_match, make_organiser, make_player
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db(transaction=True)


def played():
    """Two players, and one of three matches between them, confirmed."""
    player, other = make_player("Quendal"), make_player("Vilemeer")
    player.report_open = other.report_open = True
    player.save()
    other.save()
    cup = make_competition(published=True)
    for _ in range(3):
        match = opened(make_match(player, other, distance=(9, 9), competition=cup), player.pk)
        for kind in ("point", "point", "miss"):
            write(match, kind, family="ticky")
        innings(match, *([0, 1] * 4), 0, 3, 0)
        write(match, "confirm")
    return player, other, match


def test_every_page_is_drawn_and_accessible(
    page: Page,
    live_server: Any,
    axe: Callable[[Page], list[str]],
    signed_in: Callable[[Any], None],
    complaints: list[str],
) -> None:
    player, other, match = played()
    signed_in(make_organiser())
    for address, drawn in (
        (f"/players/{player.pk}/report/", 4),
        (f"/players/{player.pk}/practise/", 0),
        (f"/players/{player.pk}/calibration/", 0),
        (f"/players/{player.pk}/against/{other.pk}/", 2),
        (f"/matches/{match.pk}/story/", 3),
        ("/doubts/", 0),
    ):
        for width in (390, 1280):
            page.set_viewport_size({"width": width, "height": 844})
            page.goto(live_server.url + address)
            expect(page.locator(".chart-drawing").nth(0) if drawn else page.locator("h1")).to_be_attached()
            if drawn:
                page.wait_for_function(
                    "least => document.querySelectorAll('.chart-drawing svg.main-svg').length >= least",
                    arg=drawn,
                )
            assert page.evaluate("document.documentElement.scrollWidth") == width, address
        assert axe(page) == [], address
    assert complaints == []


def test_a_report_is_read_and_narrowed_by_keyboard_and_without_a_script(
    browser: Browser, live_server: Any
) -> None:
    player, *_ = played()
    context = browser.new_context(java_script_enabled=False)
    try:
        plain = context.new_page()
        plain.goto(f"{live_server.url}/players/{player.pk}/report/")
        # The numbers stand open where nothing draws them.
        expect(plain.locator("#chart-run-histogram table")).to_be_visible()
        expect(plain.locator("#runs .finding").first).to_be_visible()
        plain.locator(".report-filter-fold summary").focus()
        plain.keyboard.press("Enter")
        plain.fill("#filter-since", "2031-01-01")
        plain.locator("#filter-since").press("Enter")
        expect(plain.get_by_text("No match is among these.")).to_be_visible()
        assert "since=2031-01-01" in plain.url
        plain.goto(f"{live_server.url}/players/{player.pk}/report/")
        # A table that is wider than a phone is reached and moved by keys.
        plain.locator("#chart-run-histogram summary").focus()
        plain.keyboard.press("Tab")
        expect(plain.locator("#chart-run-histogram .scroll-x")).to_be_focused()
        with plain.expect_download() as loading:
            plain.locator("#chart-run-histogram .chart-csv a").click()
        assert loading.value.suggested_filename == "run-histogram.csv"
    finally:
        context.close()
