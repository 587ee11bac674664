"""A coach's pupils, a family and the season: drawn, readable to all, and without a complaint of the browser."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from scoring.coaching import do_agree, do_ask
from scoring.models import Role
from tests.cast import make_competition, make_match, make_player, make_role
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db(transaction=True)


def test_overviews_are_drawn_and_accessible(
    page: Page,
    live_server: Any,
    axe: Callable[[Page], list[str]],
    signed_in: Callable[[Any], None],
    complaints: list[str],
) -> None:
    player, other = make_player("Quendal"), make_player("Vilemeer")
    cup = make_competition(published=True)
    for _ in range(2):
        match = opened(make_match(player, other, distance=(9, 9), competition=cup), player.pk)
        for kind in ("point", "point", "miss"):
            write(match, kind, family="ticky")
        innings(match, *([0, 1] * 4), 0, 3, 0)
        write(match, "confirm")
    coach = make_role(Role.Kind.COACH)
    do_agree(do_ask(coach, player).pk)
    signed_in(coach)
    for address, drawn in (
        ("/coach/", 1),
        ("/season/", 3),
        (f"/players/{player.pk}/families/ticky/", 0),
    ):
        for width in (1280, 390):
            page.set_viewport_size({"width": width, "height": 844})
            page.goto(live_server.url + address)
            expect(page.locator(".chart-drawing svg.main-svg:first-of-type")).to_have_count(drawn)
            assert page.evaluate("document.documentElement.scrollWidth") == width, address
        assert axe(page) == [], address
    expect(page.locator("#strokes li.entry")).to_have_count(6)
    assert complaints == []
