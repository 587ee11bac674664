"""The wall screen, measured in a browser, and what comes out of its printer."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Page, expect

from scoring.ledger import Author
from scoring.models import Match
from scoring.publishing import do_publish
from tests import cast
from tests.scoring.pages.writing import innings, opened, write

ME = Author(organises=True)
# On a screen of 55 inches, 1920 pixels are 1,218 mm wide: capitals of 60 pixels are 38 mm tall, and
# letters are read at two hundred times their height, from 7.6 m; those of 25 pixels from 3.2 m.
# (200 times: common practice, no source.) The sizes behind them are 92 and 38 pixels.
DECIDING, OTHER = 60, 25
MEASURE = """() => {
  const pen = document.createElement('canvas').getContext('2d');
  const seen = [...document.querySelectorAll('[data-screen]:not([hidden]) *')].filter((one) =>
    [...one.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim()) &&
    one.getClientRects().length && !one.closest('.unseen'));
  return seen.map((one) => {
    const style = getComputedStyle(one);
    pen.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
    const box = one.getBoundingClientRect();
    return {
      text: one.textContent.trim(),
      capitals: pen.measureText('H').actualBoundingBoxAscent,
      deciding: Boolean(one.closest('[data-deciding]')),
      inside: box.left >= 0 && box.top >= 0 && box.right <= 1920 && box.bottom <= 1090,
    };
  });
}"""


def pages_of(page: Page, address: str) -> int:
    """Return how many pages the browser would print."""
    page.goto(address)
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", page.pdf(prefer_css_page_size=True)))


def written(cup: Any, pairs: list[Any]) -> Match:
    """Return a confirmed match with a correction on its sheet; six others are played on six tables."""
    tables = [cast.make_table(f"Table {number}", number=number) for number in range(1, 7)]
    sheet = opened(cast.make_match(*pairs[0], competition=cup, distance=(40, 35)))
    first = innings(sheet, *[1, 1] * 23)[0]
    write(sheet, "inning", run=2, instead_of=first, why="miscounted")
    write(sheet, "concede", player=sheet.entrant_b_id)
    write(sheet, "confirm")
    for pair, table in zip(pairs[1:], tables, strict=True):
        innings(opened(cast.make_match(*pair, competition=cup, table=table, distance=(40, 35))), 1)
    cast.make_match(*pairs[0], competition=cup, table=tables[0])
    return sheet


def test_the_wall_is_read_from_eight_metres_and_sheets_fit_their_paper(
    page: Page, live_server: Any, axe: Callable[[Page], list[str]], complaints: list[str]
) -> None:
    cup = cast.make_competition()
    players = [cast.make_player(name, consent="full", published=True) for name in cast.CAST]
    pairs = [(players[at], players[(at + 3) % 8]) for at in range(7)]
    sheet = written(cup, pairs)
    do_publish(cup, ME)
    here = f"{live_server.url}/competitions/{cup.pk}/"

    page.clock.install()
    page.set_viewport_size({"width": 1920, "height": 1080})
    page.goto(here + "wall/")
    shown = page.locator("[data-screen]:visible")
    assert page.evaluate("[document.documentElement.scrollWidth, document.documentElement.scrollHeight]") == [
        1920,
        1080,
    ]
    for title in ("Tables", "Standings"):
        expect(shown.get_by_role("heading", name=title)).to_be_visible()
        for one in page.evaluate(MEASURE):
            assert one["capitals"] >= (DECIDING if one["deciding"] else OTHER), one
            assert one["inside"], one
        assert axe(page) == []
        page.clock.run_for(15_500)
    # Two screens of tables and standings have turned; the second page of standings comes, then the first.
    page.goto(here + "wall/")
    page.emulate_media(reduced_motion="reduce")
    page.clock.run_for(60_000)
    expect(shown.get_by_role("heading", name="Tables")).to_be_visible()

    # What is written at a table stands there without a press of a button.
    total = page.locator(".wall-total").first
    expect(total).to_have_text("1")
    playing = cup.matches.filter(projection__status="playing").order_by("projection__table__number")[0]
    innings(playing, 0, 4)
    page.clock.run_for(8_500)
    expect(total).to_have_text("5")
    assert complaints == []

    page.emulate_media(reduced_motion="no-preference", media="print")
    page.set_viewport_size({"width": 1280, "height": 900})
    address = f"{live_server.url}/matches/{sheet.pk}/sheet/"
    assert pages_of(page, address) == 1
    expect(page.locator("[data-fingerprint]")).to_contain_text(
        Match.objects.get(pk=sheet.pk).projection.fingerprint[-8:]
    )
    expect(page.locator(".signatures span")).to_have_count(3)
    expect(page.locator("del").first).to_be_visible()
    # Standings explain below the table what put each before the next.
    for part, most in (("standings", 2), ("schedule", 1), ("results", 1)):
        assert pages_of(page, f"{here}{part}/") <= most, part
        expect(page.locator(".site-head")).to_be_hidden()
        assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"

    # On a phone the square hides nothing of the fingerprint.
    page.emulate_media(media="screen")
    page.set_viewport_size({"width": 390, "height": 740})
    page.goto(address)
    ends = page.locator(".sheet-print span").evaluate_all(
        "all => all.map(one => one.getBoundingClientRect().right)"
    )
    assert max(ends) <= page.locator(".sheet-square").bounding_box()["x"]
