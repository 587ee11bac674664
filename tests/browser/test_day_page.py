"""The counter of a day in a browser: readable to all, and brought up to date around whoever uses it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from scoring.ledger import Author
from scoring.running import do_act
from tests.cast import make_competition, make_match, make_organiser, make_player, make_table

pytestmark = pytest.mark.django_db(transaction=True)
ME = Author(organises=True)


def test_the_counter_is_renewed_around_whoever_uses_it(
    page: Page,
    live_server: Any,
    axe: Callable[[Page], list[str]],
    signed_in: Callable[[Any], None],
    complaints: list[str],
) -> None:
    cup = make_competition(published=True)
    tables = [make_table(f"Table {at}", number=at) for at in (1, 2)]
    matches = [
        make_match(make_player(first), make_player(second), competition=cup)
        for first, second in (("Quendal", "Vilemeer"), ("Astavik", "Karnhof"), ("Brinsel", "Oudewaal"))
    ]
    do_act(cup, "call", {"match": matches[0].pk, "table": tables[0].pk}, ME)
    signed_in(make_organiser())
    page.clock.install()
    page.goto(f"{live_server.url}/competitions/{cup.pk}/day/")
    assert axe(page) == []
    row = page.locator(f"#m{matches[0].pk}")
    row.locator("summary").press("Enter")
    assert axe(page) == []
    page.set_viewport_size({"width": 390, "height": 844})
    assert page.evaluate("document.documentElement.scrollWidth") == 390

    # Somebody else calls a match: the page says so, the row stays open, the focus stays in it.
    do_act(cup, "call", {"match": matches[1].pk, "table": tables[1].pk}, ME)
    page.clock.fast_forward(16000)
    called = page.locator(f"#m{matches[1].pk}")
    expect(called.locator(".day-place")).to_have_text("Table 2")
    expect(row).to_have_attribute("open", "")
    expect(row.locator("summary")).to_be_focused()

    # While somebody types nothing is put in its place.
    typed = row.get_by_label("Why it is out of order")
    typed.fill("the cloth is torn")
    do_act(cup, "take-back", {"match": matches[1].pk}, ME)
    page.clock.fast_forward(16000)
    expect(called.locator(".day-place")).to_have_text("Table 2")
    expect(typed).to_have_value("the cloth is torn")
    row.get_by_role("button", name="Table 1 out of order").click()
    expect(row.get_by_text("table out of order")).to_be_visible()
    page.goto(f"{live_server.url}/competitions/{cup.pk}/calls/")
    assert axe(page) == []
    assert complaints == []
