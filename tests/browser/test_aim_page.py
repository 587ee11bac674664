"""Aim in a real browser: lines found and listed, two compared, a changed question, a kept one."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from analytics import kernels
from analytics.aim.lines import leaving, search

ASKED = "/aim/?white=0.7,1.1&yellow=3,1.9&red=1.3,3.6&spread=1.2"


@pytest.fixture(scope="module", autouse=True)
def _warm() -> None:
    """Compile the simulator first: nobody at the page waits for that."""
    kernels.do_warm()


@pytest.fixture(autouse=True)
def _small_searches(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the page does with lines is looked at here, not how good they are."""
    monkeypatch.setattr(search, "FULL", replace(search.FULL, explored=8192, members=6, seeds=2, kept=(1, 10)))


def opened(page: Page, base: str, address: str) -> Page:
    page.goto(base + address)
    expect(page.locator("#aim")).to_have_attribute("data-ready", "")
    return page


def found(page: Page) -> None:
    expect(page.locator('[data-slot="finding"]')).to_contain_text("times in 100", timeout=120_000)
    expect(page.locator('[data-slot="finding"]')).not_to_contain_text("Still looking", timeout=120_000)


def test_an_address_finds_its_lines_and_two_are_compared(
    page: Page, live_server: Any, axe: Callable[[Page], list[str]], complaints: list[str]
) -> None:
    opened(page, live_server.url, ASKED)
    found(page)
    rows = page.locator('[data-slot="lines"] tr')
    success = [float(text) for text in rows.locator(".aim-success").all_inner_texts()]
    assert len(success) > 1
    assert success == sorted(success, reverse=True)
    for side in ("a", "b"):
        whole = page.locator(f'.aim-side[data-line="{side}"]')
        counts = [int(text) for text in whole.locator(".aim-parts b").all_inner_texts()]
        assert sum(counts) == 100
        expect(page.locator(f".line-{side} .leg").first).to_be_attached()
    # Another line as B is drawn and compared in the place of the second.
    third = rows.nth(min(2, len(success) - 1))
    third.get_by_role("radio").nth(1).check()
    expect(page.locator('.aim-side[data-line="b"] .aim-family')).to_have_text(
        third.locator(".aim-family").inner_text()
    )
    tried = page.locator('.aim-side[data-line="a"] .aim-try').get_attribute("href") or ""
    assert tried.startswith("/aim/stroke/?white=0.7,1.1&")
    assert axe(page) == []
    assert complaints == []


def test_a_changed_question_takes_its_answer_away_and_is_kept(page: Page, live_server: Any) -> None:
    opened(page, live_server.url, "/aim/")
    page.get_by_role("slider", name="Red", exact=True).focus()
    page.keyboard.press("ArrowUp")
    expect(page.locator("#id_red_y")).to_have_value("3.7")
    page.locator("#id_spread").fill("9")
    page.keyboard.press("Tab")
    expect(page.get_by_text("A spread from 0.2 to 5 is needed; the last one stands.")).to_be_visible()
    page.get_by_role("button", name=re.compile("^0.5 ")).click()
    assert "red=1.3,3.7" in page.url
    assert "spread=0.5" in page.url
    page.get_by_role("button", name="Find the lines").click()
    found(page)
    page.get_by_role("radio", name="Yellow", exact=True).check()
    expect(page.locator('[data-slot="finding"]')).to_have_text(
        "The question has changed. Find the lines again."
    )
    expect(page.locator('[data-slot="found"]')).to_be_hidden()


def test_a_line_is_played_strays_and_tells_what_it_leaves(
    page: Page, live_server: Any, monkeypatch: pytest.MonkeyPatch, complaints: list[str]
) -> None:
    monkeypatch.setattr(leaving, "RESTS", 2)
    opened(page, live_server.url, ASKED)
    found(page)
    expect(page.locator(".stray-a .stray-way")).to_have_count(24)
    expect(page.locator(".stray-b .stray-way")).to_have_count(24)
    page.get_by_label("Where the cue ball ends").check()
    expect(page.locator(".stray-a circle")).to_have_count(96)
    page.get_by_label("Strokes that stray").uncheck()
    expect(page.locator(".stray-a .stray-way")).to_have_count(0)
    # It runs, stops at a press, and the balls go back to where they lay.
    page.get_by_label("Slow, a quarter of the speed").check()
    page.get_by_role("button", name="Play A").click()
    expect(page.locator('[data-slot="say"]')).to_contain_text("Line A after")
    page.get_by_role("button", name="Stop").click()
    expect(page.get_by_role("button", name="Play A")).to_be_visible()
    page.get_by_role("button", name="Put the balls back").click()
    expect(page.locator('[data-slot="say"]')).to_have_text("White plays.")
    # Without motion a press goes on to the next contact.
    page.emulate_media(reduced_motion="reduce")
    page.get_by_role("button", name="Play B").click()
    expect(page.locator('[data-slot="say"]')).to_contain_text("Line B after")
    side = page.locator('.aim-side[data-line="a"]')
    side.get_by_role("button", name="What does it leave?").click()
    expect(side.locator(".aim-leaves")).to_contain_text("over 2 positions", timeout=120_000)
    assert complaints == []
