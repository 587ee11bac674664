"""Trying a stroke in a real browser: by keys and by hand, struck, kept, without motion, refused."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from analytics import kernels

LAYOUT = "white=0.7,1.1&yellow=3,1.9&red=1.3,3.6"
POINT = f"/aim/stroke/?{LAYOUT}&cue=white&direction=17.3&speed=3.6&side=0.2&height=0"


@pytest.fixture(scope="module", autouse=True)
def _warm() -> None:
    """Compile the simulator first: nobody at the page waits for that."""
    kernels.do_warm()


class StrokePage:
    """The page, as a person at it sees and uses it."""

    def __init__(self, page: Page, base: str) -> None:
        self.page = page
        self.base = base

    def open(self, address: str = "/aim/stroke/") -> StrokePage:
        """Go there and wait until its script listens."""
        self.page.goto(self.base + address)
        expect(self.page.locator("#stroke")).to_have_attribute("data-ready", "")
        return self

    def slot(self, name: str) -> Any:
        return self.page.locator(f'[data-slot="{name}"]')

    def grip(self, name: str) -> Any:
        return self.page.get_by_role("slider", name=name, exact=True)

    def strike(self) -> None:
        self.page.get_by_role("button", name="Strike", exact=True).click()

    def asked(self) -> str:
        return self.page.url.partition("?")[2]

    def drawn(self, ball: str) -> tuple[float, float]:
        """Where a ball is drawn, in diamonds; 56 px a diamond, 0.46 diamonds of room."""
        place = self.page.locator(f"g.moving:has(> .ball-{ball})").get_attribute("transform")
        x, y = (float(part) for part in re.findall(r"-?[\d.]+", place or ""))
        return x / 56 - 0.46, 8 - (y / 56 - 0.46)


@pytest.fixture
def stroke(page: Page, live_server: Any) -> StrokePage:
    return StrokePage(page, live_server.url)


@pytest.fixture
def still(page: Page) -> None:
    page.emulate_media(reduced_motion="reduce")


def test_placed_by_keys_struck_and_kept(stroke: StrokePage, still: None) -> None:
    page = stroke.open().page
    stroke.grip("Red").focus()
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Shift+ArrowLeft")
    expect(page.locator("#id_red_x")).to_have_value("1.29")
    expect(page.locator("#id_red_y")).to_have_value("3.7")
    page.locator("[data-grip=aim]").focus()
    page.keyboard.press("Shift+ArrowLeft")
    expect(page.locator("#id_direction")).to_have_value("17.4")
    page.locator('[data-slot="face"]').focus()
    page.keyboard.press("ArrowUp")
    expect(stroke.slot("tip")).to_have_text("At 3 o’clock: 0.20 right, 0.05 up.")
    page.get_by_label("Speed", exact=True).first.fill("4,2")
    page.keyboard.press("Enter")
    expect(stroke.slot("time")).to_have_text(re.compile(r"^(\d+\.\d\d) s of \1$"))
    head = stroke.slot("head").inner_text()
    assert head.startswith(("Counts", "Does not count"))
    assert "red=1.29,3.7" in stroke.asked()
    assert "speed=4.2" in stroke.asked()

    other = StrokePage(page, stroke.base).open("/aim/stroke/?" + stroke.asked())
    expect(other.slot("head")).to_have_text(head)
    expect(other.slot("time")).to_have_text(re.compile(r"^(\d+\.\d\d) s of \1$"))


def test_finished_drawing_is_the_answer_of_the_club(stroke: StrokePage, still: None) -> None:
    page = stroke.page
    with page.expect_response("**/api/shots/") as heard:
        stroke.open(POINT)
    shot = heard.value.json()
    expect(stroke.slot("head")).to_have_text("Counts: 3 cushions")
    expect(stroke.slot("spoken")).to_contain_text("Counts: 3 cushions")
    for ball, at in shot["rest"].items():
        assert stroke.drawn(ball) == pytest.approx(at, abs=2e-4)
    expect(page.get_by_role("button", name="Again")).to_have_count(0)

    # Step by step the count rises; each contact is drawn where the club says it was.
    heads = []
    for met in shot["contacts"][:5]:
        page.get_by_role("button", name="Next contact").click()
        assert stroke.drawn("white") == pytest.approx(met["at"], abs=2e-3)
        heads.append(stroke.slot("head").inner_text())
    assert heads == [
        "0 cushions so far, 3 more needed",
        "1 cushion so far, 2 more needed",
        "2 cushions so far, 1 more needed",
        "3 cushions so far, a ball still to be met",
        "Counts: 3 cushions",
    ]


def test_it_runs_in_true_time_and_may_be_stopped(stroke: StrokePage) -> None:
    page = stroke.page
    page.clock.install(time=0)
    stroke.open()
    page.clock.pause_at(60_000)
    stroke.strike()
    expect(page.get_by_role("button", name="Pause")).to_be_visible()
    page.clock.run_for(1000)
    page.get_by_role("button", name="Pause").click()
    shown = float(stroke.slot("time").inner_text().split()[0])
    assert shown == pytest.approx(1.0, abs=0.03)
    page.clock.run_for(500)
    assert float(stroke.slot("time").inner_text().split()[0]) == shown
    page.get_by_role("button", name="Run on").click()
    page.clock.run_for(30000)
    expect(page.get_by_role("button", name="Again")).to_be_visible()
    expect(stroke.slot("head")).to_have_text("Counts: 3 cushions")


def test_a_ball_is_dragged_and_kept_lawful(stroke: StrokePage) -> None:
    page = stroke.open().page
    box = stroke.grip("Red").bounding_box()
    aim = stroke.grip("White").bounding_box()
    assert box
    assert aim
    at, onto = ((b["x"] + b["width"] / 2, b["y"] + b["height"] / 2) for b in (box, aim))
    page.mouse.move(*at)
    page.mouse.down()
    page.mouse.move(*onto, steps=4)
    page.mouse.up()
    expect(stroke.slot("say")).to_have_text("Red would overlap White there; it was laid beside it.")
    query = {
        k: [float(p) for p in v.split(",")] for k, v in (a.split("=") for a in stroke.asked().split("&")[:3])
    }
    gap = ((query["red"][0] - query["white"][0]) ** 2 + (query["red"][1] - query["white"][1]) ** 2) ** 0.5
    assert 2 * 0.0866 <= gap < 0.2


def test_what_cannot_be_laid_or_struck_is_explained(stroke: StrokePage) -> None:
    page = stroke.open().page
    field = page.locator('[data-field="red"]')
    page.locator("#id_red_x").fill("7")
    page.keyboard.press("Tab")
    expect(field.locator(".wrong")).to_contain_text("Red would lie outside the noses")
    expect(page.locator("#id_red_x")).to_have_value("3.9133")
    page.locator("#id_side").fill("0.6")
    page.keyboard.press("Tab")
    expect(page.locator('[data-field="side"] .wrong')).to_contain_text("The tip would slip")
    expect(page.locator("#id_side")).to_have_value("0.2")


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ({"status": 400, "json": {"layout.red": ["The ball lies outside; move it in."]}}, "move it in"),
        ({"status": 429, "headers": {"Retry-After": "7"}, "json": {"detail": "slow"}}, "again in 7 seconds"),
        ({"status": 503, "json": {"detail": "none"}}, "(503)"),
        (None, "The club did not answer"),
    ],
)
def test_why_nothing_was_struck_is_said(stroke: StrokePage, answer: dict[str, Any] | None, said: str) -> None:
    page = stroke.open().page

    def give(route: Any) -> None:
        if answer is None:
            route.abort()
        else:
            body = json.dumps(answer["json"])
            headers = {"Content-Type": "application/json", **answer.get("headers", {})}
            route.fulfill(status=answer["status"], headers=headers, body=body)

    page.route("**/api/shots/", give)
    stroke.strike()
    expect(stroke.slot("head")).to_have_text("Not struck")
    expect(stroke.slot("why")).to_contain_text(said)
    if answer and answer["status"] == 400:
        expect(page.locator('[data-field="red"] .wrong')).to_contain_text("move it in")


@pytest.mark.parametrize(("width", "scheme"), [(360, "light"), (1280, "dark")])
def test_accessible_and_within_the_screen(
    stroke: StrokePage,
    still: None,
    complaints: list[str],
    axe: Callable[[Page], list[str]],
    width: int,
    scheme: Any,
) -> None:
    page = stroke.page
    page.set_viewport_size({"width": width, "height": 800})
    page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
    stroke.open(POINT)
    expect(stroke.slot("head")).to_have_text("Counts: 3 cushions")
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    # With text of twice the size everything still fits.
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert complaints == []
