"""A device and the real club agree on a match, whoever wrote it."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page

from scoring import projecting
from scoring.ledger import read_entries, read_innings, read_state
from scoring.models import Match
from tests.browser.test_device_log import Device
from tests.cast import make_match, make_superuser

ROUND = [{"ball": "red"}, {"rail": "left"}, {"rail": "top"}, {"rail": "right"}, {"ball": "yellow"}]
TWO = [{"ball": "red"}, {"rail": "left"}, {"rail": "top"}, {"ball": "white"}]
LAYOUT = {"white": [1, 2], "yellow": [1.5, 2], "red": [2, 6.25]}

Opened = Callable[[Page], Device]


@pytest.fixture
def match(transactional_db: None) -> Match:
    return make_match(distance=(9, 9), format={"timeouts": 1})


@pytest.fixture
def at_table(match: Match, live_server: Any, signed_in: Callable[[Any], None]) -> Opened:
    """Opens the match on a device of its organiser, without the scoring page around it."""
    signed_in(make_superuser())
    setup = projecting.setup_of(match).to_json()

    def opened(page: Page) -> Device:
        form = page.context.request.get(live_server.url + "/password/").text()
        csrf = form.split('name="csrfmiddlewaretoken" value="')[1].split('"')[0]
        return Device(page, f"{live_server.url}/matches/{match.pk}", setup, matchId=match.pk, csrf=csrf)

    return opened


def play(here: Device, match: Match) -> None:
    """Write a match of every kind of entry that a table writes."""
    here.write("open", starter=match.entrant_a_id, decided_by="lag")
    here.write("position", layout=LAYOUT, cue_ball="white")
    here.write("point", contacts=ROUND)
    here.write("miss")
    here.innings(2)
    here.write("timeout")
    here.innings(0)
    here.write("point", contacts=TWO)
    here.write("settle", target=here.reads("state.flags[0].seq"), decision="counted")
    here.write("foul")
    here.write("annotate", target=here.reads("rows.at(-1).uuid"), reason="touched")
    here.innings(1)
    here.does("strikeOutLast()")
    here.does("putBack()")
    here.write("inning", run=2, instead_of=here.reads("rows[3].uuid"), why="two written as none")
    here.write("dispute", target=here.reads("rows[0].uuid"), why="the red moved")
    here.write("suspend")
    here.write("resume", why="light is back")
    here.does("strikeOutLast()")
    here.does("strikeOutLast()")
    here.innings(3)


def as_json(value: Any) -> Any:
    return json.loads(json.dumps(value, default=str))


def agree(here: Device, match: Match) -> None:
    """Assert that the device shows what the club holds, to the last figure."""
    match = Match.objects.get(pk=match.pk)
    assert here.reads("state") == as_json(read_state(match))
    innings = here.reads("innings")
    for inning in innings:
        for row in inning["strokes"]:
            del row["uuid"]
    assert innings == as_json(read_innings(match))
    wrote = [(row.seq, str(row.uuid), row.kind) for row in read_entries(match)]
    assert [(one["seq"], one["uuid"], one["kind"]) for one in here.reads("entries")] == wrote


def test_the_device_shows_what_the_club_holds(
    at_table: Opened, page: Page, match: Match, context: BrowserContext
) -> None:
    here = at_table(page)
    play(here, match)
    assert here.reads("state.status") == "playing"
    here.all_sent()
    assert here.reads("refused") == []
    agree(here, match)
    # Another device has nothing of its own, and reads it all.
    page.evaluate("() => indexedDB.deleteDatabase('cushion-ledger')")
    reader = at_table(context.new_page())
    reader.all_sent()
    agree(reader, match)


def test_a_match_written_without_network_arrives_whole(at_table: Opened, page: Page, match: Match) -> None:
    here = at_table(page)
    here.all_sent()
    page.context.set_offline(True)
    play(here, match)
    seen = here.reads("state")
    page.context.set_offline(False)
    here.all_sent()
    assert here.reads("state") == seen
    agree(here, match)
    offline = [row.offline for row in read_entries(Match.objects.get(pk=match.pk))]
    assert all(offline)


def test_a_pen_writes_after_the_log_in_has_lapsed(at_table: Opened, page: Page, match: Match) -> None:
    here = at_table(page)
    assert here.does("takePen(a)", {"device": "Table 3"}) == {"ok": True}
    page.context.clear_cookies()
    play(here, match)
    here.all_sent()
    agree(here, match)
    assert here.does("givePenBack()") == {"ok": True}
    here.does("look()")
    here.innings(0)
    here.does("look()")
    here.waits_for("desk.trouble !== null")
    assert here.reads("trouble.code") in {"signed-out", "no-right"}
    assert here.saving == "on this device: 1"
