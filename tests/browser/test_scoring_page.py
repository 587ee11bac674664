"""A match is written on the scoring page, as a scorekeeper would."""

import datetime
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from scoring.ledger import read_entries, read_state
from scoring.models import Match
from tests.browser.pages import ScoringPage, SheetPage
from tests.cast import make_match, make_superuser, make_table

PUBLISHED = Path(__file__).parent.parent / "published" / "data" / "score_sheets.json"
PHONE = {"width": 390, "height": 740}

Opened = Callable[..., ScoringPage]


@pytest.fixture
def scoring(page: Page, live_server: Any, signed_in: Callable[[Any], None]) -> Opened:
    """Opens the scoring page of a new match on a phone, signed in as one who may write it."""

    def opened(**match: Any) -> ScoringPage:
        signed_in(make_superuser())
        page.set_viewport_size(PHONE)
        made = make_match(table=make_table("Table 3"), **match)
        return ScoringPage(page, live_server.url, made.pk).open()

    return opened


def state_of(scoring: ScoringPage) -> dict[str, Any]:
    return read_state(Match.objects.get(pk=scoring.match))


def kinds_of(scoring: ScoringPage) -> list[str]:
    return [row.kind for row in read_entries(Match.objects.get(pk=scoring.match))]


def test_a_match_by_inning_to_the_average_on_its_sheet(scoring: Opened, complaints: list[str]) -> None:
    # Published score sheet: 50 points in 6 innings.
    [sheet] = json.loads(PUBLISHED.read_text("utf-8"))
    desk = scoring(distance=(50, 50))
    desk.start("Quendal")
    for own, others in zip(sheet["innings"], [2, 0, 11, 1, 5, 2], strict=True):
        desk.innings(own, others)
    desk.is_in_phase("over")
    expect(desk.slot("outcome")).to_have_text("Quendal wins. 50 to 21 in 6 innings.")
    desk.act("confirm").click()
    desk.is_in_phase("confirmed")
    desk.is_all_with_the_club()
    desk.page.get_by_role("link", name="To the score sheet").first.click()
    seen = SheetPage(desk.page)
    expect(seen.sum("average", "white")).to_have_text(sheet["shown"])
    expect(seen.sum("high_run", "white")).to_have_text(str(sheet["high_run"]))
    expect(seen.sum("points", "white")).to_have_text(str(sheet["points"]))
    assert complaints == []


def test_a_described_point_is_ruled_as_one_taps(scoring: Opened) -> None:
    desk = scoring(distance=(40, 35))
    desk.start("Quendal")
    desk.act("more").click()
    desk.act("by-stroke").click()
    desk.act("point").click()
    desk.reads_back("Point, White", "run 1, total 1, inning 1")
    desk.act("describe").click()
    desk.tap_contacts("red", "right", "top")
    expect(desk.slot("ruling-head")).to_have_text("2 cushions so far, 1 more needed")
    desk.tap_contacts("left", "yellow")
    expect(desk.slot("ruling-head")).to_have_text("Counts: 3 cushions")
    expect(desk.slot("contacts")).to_have_text("1 Red2 right3 top4 left5 Yellow")
    desk.act("write-it").click()
    desk.act("foul").click()
    desk.page.get_by_role("button", name="a ball was touched").click()
    desk.to_play("yellow")
    desk.is_all_with_the_club()
    assert kinds_of(desk) == ["open", "point", "annotate", "foul", "annotate"]
    assert state_of(desk)["flags"] == []


def test_a_stroke_is_described_before_it_is_written(scoring: Opened) -> None:
    desk = scoring()
    desk.start("Quendal")
    desk.page.keyboard.press("/")
    desk.act("describe").click()
    desk.tap_contacts("yellow")
    expect(desk.slot("ruling-head")).to_have_text("Does not count")
    expect(desk.slot("ruling-why")).to_have_text("The red must be met first.")
    desk.act("take-back").click()
    desk.tap_contacts("red", "right", "top", "left", "yellow")
    desk.act("write-it").click()
    desk.reads_back("Point, White", "run 1, total 1, inning 1")


