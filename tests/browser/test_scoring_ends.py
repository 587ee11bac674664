"""How matches end on the scoring page: extra innings, sets, a limit, and what was not accepted."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from scoring.ledger import read_state
from scoring.models import Match
from tests.browser.pages import ScoringPage, SheetPage
from tests.cast import make_match, make_superuser, make_table

Opened = Callable[..., ScoringPage]


@pytest.fixture
def table(page: Page, live_server: Any, signed_in: Callable[[Any], None]) -> Opened:
    """Opens the scoring page of a new match on a tablet."""

    def opened(**match: Any) -> ScoringPage:
        signed_in(make_superuser())
        page.set_viewport_size({"width": 1024, "height": 768})
        made = make_match(table=make_table("Table 3"), **match)
        return ScoringPage(page, live_server.url, made.pk).open()

    return opened


def state_of(desk: ScoringPage) -> dict[str, Any]:
    return read_state(Match.objects.get(pk=desk.match))


def test_a_draw_is_decided_by_extra_innings_that_count_in_no_average(table: Opened) -> None:
    desk = table(distance=(3, 3), format={"equalizing": True})
    desk.start("Quendal")
    desk.innings(3, 3)
    desk.is_in_phase("over")
    desk.act("extra").click()
    desk.is_in_phase("playing")
    desk.innings(1, 1, 0, 2)
    desk.is_in_phase("over")
    expect(desk.slot("outcome")).to_have_text("Vilemeer wins. 3 to 3 in 1 inning. Extra innings: 1 to 3.")
    desk.is_all_with_the_club()
    state = state_of(desk)
    assert state["extra"] == {"white": [1, 0], "yellow": [1, 2]}
    assert state["average"] == {"white": "3.000", "yellow": "3.000"}


def test_sets_alternate_the_start_and_the_match_ends_with_the_last_one(table: Opened) -> None:
    desk = table(distance=(2, 2), format={"sets_to_win": 2, "equalizing": True})
    desk.start("Quendal")
    desk.innings(2, 0)  # a set of one inning is equalized
    desk.to_play("yellow")
    desk.innings(1, 0, 1)  # one of two innings is not
    desk.to_play("white")
    desk.innings(1, 0, 1)
    desk.is_in_phase("over")
    desk.is_all_with_the_club()
    state = state_of(desk)
    assert (state["sets"], state["ended_by"]) == ({"white": 2, "yellow": 1}, "sets")
    desk.page.get_by_role("link", name="To the score sheet").first.click()
    expect(SheetPage(desk.page).sum("points", "white").first).to_have_text("4")


def test_at_the_limit_the_better_share_of_the_own_distance_wins(table: Opened) -> None:
    desk = table(distance=(10, 4), format={"innings_limit": 2})
    desk.start("Quendal")
    desk.innings(3, 1, 2, 2)
    desk.is_in_phase("over")
    expect(desk.slot("outcome")).to_have_text("Vilemeer wins. 5 of 10 to 3 of 4 in 2 innings.")


def test_the_left_hand_and_the_dark_room_are_remembered_on_the_device(table: Opened) -> None:
    desk = table(distance=(10, 10))
    desk.start("Quendal")
    desk.act("left-handed").click()
    desk.act("more").click()
    desk.act("dark-room").click()
    expect(desk.page.locator("html")).to_have_attribute("data-theme", "dark")
    desk.open()
    expect(desk.page.locator("html")).to_have_attribute("data-theme", "dark")
    desk.act("more").click()
    expect(desk.act("left-handed")).to_have_attribute("aria-pressed", "true")
