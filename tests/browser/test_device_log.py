"""What is written on a device is kept there first, and reaches the club exactly once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page

from tests.browser.club import Club
from tests.scoring.rules.match.desk import Desk

OPEN = """async (options) => {
    const { MatchDesk } = await import('/static/scoring/js/device/desk.js');
    window.heard = [];
    window.desk = await MatchDesk.open({ matchId: 1, apiUrl: '/api/', csrf: 'x', poll: 0, ...options });
    desk.addEventListener('change', (event) => heard.push(event.detail.why));
    desk.addEventListener('refused', () => heard.push('not accepted'));
}"""


@pytest.fixture
def club() -> Club:
    return Club(Desk(distance=[9, 9], timeouts=2).open())


class Device:
    """A page that writes the match, seen through its desk."""

    def __init__(self, page: Page, address: str, setup: dict[str, Any], **options: Any) -> None:
        self.page, self.address = page, address
        self.options = {"setup": setup, **options}
        self.start()

    def start(self) -> None:
        self.page.goto(self.address + "/")
        self.page.evaluate(OPEN, self.options)

    def does(self, what: str, *given: Any) -> Any:
        return self.page.evaluate(f"([a, b]) => desk.{what}", [*given, None, None][:2])

    def write(self, kind: str, **fields: Any) -> Any:
        return self.does("write(a, b)", kind, fields)

    def innings(self, *runs: int) -> None:
        for run in runs:
            assert "refused" not in self.write("inning", run=run)

    def reads(self, what: str) -> Any:
        return self.page.evaluate(f"() => desk.{what}")

    def waits_for(self, what: str) -> None:
        self.page.wait_for_function(f"() => {what}")

    @property
    def saving(self) -> str:
        return self.reads("saving.words")

    def all_sent(self) -> None:
        self.does("look()")
        self.waits_for("desk.saving.code === 'all'")


@pytest.fixture
def at_table(page: Page, club: Club) -> Callable[..., Device]:
    """Opens the match on a page, by default the first."""

    def opened(on: Page = page, **options: Any) -> Device:
        return Device(on, club.serve(on), club.desk.setup.to_json(), **options)

    return opened


def scores(device: Device) -> dict[str, int]:
    return device.reads("state.score")


def test_an_entry_is_kept_before_the_club_is_asked(at_table: Callable[..., Device], club: Club) -> None:
    here = at_table()
    here.all_sent()
    club.down = True
    written = here.write("inning", run=2)
    assert written["state"]["score"]["white"] == 2
    assert written["row"]["colour"] == "white"
    assert here.saving == "on this device: 1"
    club.down = False
    here.all_sent()
    assert here.saving == "all with the club"
    assert club.kinds() == ["open", "inning"]
    assert here.reads("trouble") is None


def test_the_screen_shows_an_entry_before_anything_is_awaited(at_table: Callable[..., Device]) -> None:
    here = at_table()
    here.all_sent()
    turns = here.page.evaluate(
        "() => { desk.write('inning', {run: 1}); const first = desk.state.turn;"
        " desk.write('inning', {run: 2}); return [first, desk.state.turn, desk.saving.count]; }"
    )
    assert turns == ["yellow", "white", 2]


def test_entries_survive_a_reload_without_network(at_table: Callable[..., Device], club: Club) -> None:
    here = at_table()
    here.all_sent()
    club.down = True
    here.innings(1, 2, 3)
    here.start()
    assert scores(here) == {"white": 4, "yellow": 2}
    assert here.saving == "on this device: 3"
    club.down = False
    here.all_sent()
    assert [entry.run for entry in club.desk.entries[1:]] == [1, 2, 3]


def test_a_lost_answer_writes_nothing_twice(at_table: Callable[..., Device], club: Club) -> None:
    here = at_table()
    here.all_sent()
    club.lose = 1
    here.innings(3)
    here.waits_for("desk.saving.code === 'all'")
    assert club.kinds() == ["open", "inning"]
    assert len(club.lists) == 2
    assert club.lists[0][0]["uuid"] == club.lists[1][0]["uuid"]


def test_after_a_lost_answer_and_a_reload_the_entry_is_known(
    at_table: Callable[..., Device], club: Club
) -> None:
    here = at_table()
    here.all_sent()
    club.lose = 99
    here.innings(3)
    here.waits_for("desk.trouble !== null")
    club.lose = 0
    here.start()
    here.all_sent()
    here.innings(1)
    here.all_sent()
    assert [entry.run for entry in club.desk.entries[1:]] == [3, 1]


def test_what_was_entered_offline_says_so(at_table: Callable[..., Device], club: Club) -> None:
    here = at_table()
    here.all_sent()
    here.innings(1)
    here.all_sent()
    club.down = True
    here.does("look()")
    here.innings(2)
    club.down = False
    here.all_sent()
    assert [one["offline"] for one in (club.lists[0][0], club.lists[-1][0])] == [False, True]


def test_what_the_club_refuses_stays_visible(at_table: Callable[..., Device], club: Club) -> None:
    here = at_table()
    here.all_sent()
    club.refuse = "forbidden"
    here.innings(4)
    here.waits_for("desk.saving.code === 'refused'")
    assert here.saving == "1 not accepted, look"
    assert here.reads("refused[0].reason") == "because: forbidden"
    assert here.reads("refused[0].entry.run") == 4
    assert "not accepted" in here.page.evaluate("() => heard")
    assert scores(here)["white"] == 0
    here.start()
    assert here.saving == "1 not accepted, look"
    here.does("tryAgain()")
    here.all_sent()
    assert club.kinds() == ["open", "inning"]
    assert scores(here)["white"] == 4


def test_what_is_given_up_is_not_sent(at_table: Callable[..., Device], club: Club) -> None:
    here = at_table()
    here.all_sent()
    club.refuse = "forbidden"
    here.innings(4)
    here.waits_for("desk.saving.code === 'refused'")
    here.does("drop()")
    assert here.saving == "all with the club"
    here.innings(1)
    here.all_sent()
    assert [entry.run for entry in club.desk.entries[1:]] == [1]


def test_what_follows_a_refused_entry_is_refused_with_it(at_table: Callable[..., Device], club: Club) -> None:
    here = at_table()
    here.all_sent()
    club.down = True
    here.innings(1, 2)
    club.down, club.refuse = False, "forbidden"
    here.does("look()")
    here.waits_for("desk.refused.length > 0")
    assert [one["code"] for one in here.reads("refused")] == ["forbidden", "follows-refused"]
    here.does("tryAgain()")
    here.all_sent()
    assert [entry.run for entry in club.desk.entries[1:]] == [1, 2]


def test_an_organisers_correction_meanwhile_is_read_and_play_goes_on(
    at_table: Callable[..., Device], club: Club
) -> None:
    here = at_table()
    here.all_sent()
    here.innings(1, 2)
    here.all_sent()
    club.down = True
    here.innings(3)
    club.desk.write("inning", run=5, instead_of=2, why="miscounted")
    club.down = False
    here.all_sent()
    assert [entry.run for entry in club.desk.entries[1:]] == [1, 2, 5, 3]
    assert scores(here) == {"white": 8, "yellow": 2}


def test_play_on_another_device_meanwhile_is_a_question(at_table: Callable[..., Device], club: Club) -> None:
    here = at_table()
    here.all_sent()
    club.down = True
    here.innings(3, 1)
    club.desk.innings(3)
    club.down = False
    here.does("look()")
    here.waits_for("desk.refused.length > 0")
    assert [one["code"] for one in here.reads("refused")] == ["stale", "stale"]
    assert club.kinds() == ["open", "inning"]
    assert scores(here) == {"white": 3, "yellow": 0}
    # The first is what the other device wrote; it no longer fits, and the second is given another go.
    uuids = [one["uuid"] for one in here.reads("refused")]
    here.does("tryAgain(a)", uuids[0])
    assert {one["uuid"]: one["code"] for one in here.reads("refused")} == {
        uuids[0]: "not-on-turn",
        uuids[1]: "stale",
    }
    here.does("drop(a)", uuids[0])
    here.does("tryAgain(a)", uuids[1])
    here.all_sent()
    assert scores(here) == {"white": 3, "yellow": 1}


def test_a_club_that_lost_entries_gets_them_again(at_table: Callable[..., Device], club: Club) -> None:
    here = at_table()
    here.all_sent()
    here.innings(1, 2, 3)
    here.all_sent()
    club.forget(2)
    here.all_sent()
    here.waits_for("desk.saving.code === 'all'")
    assert [entry.run for entry in club.desk.entries[1:]] == [1, 2, 3]
    assert scores(here) == {"white": 4, "yellow": 2}


def test_what_the_club_stamps_is_read_back(at_table: Callable[..., Device], club: Club) -> None:
    here = at_table()
    here.all_sent()
    club.misdates = True
    here.innings(1)
    here.all_sent()
    assert [flag["code"] for flag in here.reads("state.flags")] == ["clock"]


def test_a_refused_entry_is_not_written_anywhere(at_table: Callable[..., Device], club: Club) -> None:
    here = at_table()
    here.all_sent()
    assert here.write("inning", run=10)["refused"] == {
        "code": "past-distance",
        "reason": "White has 9 to go. Write at most that.",
    }
    assert here.write("inning", run="2")["refused"]["field"] == "run"
    assert here.write("inning", run=1, by="yellow")["refused"]["code"] == "not-on-turn"
    assert here.saving == "all with the club"
    assert club.lists == []


def heard(here: Device, club: Club, number: int) -> list[str]:
    """Wait until the device has asked so often again; return what it asked."""
    before = len(club.calls)
    for _ in range(600):
        if len(club.calls) >= before + number:
            return club.calls[before:]
        here.page.wait_for_timeout(50)
    raise AssertionError(f"only {club.calls[before:]} in half a minute")


def test_a_reading_device_follows(at_table: Callable[..., Device], club: Club) -> None:
    here = at_table(reading=True, poll=100)
    here.all_sent()
    club.desk.innings(1, 2, 3, 0, 2)  # more than one page of entries
    here.waits_for("desk.state.score.white === 6")
    assert here.reads("innings.length") == 5
    assert here.write("inning", run=1)["refused"]["code"] == "reading"
    assert set(heard(here, club, 3)) == {"GET "}


def test_a_database_that_was_shut_is_opened_again(at_table: Callable[..., Device], club: Club) -> None:
    here = at_table()
    here.all_sent()
    club.down = True
    here.innings(1)
    here.page.evaluate(
        "() => new Promise((done) => { indexedDB.deleteDatabase('cushion-ledger').onsuccess = done; })"
        ".then(() => null)"
    )
    here.innings(2)
    here.start()
    assert scores(here) == {"white": 1, "yellow": 2}
    assert here.saving == "on this device: 2"


def test_nothing_is_told_twice(at_table: Callable[..., Device], club: Club) -> None:
    here = at_table(poll=50)
    here.all_sent()
    told = here.page.evaluate("() => heard.length")
    assert set(heard(here, club, 5)) == {"GET "}
    assert here.page.evaluate("() => heard.length") == told


def test_the_device_may_not_have_a_database(at_table: Callable[..., Device], club: Club) -> None:
    here = at_table(kinds=["localstorage"])
    here.all_sent()
    club.down = True
    here.innings(1, 2)
    here.start()
    assert scores(here) == {"white": 1, "yellow": 2}
    assert here.reads("trouble.code") == "offline"


def test_a_device_that_keeps_nothing_says_so(at_table: Callable[..., Device], club: Club) -> None:
    here = at_table(kinds=[])
    here.all_sent()
    assert here.reads("trouble") is None
    club.down = True
    here.innings(1)
    assert here.reads("trouble.code") == "no-storage"
    club.down = False
    here.all_sent()
    assert here.reads("trouble") is None


def test_two_pages_of_one_device_write_one_log(
    at_table: Callable[..., Device], club: Club, context: BrowserContext
) -> None:
    one = at_table()
    one.all_sent()
    two = at_table(context.new_page())
    two.all_sent()
    club.down = True
    one.innings(1)
    two.waits_for("desk.state.score.white === 1")
    two.innings(2)
    one.waits_for("desk.state.score.yellow === 2")
    club.down = False
    one.all_sent()
    two.all_sent()
    assert [entry.run for entry in club.desk.entries[1:]] == [1, 2]


def test_uuids_are_made_on_plain_http_too(at_table: Callable[..., Device]) -> None:
    here = at_table()
    made = here.page.evaluate(
        "async () => { const { newUuid } = await import('/static/scoring/js/device/uuid.js');"
        " const plain = { getRandomValues: (into) => crypto.getRandomValues(into) };"
        " return [newUuid(plain), newUuid(plain), newUuid()]; }"
    )
    pattern = r"^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$"
    assert len(set(made)) == 3
    for one in made:
        assert here.page.evaluate(f"(uuid) => /{pattern}/.test(uuid)", one)
