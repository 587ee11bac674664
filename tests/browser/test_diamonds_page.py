"""The diamonds in a real browser: by hand, by keys, from balls, without a script, on any screen."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

BALLS = "/diamonds/?by=balls&cue_x=2&cue_y=2&ball_x=1&ball_y=5"


class DiamondsPage:
    """The page, as a person at it sees and uses it."""

    def __init__(self, page: Page, base: str) -> None:
        self.page = page
        self.base = base

    def open(self, address: str = "/diamonds/") -> DiamondsPage:
        """Go there and wait until its script listens."""
        self.page.goto(self.base + address)
        expect(self.page.locator("#diamonds")).to_have_attribute("data-ready", "")
        return self

    def sum(self, name: str) -> Any:
        return self.page.locator(f'[data-part="sum"] .dia-{name} dd')

    def grip(self, name: str) -> Any:
        return self.page.locator(f'[data-grip="{name}"]')

    def drag(self, name: str, across: float, up: float) -> None:
        """Move a grip by so many diamonds."""
        self.grip(name).scroll_into_view_if_needed()
        # The drawing is put in anew with each answer; a grip may be gone for a moment.
        box = None
        for _ in range(100):
            box = self.grip(name).locator(".dia-reach").bounding_box()
            if box:
                break
            self.page.wait_for_timeout(50)
        scale = self.page.evaluate("document.querySelector('.dia-svg').getScreenCTM().a * 40")
        assert box
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        self.page.mouse.move(x, y)
        self.page.mouse.down()
        self.page.mouse.move(x + across * scale, y - up * scale, steps=4)
        self.page.mouse.up()


@pytest.fixture
def diamonds(page: Page, live_server: Any) -> DiamondsPage:
    return DiamondsPage(page, live_server.url)


def test_numbers_are_dragged_along_their_rails_and_stepped_by_keys(diamonds: DiamondsPage) -> None:
    page = diamonds.open().page
    diamonds.drag("arrival", 0, 1)
    expect(diamonds.sum("aim")).to_have_text("4")
    expect(page.locator("#id_arrival")).to_have_value("1")
    expect(page).to_have_url(diamonds.base + "/diamonds/?system=corner&find=aim&origin=5&arrival=1")
    # What is dragged is known from then on: another number is asked for.
    diamonds.drag("aim", 0, 2)
    expect(diamonds.sum("arrival")).to_have_text("3")
    expect(page.get_by_role("radio", name="arrival")).to_be_checked()
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Shift+ArrowDown")
    expect(page.locator("#id_aim")).to_have_value("2.09")
    expect(diamonds.grip("aim")).to_be_focused()
    expect(page.get_by_role("slider", name="aim")).to_have_attribute("aria-valuenow", "2.09")
    expect(page.locator('[data-slot="spoken"]')).to_contain_text("Arrival 2.91: about 9 tenths of the way")
    expect(page).to_have_url(re.compile("aim=2.09"))  # all answers are in, nothing is drawn anew
    page.locator(".dia-aim .dia-label", has_text="4").click()
    expect(diamonds.sum("arrival")).to_have_text("1")
    expect(page).to_have_url(re.compile("aim=4&|aim=4$"))
    # Round the corner the origin goes on along the bottom rail.
    diamonds.drag("origin", 2.5, -0.5)
    expect(page.locator(".dia-places .dia-origin")).to_contain_text("of the bottom rail")


def test_balls_are_moved_and_the_layout_answers(diamonds: DiamondsPage) -> None:
    page = diamonds.open().page
    page.get_by_label("two balls on the table").check()
    expect(diamonds.sum("aim")).to_have_text("3.5")
    diamonds.drag("ball", 0, -0.5)
    expect(diamonds.sum("arrival")).to_have_text("−2")
    expect(page.locator("#id_ball_y")).to_have_value("4.5")
    page.get_by_role("slider", name="Ball", exact=True).press("ArrowUp")
    expect(page.locator("#id_ball_y")).to_have_value("4.6")
    page.get_by_label("The cue ball starts near the corner").select_option("top-right")
    expect(page.locator("#id_ball_y")).to_have_value("3.4")
    expect(diamonds.sum("arrival")).to_have_text("−1.9")
    kept = page.url
    DiamondsPage(page, diamonds.base).open(kept.removeprefix(diamonds.base))
    expect(diamonds.sum("arrival")).to_have_text("−1.9")
    page.get_by_role("link", name="Try this stroke").click()
    expect(page.locator("#id_white_y")).to_have_value("6")


def test_what_cannot_be_answered_is_said_beside_the_field(diamonds: DiamondsPage) -> None:
    page = diamonds.open().page
    page.locator("#id_arrival").fill("6")
    page.keyboard.press("Tab")
    expect(page.locator('[data-field="arrival"] .wrong')).to_contain_text("no aim reaches it")
    expect(page.locator(".ruling-head")).to_have_text("No answer")
    page.locator("#id_arrival").fill("1,5")
    page.keyboard.press("Enter")
    expect(diamonds.sum("aim")).to_have_text("3.5")
    expect(page.locator(".wrong")).to_have_count(0)
    page.route("**/diamonds/?*part=answer", lambda route: route.abort())
    page.locator("#id_arrival").fill("2")
    page.keyboard.press("Tab")
    expect(page.locator('[data-slot="spoken"]')).to_contain_text("The club did not answer")


def test_without_a_script_the_form_is_answered(browser: Browser, live_server: Any) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(live_server.url + "/diamonds/")
    page.locator("#id_system").select_option("plus")
    page.get_by_role("button", name="Work it out").click()
    page.locator("#id_arrival").fill("5.5")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator(".dia-result dd")).to_have_text("2.5")
    page.get_by_label("two balls on the table").check()
    page.locator("#id_ball_x").fill("far")
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_role("alert")).to_contain_text("Two numbers are needed")
    context.close()


@pytest.mark.parametrize(
    ("width", "scheme", "address"), [(360, "light", BALLS), (1280, "dark", "/diamonds/?origin=2&arrival=3")]
)
def test_diamonds_are_accessible_and_within_the_screen(
    diamonds: DiamondsPage,
    complaints: list[str],
    axe: Callable[[Page], list[str]],
    width: int,
    scheme: Any,
    address: str,
) -> None:
    page = diamonds.page
    page.set_viewport_size({"width": width, "height": 800})
    page.emulate_media(color_scheme=scheme)
    diamonds.open(address)
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert complaints == []