def test_the_wrong_ball_takes_the_point_back(scoring: Opened) -> None:
    desk = scoring()
    desk.start("Quendal")
    desk.page.keyboard.press("/")
    desk.act("point").click()
    desk.shows_score(1, 0)
    desk.act("more").click()
    desk.act("wrong-ball").click()
    desk.shows_score(0, 0)
    desk.to_play("yellow")


def test_strike_out_as_far_as_wanted_and_put_back(scoring: Opened) -> None:
    desk = scoring(distance=(40, 40))
    desk.start("Quendal")
    desk.innings(5, 2, 7)
    desk.act("strike-out").click()
    desk.reads_back("Struck out: White 7.", "White to play, inning 2.")
    desk.act("strike-more").click()
    desk.reads_back("Struck out: Yellow 2.", "Yellow to play, inning 1.")
    desk.act("put-back").click()
    desk.act("put-back").click()
    desk.shows_score(12, 2)
    desk.reads_back("White 7", "total 12, inning 2")
    desk.act("strike-out").click()
    desk.inning(3)
    expect(desk.act("strike-out")).to_be_visible()
    desk.shows_score(8, 2)


def test_an_inning_is_corrected_where_it_stands(scoring: Opened) -> None:
    desk = scoring(distance=(40, 40))
    desk.start("Quendal")
    desk.innings(0, 2, 3, 1, 4)
    desk.cell("Yellow", 2).click()
    desk.reads_back("Correct Yellow, inning 2: now 1")
    desk.digit(6)
    expect(desk.page.get_by_text("Total of Yellow: 3 becomes 8.")).to_be_visible()
    desk.shows_score(7, 3)
    desk.act("write-correction").click()
    desk.shows_score(7, 8)
    expect(desk.cell("Yellow", 2)).to_have_accessible_name(
        "Correct Yellow, inning 2, struck out 1, now 6, note a"
    )
    desk.is_all_with_the_club()
    desk.page.goto(f"{desk.base}/matches/{desk.match}/sheet/")
    sheet = SheetPage(desk.page)
    expect(sheet.run("yellow", 2).locator("del")).to_contain_text("1")
    expect(sheet.run("yellow", 2)).to_contain_text("6")
    expect(sheet.sum("points", "yellow")).to_have_text("8")


def test_a_forgotten_inning_is_put_in_and_the_later_ones_move(scoring: Opened) -> None:
    desk = scoring(distance=(40, 40))
    desk.start("Quendal")
    desk.innings(3, 1, 4)
    desk.cell("Yellow", 1).click()
    desk.act("insert-before").click()
    desk.digit(2)
    desk.act("write-renumbered").click()
    desk.shows_score(4, 6)
    desk.is_all_with_the_club()
    assert state_of(desk)["flags"] == []


def test_a_keypad_does_everything(scoring: Opened) -> None:
    desk = scoring(distance=(15, 15))
    desk.type("2")  # the second of the two starts
    desk.is_in_phase("playing")
    desk.type("4", "Enter", "2", "0")
    desk.shows_score(4, 12)
    desk.type("Backspace", "Backspace", "3")
    desk.shows_score(4, 3)
    desk.type("/", "Enter", "Enter", "0")
    desk.shows_score(6, 3)
    desk.reads_back("Miss, White", "run 2, total 6, inning 2")
    desk.type("9", "/", "9")
    desk.is_in_phase("playing")
    desk.type("Enter", "0")
    desk.reads_back("Yellow 10", "total 13, inning 3")
    desk.shows_score(15, 13)
    desk.is_in_phase("over")
    desk.type("Enter", "Enter")
    desk.is_in_phase("confirmed")


def test_what_does_not_fit_is_refused_in_words(scoring: Opened) -> None:
    desk = scoring(distance=(8, 8))
    desk.start("Quendal")
    desk.innings(5, 0)
    expect(desk.page.locator(".say")).to_have_text("say and three")
    desk.inning(9)
    desk.reads_back("Not written: White has 3 to go. Write at most that.")
    desk.shows_score(5, 0)


def test_a_flag_is_raised_and_settled(scoring: Opened) -> None:
    desk = scoring(distance=(40, 40))
    desk.start("Quendal")
    desk.innings(5)
    desk.act("more").click()
    desk.act("dispute").click()
    expect(desk.slot("flag-count")).to_have_text("1 open flag")
    desk.act("more").click()
    desk.act("settle").click()
    expect(desk.slot("open-flags")).to_be_hidden()
    desk.act("close").click()
    desk.reads_back("White 5", "total 5, inning 1")


