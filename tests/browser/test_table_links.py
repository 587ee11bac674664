"""A device without an account is let in at a table, writes a match there, and is sent away."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from playwright.sync_api import Page, expect

from scoring.ledger import read_entries
from scoring.linking import do_make_link, do_revoke, spell_code
from tests.browser.pages import ScoringPage
from tests.cast import make_competition, make_match, make_organiser, make_table


def test_a_table_is_scanned_written_forgotten_typed_and_revoked(
    page: Page,
    live_server: Any,
    axe: Callable[[Page], list[str]],
    signed_in: Callable[[Any], None],
    complaints: list[str],
) -> None:
    cup, table = make_competition(), make_table("Table 3")
    match = make_match(competition=cup, table=table)
    link = do_make_link(cup, table)
    address = f"{live_server.url}/at-the-table/"
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.set_viewport_size({"width": 390, "height": 844})

    # Scanned: the token leaves the address at once, and no address that is asked holds it.
    page.goto(f"{address}#{link.fresh_token}")
    begin = page.get_by_role("link", name="Begin")
    expect(begin).to_be_visible()
    assert page.url == address
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    begin.click()
    desk = ScoringPage(page, live_server.url, match.pk)
    expect(desk.root).to_have_attribute("data-ready", "")
    desk.start("Quendal")
    desk.innings(2, 1)
    desk.is_all_with_the_club()
    desk.shows_score(2, 1)
    rows = list(read_entries(match))
    assert [(row.kind, row.author_link_id) for row in rows] == [
        ("open", link.pk), ("inning", link.pk), ("inning", link.pk),
    ]  # fmt: skip
    assert rows[-1].author_pen.link_id == link.pk

    # Forgotten, and let in again by the code.
    page.goto(address)
    expect(page.get_by_role("link", name="Go on writing")).to_be_visible()
    page.get_by_role("button", name="Forget this table").click()
    code = page.get_by_label("Code on the card")
    expect(code).to_be_visible()
    assert page.evaluate("localStorage.getItem('ledger.table-link')") is None
    assert axe(page) == []
    code.fill(spell_code(link.fresh_code).lower())
    page.get_by_role("button", name="To the table").click()
    expect(page.get_by_role("link", name="Go on writing")).to_be_visible()
    assert complaints == []

    # Revoked while the match is open: the page says so, and keeps what is tapped.
    desk.open()
    do_revoke([link.pk])
    desk.inning(1)
    expect(desk.slot("trouble-words")).to_contain_text("The link of this table holds no longer.")
    expect(page.get_by_text("on this device: 1")).to_be_visible()
    page.get_by_role("link", name="To the code of the card").click()
    expect(page.get_by_text("was revoked by an organiser")).to_be_visible()

    # A new card of the same table, scanned: what waited is brought to the club.
    fresh = do_make_link(cup, table)
    page.goto(f"{address}#{fresh.fresh_token}")
    page.get_by_role("link", name="Go on writing").click()
    expect(desk.root).to_have_attribute("data-ready", "")
    desk.is_all_with_the_club()
    desk.shows_score(3, 1)
    assert [row.author_link_id for row in read_entries(match)] == [link.pk] * 3 + [fresh.pk]
    assert not [
        url for url in asked if any(one.fresh_token in url.partition("#")[0] for one in (link, fresh))
    ]

    # The organiser's side.
    signed_in(make_organiser(cup))
    page.goto(f"{live_server.url}/competitions/{cup.pk}/links/")
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    page.get_by_label("Table 3").check()
    page.get_by_role("button", name="Make the links").click()
    expect(page.get_by_role("button", name="Print")).to_be_visible()
    expect(page.get_by_role("img", name="The link of Table 3")).to_be_visible()
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") == 390
