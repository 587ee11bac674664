"""A league round in a browser: two captains on two devices, a substitute, a disputed board, a visitor who follows."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from scoring.models import Encounter, Match, Player
from tests.browser.pages import ScoringPage
from tests.scoring.event.league import League
from tests.scoring.pages.writing import innings, opened

pytestmark = pytest.mark.django_db(transaction=True)
PHONE = {"width": 390, "height": 844}


@pytest.fixture
def devices(browser: Browser) -> Iterator[Callable[..., Page]]:
    """Opens a page on a device of its own."""
    contexts: list[BrowserContext] = []

    def opened_on(**viewport: int) -> Page:
        contexts.append(browser.new_context(viewport=viewport))  # type: ignore[arg-type]
        contexts[-1].set_default_timeout(60_000)
        return contexts[-1].new_page()

    yield opened_on
    for one in contexts:
        one.close()


class Round:
    """The encounter on the devices of both captains, of an organiser and of a visitor."""

    def __init__(self, base: str, axe: Callable[[Page], list[str]], devices: Callable[..., Page]) -> None:
        self.base, self.axe = base, axe
        self.league = League()
        self.cup = self.league.competition
        self.cup.players_score = True
        self.cup.save()
        self.address = f"{base}/encounters/{self.league.encounter.pk}/"
        self.desk, self.phone, self.visitor = (
            devices(width=1280, height=900),
            devices(**PHONE),
            devices(**PHONE),
        )
        self.sign_in(self.desk, self.captain(self.league.home).user)
        self.sign_in(self.phone, self.captain(self.league.away).user)

    def captain(self, team: Any) -> Player:
        return self.league.squad(team)[0]

    def sign_in(self, page: Page, user: Any) -> None:
        client = Client()
        client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
        cookie = client.cookies[settings.SESSION_COOKIE_NAME]
        page.context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": self.base}])

    def fits(self, page: Page) -> None:
        """Nothing is wider than the screen, and everybody can read and use it."""
        assert page.evaluate("document.documentElement.scrollWidth") == page.viewport_size["width"]
        assert self.axe(page) == []

    def match(self, board: int) -> Match:
        return Match.objects.get(encounter=self.league.encounter, board=board)

    def board(self, page: Page, number: int) -> Locator:
        return page.get_by_role("group", name=f"Board {number}", exact=True)

    def reads_table(self) -> list[str]:
        self.visitor.goto(f"{self.base}/competitions/{self.cup.pk}/teams/")
        return self.visitor.locator(".league-table tbody").first.locator("tr").all_inner_texts()

    # The steps

    def line_ups(self) -> None:
        """The away captain sets a substitute and is warned; neither reads the other before both are in."""
        substitute = self.league.squad(self.league.away)[4]
        phone, desk = self.phone, self.desk
        phone.goto(self.address)
        phone.get_by_label("Board 4").select_option(value=str(substitute.pk))
        phone.get_by_role("button", name="Enter the line-up").click()
        expect(phone.get_by_role("alert")).to_contain_text("highest average of a substitute")
        self.fits(phone)
        phone.get_by_role("button", name="Enter it as it is").click()
        expect(phone.get_by_text("The other side sees it once both are in.")).to_be_visible()
        desk.goto(self.address)
        expect(desk.get_by_text("Entered, and shown once both are in.")).to_be_visible()
        assert substitute.surname not in desk.content()
        desk.get_by_role("button", name="Enter the line-up").click()
        expect(desk.get_by_role("heading", name="The sheet")).to_be_visible()
        for page in (desk, phone):
            page.goto(self.address)
            expect(page.get_by_text(substitute.full_name).first).to_be_visible()

    def changes_board_three(self) -> None:
        """The home captain lets the substitute come in, and the other side reads why."""
        desk, substitute = self.desk, self.league.squad(self.league.home)[4]
        desk.get_by_text("Let another player come in").click()
        desk.get_by_label("Board", exact=True).select_option("3")
        desk.get_by_label("Who comes in").select_option(value=str(substitute.pk))
        desk.get_by_label("Why").nth(0).fill("Held up on the road.")
        desk.get_by_role("button", name="Change the board").click()
        expect(desk.get_by_role("alert")).to_contain_text("highest average of a substitute")
        desk.get_by_role("button", name="Let them play all the same").click()
        self.phone.goto(self.address)
        expect(self.phone.get_by_text("Held up on the road.").first).to_be_visible()

    def plays(self) -> None:
        """Board 1 on the scoring page, board 2 in the ledger, the others on the sheet, with a slip told of."""
        first = self.match(1)
        score = ScoringPage(self.desk, self.base, first.pk).open()
        score.start(self.captain(self.league.home).surname)
        score.innings(8, 0, 9, 1, 3, 0)
        score.is_all_with_the_club()
        innings(opened(self.match(2)), 9, 0, 11, 2)
        desk = self.desk
        desk.goto(self.address)
        # On board 3 the home substitute plays to 22, the other side to 20.
        for board, (ours, theirs) in {3: (21, 20), 4: (20, 9)}.items():
            for place, value in enumerate([ours, 28, 4, theirs, 28, 3]):
                self.board(desk, board).get_by_role("textbox").nth(place).fill(str(value))
        slip = self.board(desk, 4).get_by_role("textbox").nth(0)
        slip.fill("2O")
        desk.get_by_role("button", name="Hand it to").click()
        expect(self.board(desk, 4)).to_contain_text("whole numbers")
        self.fits(desk)
        slip.fill("20")
        desk.get_by_role("button", name="Hand it to").click()
        expect(desk.get_by_text("Entered by the home side")).to_be_visible()

    def answers(self) -> None:
        phone = self.phone
        phone.goto(self.address)
        phone.get_by_text("Dispute a board").click()
        phone.get_by_label("Board", exact=True).select_option("3")
        phone.get_by_label("What is wrong").fill("The last two points were fouls.")
        phone.get_by_role("button", name="Dispute this board").click()
        phone.get_by_role("button", name="Confirm all other boards").click()
        expect(phone.get_by_text("The away side answers")).to_have_count(0)
        assert Encounter.objects.get(pk=self.league.encounter.pk).status == "disputed"
        self.fits(phone)

    def decides(self) -> None:
        desk = self.desk
        desk.goto(self.address)
        desk.get_by_label("Decision").fill("Eighteen points stand, and the home side played on to its 22.")
        figures = {"Points, home": 22, "Innings, home": 28, "Points, away": 18, "Innings, away": 28}
        for label, value in figures.items():
            desk.get_by_label(label).fill(str(value))
        desk.get_by_role("button", name="Decide it").click()
        expect(desk.get_by_text("decided by an organiser")).to_be_visible()
        self.fits(desk)

    def publishes(self) -> None:
        self.desk.goto(f"{self.base}/competitions/{self.cup.pk}/publish/")
        self.desk.get_by_role("button", name="Publish").first.click()
        expect(self.desk.get_by_role("heading", name=self.cup.name)).to_be_visible()


def test_a_league_round_from_line_up_to_the_decision_about_a_board(
    live_server: Any, axe: Callable[[Page], list[str]], devices: Callable[..., Page]
) -> None:
    one = Round(live_server.url, axe, devices)
    answer = one.visitor.goto(f"{one.base}/competitions/{one.cup.pk}/teams/")
    assert answer is not None
    assert answer.status == 404
    one.line_ups()
    one.changes_board_three()
    one.plays()
    one.sign_in(one.desk, one.league.organiser)
    one.publishes()
    assert [re.split(r"\s+", row.strip())[3:5] for row in one.reads_table()] == [["0", "0"], ["0", "0"]]
    one.answers()
    moved = one.reads_table()
    assert [re.split(r"\s+", row.strip())[:5] for row in moved] == [
        ["1", "Team", "A", "2", "6"],
        ["2", "Team", "B", "0", "2"],
    ]
    expect(one.visitor.get_by_text("Provisional")).to_be_visible()
    one.decides()
    assert re.split(r"\s+", one.reads_table()[0].strip())[3:5] == ["2", "8"]
    expect(one.visitor.get_by_text("Provisional")).to_have_count(0)
    one.fits(one.visitor)
    one.desk.goto(f"{one.address}sheet/")
    one.fits(one.desk)
    printed = one.desk.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", printed)) == 1