def test_a_suspended_match_goes_on_and_a_player_may_concede(scoring: Opened) -> None:
    desk = scoring(distance=(40, 40))
    desk.start("Vilemeer")
    desk.act("more").click()
    desk.act("suspend").click()
    expect(desk.page.locator(".pad")).to_be_hidden()
    desk.act("resume").click()
    desk.inning(7)
    desk.act("more").click()
    desk.page.get_by_role("button", name="Quendal concedes").click()
    expect(desk.slot("outcome")).to_have_text("Vilemeer wins. 7 to 0 in 1 inning. The other player conceded.")
    desk.act("strike-out").click()
    desk.to_play("yellow")


def test_the_clock_uses_a_time_out_by_itself(scoring: Opened, page: Page) -> None:
    page.clock.install()
    timing = {"shot_seconds": 30, "warning_seconds": 20, "timeouts": 2, "timeout_seconds": 30}
    desk = scoring(distance=(40, 40), format={**timing, "timeout_mode": "automatic"})
    desk.start("Quendal")
    desk.is_all_with_the_club()  # a request that is under way would run out with the clock
    page.clock.pause_at(datetime.datetime.now() + datetime.timedelta(minutes=5))
    desk.act("clock-toggle").click()
    page.clock.run_for(21_000)
    expect(desk.slot("clock-words")).to_be_visible()
    expect(desk.slot("clock-figure")).to_have_text("9")
    page.clock.run_for(10_000)
    expect(desk.slot("timeouts-text-white")).to_have_text("time-outs used: 1 of 2")
    expect(desk.slot("clock-figure")).to_have_text("29")
    page.clock.run_for(500)
    desk.inning(2)
    expect(desk.slot("clock-figure")).to_have_text("30")


def test_the_network_goes_and_comes_back(scoring: Opened, context: BrowserContext) -> None:
    desk = scoring(distance=(40, 40))
    desk.start("Quendal")
    desk.is_all_with_the_club()
    context.set_offline(True)
    desk.innings(1, 2, 3)
    expect(desk.slot("saving")).to_contain_text("on this device: 3")
    context.set_offline(False)
    desk.is_all_with_the_club()
    assert state_of(desk)["score"] == {"white": 4, "yellow": 2}
    desk.page.reload()
    desk.reads_back("White 3", "total 4, inning 2")


def test_a_second_device_reads_along_or_takes_the_pen(
    scoring: Opened, browser: Browser, context: BrowserContext
) -> None:
    first = scoring(distance=(40, 40))
    first.start("Quendal")
    first.inning(4)
    first.is_all_with_the_club()
    elsewhere = browser.new_context(storage_state={"cookies": context.cookies(), "origins": []})
    try:
        second = ScoringPage(elsewhere.new_page(), first.base, first.match).open()
        words = "Table 3 is being written on another device. Read along, or take the pen."
        expect(second.page.get_by_text(words)).to_be_visible()
        expect(second.page.locator(".pad")).to_be_hidden()
        second.act("take-pen").click()
        second.inning(2)
        second.shows_score(4, 2)
        second.is_all_with_the_club()
        first.inning(9)
        expect(first.slot("pen-words")).to_be_visible()
    finally:
        elsewhere.close()
    assert state_of(first)["score"] == {"white": 4, "yellow": 2}


def test_every_view_is_accessible(scoring: Opened, axe: Callable[[Page], list[str]]) -> None:
    desk = scoring(distance=(8, 8), format={"timeouts": 3, "timeout_seconds": 30, "shot_seconds": 40})
    found = axe(desk.page)
    desk.start("Quendal")
    desk.innings(5, 0)
    found += axe(desk.page)
    desk.cell("White", 1).click()
    desk.digit(4)
    found += axe(desk.page)
    desk.act("leave-as-is").click()
    desk.act("more").click()
    found += axe(desk.page)
    desk.act("describe").click()
    desk.tap_contacts("red", "right")
    found += axe(desk.page)
    assert found == []
