"""The scoring page in the hands of several people, and of one who loads it again."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, Page, expect

from scoring import ledger
from scoring.models import Competition, Match
from scoring.pens import do_give_back
from tests.browser.pages import ScoringPage
from tests.cast import make_competition, make_match, make_organiser, make_referee, make_table

PHONE = {"width": 390, "height": 740}

Device = Callable[..., ScoringPage]


@pytest.fixture
def competition(transactional_db: None) -> Competition:
    return make_competition()


@pytest.fixture
def at_table(browser: Browser, live_server: Any) -> Iterator[Device]:
    """Opens the scoring page of a match on a device of its own."""
    contexts: list[BrowserContext] = []

    def opened(user: Any, match: Match) -> ScoringPage:
        client = Client()
        client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
        cookie = client.cookies[settings.SESSION_COOKIE_NAME]
        context = browser.new_context(viewport=PHONE)
        contexts.append(context)
        context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": live_server.url}])
        return ScoringPage(context.new_page(), live_server.url, match.pk).open()

    yield opened
    for context in contexts:
        context.close()


@pytest.fixture
def alone(page: Page, live_server: Any, signed_in: Callable[[Any], None], competition: Competition) -> Device:
    """Opens the scoring page of a new match for its referee."""

    def opened(**match: Any) -> ScoringPage:
        signed_in(make_referee(competition))
        page.set_viewport_size(PHONE)
        made = make_match(competition=competition, table=make_table("Table 3"), **match)
        return ScoringPage(page, live_server.url, made.pk).open()

    return opened


def state_of(match: int) -> dict[str, Any]:
    return ledger.read_state(Match.objects.get(pk=match))


def written_elsewhere(desk: ScoringPage, **fields: Any) -> None:
    """An organiser writes an inning, from no device of this test."""
    sent = {"uuid": str(uuid.uuid4()), "kind": "inning", "after": state_of(desk.match)["seq"], **fields}
    outcome, _state = ledger.append(desk.match, sent, ledger.Author(organises=True))
    assert outcome.status == "stored", str(outcome.reason)


def test_an_organiser_corrects_beside_the_pen_and_after_the_confirmation(
    competition: Competition, at_table: Device
) -> None:
    match = make_match(competition=competition, distance=(5, 5), format={"equalizing": False})
    writer = at_table(make_referee(competition), match)
    writer.start("Quendal")
    writer.innings(3, 2)
    writer.is_all_with_the_club()
    organiser = at_table(make_organiser(competition), match)
    organiser.cell("White", 1).click()
    organiser.digit(4)
    organiser.act("write-correction").click()
    organiser.is_all_with_the_club()
    writer.looks()
    writer.shows_score(4, 2)
    writer.inning(1)
    writer.act("confirm").click()
    writer.is_all_with_the_club()
    writer.cell("Yellow", 1).click()
    writer.reads_back("Not written: the match is confirmed. An organiser may correct it.")
    organiser.looks()
    organiser.is_in_phase("confirmed")
    organiser.cell("Yellow", 1).click()
    organiser.digit(1)
    expect(organiser.page.get_by_text("The match would have to be confirmed again.")).to_be_visible()
    organiser.act("write-correction").click()
    organiser.is_all_with_the_club()
    writer.looks()
    writer.is_in_phase("over")
    writer.act("confirm").click()
    writer.is_all_with_the_club()
    state = state_of(match.pk)
    assert (state["status"], state["score"]) == ("confirmed", {"white": 5, "yellow": 1})


def test_who_reads_along_is_told_why_nothing_is_corrected(competition: Competition, at_table: Device) -> None:
    match = make_match(competition=competition, distance=(5, 5))
    writer = at_table(make_referee(competition), match)
    writer.start("Quendal")
    writer.inning(3)
    writer.is_all_with_the_club()
    reader = at_table(make_referee(competition, name="another"), match)
    reader.cell("White", 1).click()
    reader.reads_back("Not written: another device writes this match. Read along, or take the pen.")
    expect(reader.page.locator(".pad")).to_be_hidden()


def test_a_correction_from_elsewhere_joins_what_was_written_offline(
    alone: Device, context: BrowserContext
) -> None:
    desk = alone(distance=(40, 40))
    desk.start("Quendal")
    desk.inning(5)
    desk.is_all_with_the_club()
    context.set_offline(True)
    desk.inning(6)
    written_elsewhere(desk, run=4, instead_of=2, why="miscounted")
    context.set_offline(False)
    desk.is_all_with_the_club()
    desk.shows_score(4, 6)
    assert state_of(desk.match)["score"] == {"white": 4, "yellow": 6}


def test_what_was_not_accepted_is_named_and_left_out(alone: Device, context: BrowserContext) -> None:
    desk = alone(distance=(40, 40))
    desk.start("Quendal")
    desk.inning(5)
    desk.is_all_with_the_club()
    context.set_offline(True)
    desk.inning(6)
    do_give_back(desk.match)
    written_elsewhere(desk, run=3)
    context.set_offline(False)
    desk.act("look").click()
    expect(desk.slot("refusal-list")).to_contain_text("Yellow 6: Another device wrote this match")
    desk.act("drop").click()
    desk.is_all_with_the_club()
    desk.shows_score(5, 3)
    assert state_of(desk.match)["score"] == {"white": 5, "yellow": 3}


def test_each_set_counts_its_innings_and_a_match_goes_on_at_another_table(alone: Device) -> None:
    other = make_table("Table 9")
    desk = alone(distance=(3, 3), format={"sets_to_win": 2, "equalizing": False})
    desk.start("Quendal")
    desk.innings(1, 0, 2)
    desk.reads_back("White 2", "total 3. Set 2 begins.")
    desk.inning(1)
    desk.reads_back("Yellow 1", "total 1, inning 1")
    expect(desk.cell("Yellow, set 2", 1)).to_be_visible()
    desk.act("more").click()
    desk.act("suspend").click()
    desk.page.get_by_label("It goes on at").select_option("Table 9")
    desk.act("resume").click()
    expect(desk.slot("heading")).to_have_text("Table 9")
    desk.is_all_with_the_club()
    assert state_of(desk.match)["table"] == other.pk


def test_strokes_are_previewed_together(alone: Device) -> None:
    desk = alone(distance=(4, 4), format={"equalizing": False})
    desk.start("Quendal")
    desk.page.keyboard.press("/")
    for act in ("point", "miss", "miss"):
        desk.act(act).click()
    desk.cell("White", 1).click()
    desk.digit(4)
    changes = desk.page.locator(".correct-changes")
    expect(changes).to_contain_text("Total of White: 1 becomes 4.")
    expect(changes).to_contain_text("The match would be over.")
    desk.shows_score(1, 0)
    desk.act("write-correction").click()
    desk.shows_score(4, 0)


def test_what_stands_after_the_end_is_seen_and_can_be_corrected(alone: Device) -> None:
    desk = alone(distance=(6, 6), format={"equalizing": False})
    desk.start("Quendal")
    desk.innings(2, 1, 4)
    desk.is_in_phase("over")
    desk.cell("White", 1).click()
    desk.digit(6)
    desk.act("write-correction").click()
    expect(desk.cell("Yellow", 1)).to_have_accessible_name(
        "Correct Yellow, inning 1, now 1, does not count, note b"
    )
    desk.shows_score(6, 0)
    desk.cell("Yellow", 1).click()
    desk.digit(3)
    desk.act("write-correction").click()
    expect(desk.cell("Yellow", 1)).to_contain_text("3")
    desk.is_all_with_the_club()
    assert [row.get("run") for row in ledger.read_innings(Match.objects.get(pk=desk.match))] == [6, 0, 0]


def test_one_wrong_clock_is_one_question(alone: Device, page: Page) -> None:
    page.clock.set_fixed_time(datetime.datetime.now() + datetime.timedelta(days=2))
    desk = alone(distance=(40, 40))
    desk.start("Quendal")
    desk.innings(1, 2)
    expect(desk.slot("flag-count")).to_have_text("3 open flags")
    desk.act("more").click()
    expect(desk.act("settle")).to_have_text("They stand")
    expect(desk.page.locator('[data-act="settle"]')).to_have_count(1)


def test_the_clock_goes_on_while_the_page_is_loaded_again(alone: Device, page: Page) -> None:
    page.clock.install()
    timing = {"shot_seconds": 30, "warning_seconds": 20, "timeouts": 2, "timeout_seconds": 30}
    desk = alone(distance=(40, 40), format={**timing, "timeout_mode": "called"})
    desk.start("Quendal")
    desk.is_all_with_the_club()  # a request that is under way would run out with the clock
    page.clock.pause_at(datetime.datetime.now() + datetime.timedelta(minutes=5))
    desk.act("clock-toggle").click()
    page.clock.run_for(12_000)
    expect(desk.slot("clock-figure")).to_have_text("18")
    desk.is_all_with_the_club()
    desk.open()
    expect(desk.slot("clock-figure")).to_have_text("18")
    page.clock.run_for(3_000)
    expect(desk.slot("clock-figure")).to_have_text("15")


def test_nothing_scrolls_on_a_low_screen_with_a_clock(alone: Device) -> None:
    desk = alone(distance=(40, 40), format={"shot_seconds": 30, "timeouts": 3})
    desk.start("Quendal")
    desk.page.set_viewport_size({"width": 360, "height": 560})
    expect(desk.page.locator('[data-key="0"]')).to_be_in_viewport(ratio=1)
    tall, wide = desk.page.evaluate("[document.body.scrollHeight, document.body.scrollWidth]")
    assert (tall, wide) == (560, 360)
    keys = desk.page.locator(".pad .key").evaluate_all(
        "keys => keys.map((key) => key.getBoundingClientRect().height)"
    )
    assert min(keys) >= 64
