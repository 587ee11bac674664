"""Measuring a table in a real browser: one stroke after the other, on a phone, without a script."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from analytics.aim.measured.solving import readings_of
from analytics.measuring import do_begin, do_read
from analytics.table.parameters import PRESETS
from tests.cast import make_organiser, make_table


@pytest.mark.django_db(transaction=True)
def test_a_table_is_measured_on_a_phone(
    page: Page,
    live_server: Any,
    signed_in: Callable[[Any], None],
    axe: Callable[[Page], list[str]],
    complaints: list[str],
) -> None:
    table = make_table("Table 3", heated=False)
    page.set_viewport_size({"width": 360, "height": 740})
    signed_in(make_organiser())
    page.goto(live_server.url + "/tables/")
    page.get_by_role("link", name="As measured").click()
    page.get_by_role("link", name="Measure it").click()
    page.get_by_label("What is special").fill("new cloth")
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_role("heading", name="Lag 1")).to_be_visible()
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.get_by_label("Where it comes to lie").fill("3,5")
    page.get_by_label("From the top rail").fill("7,1")
    page.get_by_role("button", name="Write it").click()
    expect(page.get_by_role("heading", name="Lag 2")).to_be_visible()
    # What is written by hand goes as the first did; the rest is written for the test.
    one = do_begin(table, None)
    exact = readings_of(PRESETS["club"], {"lag-1": 1.5, "lag-2": 1.6})
    for code, values in exact.items():
        do_read(one, code, [round(value, 1) for value in values])
    page.reload()
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_role("heading", name="Book number and own-table number")).to_be_visible()
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.get_by_role("button", name="Play by this set").click()
    expect(page.get_by_text("The table plays by this set now.")).to_be_visible()
    page.goto(live_server.url + f"/diamonds/?system=corner&find=arrival&origin=5&aim=3&table={table.pk}")
    own = page.locator("[data-own]")
    expect(own).to_contain_text("is where aim 3 comes, as measured")
    # The numbers follow the sum without a load of the page.
    page.get_by_label("Aim", exact=True).fill("2")
    page.keyboard.press("Tab")
    expect(own).to_contain_text(re.compile("the book says 3"))
    assert axe(page) == []
    assert complaints == []
