"""A league round in a browser: line-ups with a substitute, the sheet on a phone, a disputed board decided."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from scoring.models import Encounter, Match
from tests.scoring.event.league import League

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_league_round_from_line_up_to_the_decision_about_a_board(
    page: Page,
    live_server: Any,
    axe: Callable[[Page], list[str]],
    signed_in: Callable[[Any], None],
    complaints: list[str],
) -> None:
    league = League()
    home, away = (league.squad(team)[0].user for team in (league.home, league.away))
    address = f"{live_server.url}/encounters/{league.encounter.pk}/"
    page.set_viewport_size({"width": 390, "height": 844})

    def fits() -> None:
        assert axe(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") == 390

    def open_as(user: Any) -> None:
        signed_in(user)
        page.goto(address)

    # The away captain sets a substitute on board 4, is warned, and enters it as it is.
    open_as(away)
    substitute = league.squad(league.away)[4]
    page.get_by_label("Board 4").select_option(value=str(substitute.pk))
    page.get_by_role("button", name="Enter the line-up").click()
    expect(page.get_by_role("alert")).to_contain_text("highest average of a substitute")
    fits()
    page.get_by_role("button", name="Enter it as it is").click()
    expect(page.get_by_text("The other side sees it once both are in.")).to_be_visible()

    # The home captain reads nothing of it, and enters the own one: both are shown, boards open.
    open_as(home)
    expect(page.get_by_text("Entered, and shown once both are in.")).to_be_visible()
    assert substitute.surname not in page.content()
    page.get_by_role("button", name="Enter the line-up").click()
    expect(page.get_by_role("heading", name="The sheet")).to_be_visible()
    expect(page.get_by_text(substitute.full_name).first).to_be_visible()
    assert Match.objects.filter(encounter=league.encounter).count() == 4

    # The sheet, on the phone; a slip is told at its board and keeps what was written.
    for board, (ours, theirs) in enumerate([(20, 14), (12, 20), (20, 20), (20, 9)], 1):
        group = page.get_by_role("group", name=f"Board {board}", exact=True)
        for place, value in enumerate([ours, 28, 4, theirs, 28, 3]):
            group.get_by_role("textbox").nth(place).fill(str(value))
    slip = page.get_by_role("group", name="Board 2", exact=True).get_by_role("textbox").nth(0)
    slip.fill("l2")
    page.get_by_role("button", name="Hand it to").click()
    expect(page.get_by_role("group", name="Board 2", exact=True)).to_contain_text("whole numbers")
    fits()
    slip.fill("12")
    page.get_by_role("button", name="Hand it to").click()
    expect(page.get_by_text("Entered by the home side")).to_be_visible()

    # The away captain disputes board 2 and confirms the others.
    open_as(away)
    page.get_by_text("Dispute a board").click()
    page.get_by_label("Board", exact=True).select_option("2")
    page.get_by_label("What is wrong").fill("The last two points were fouls.")
    page.get_by_role("button", name="Dispute this board").click()
    page.get_by_role("button", name="Confirm all other boards").click()
    expect(page.get_by_text("The away side answers")).to_have_count(0)
    assert Encounter.objects.get(pk=league.encounter.pk).status == "disputed"
    fits()

    # An organiser decides it at a desk; the table is settled by that.
    page.set_viewport_size({"width": 1280, "height": 900})
    open_as(league.organiser)
    page.get_by_label("Decision").fill("Ten points stand.")
    for label, value in (
        ("Points, home", 10),
        ("Innings, home", 28),
        ("Points, away", 20),
        ("Innings, away", 28),
    ):
        page.get_by_label(label).fill(str(value))
    page.get_by_role("button", name="Decide it").click()
    expect(page.get_by_text("decided by an organiser")).to_be_visible()
    assert axe(page) == []
    page.goto(f"{live_server.url}/competitions/{league.competition.pk}/teams/")
    expect(page.get_by_role("row", name="1 Team A 2 5").first).to_be_visible()
    assert axe(page) == []
    page.set_viewport_size({"width": 390, "height": 844})
    fits()
    assert complaints == []
