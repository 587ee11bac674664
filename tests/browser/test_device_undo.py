"""Striking out the last, putting it back, previews, and the pen, as a page uses them."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from tests.browser.club import Club
from tests.browser.test_device_log import Device
from tests.scoring.rules.match.desk import Desk


@pytest.fixture
def club() -> Club:
    return Club(Desk(distance=[9, 9], timeouts=2).open())


@pytest.fixture
def here(page: Page, club: Club) -> Device:
    device = Device(page, club.serve(page), club.desk.setup.to_json())
    device.all_sent()
    return device


def runs(device: Device) -> list[int]:
    return [row["run"] for row in device.reads("rows")]


def test_the_last_is_struck_out_without_limit_and_put_back(here: Device, club: Club) -> None:
    here.innings(1, 2)
    here.write("timeout")
    here.innings(3)
    for left in ([1, 2], [1, 2], [1], []):
        assert "refused" not in here.does("strikeOutLast()")
        assert runs(here) == left
    assert here.does("strikeOutLast()")["refused"]["code"] == "nothing"
    for back in ([1], [1, 2], [1, 2], [1, 2, 3]):
        assert "refused" not in here.does("putBack()")
        assert runs(here) == back
    assert here.does("putBack()")["refused"]["code"] == "nothing"
    assert here.reads("state.timeouts.white") == 1
    here.all_sent()
    assert club.desk.seen["score"] == here.reads("state.score")
    assert club.desk.seen["flags"] == []


def test_a_correction_comes_off_first(here: Device) -> None:
    here.innings(1, 2, 3)
    first = here.reads("rows[0].uuid")
    here.write("inning", run=4, instead_of=first, why="miscounted")
    assert runs(here) == [4, 2, 3]
    assert here.reads("struck") == [
        {
            "place": 2, "seq": 2, "uuid": first, "kind": "inning", "run": 1, "colour": "white",
            "why": "miscounted", "by_seq": 5,
        }
    ]  # fmt: skip
    assert here.does("strikeOutLast()")["struck"]["run"] == 4
    assert runs(here) == [1, 2, 3]
    here.does("putBack()")
    assert runs(here) == [4, 2, 3]
    here.does("strikeOutLast()")
    here.does("strikeOutLast()")
    assert runs(here) == [1, 2]


def test_nothing_is_put_back_after_something_else_was_written(here: Device) -> None:
    here.innings(1)
    struck = here.does("strikeOutLast()")["struck"]
    assert here.reads("lastStruck.uuid") == struck["uuid"]
    here.start()
    assert here.reads("lastStruck.uuid") == struck["uuid"]
    here.innings(2)
    assert here.reads("lastStruck") is None
    assert here.does("putBack()")["refused"]["code"] == "nothing"


def test_a_correction_is_previewed_with_the_renumbering_it_needs(here: Device) -> None:
    here.innings(1, 2, 3)
    seen = here.does("preview(a, b)", "void", {"target": here.reads("rows[1].uuid")})
    assert "Total of Yellow: 2 becomes 0." in seen["changes"]
    assert "Entries that would stand out of turn: 1." in seen["changes"]
    assert seen["renumber"] == [
        ["inning", {"instead_of": here.reads("rows[2].uuid"), "by": "yellow", "run": 3}]
    ]
    assert runs(here) == [1, 2, 3]
    here.write("void", target=here.reads("rows[1].uuid"))
    assert here.does("writeMany(a)", seen["renumber"])["written"] == 1
    assert here.reads("state.flags") == []
    assert here.reads("state.score") == {"white": 1, "yellow": 3}


def test_the_pen_is_taken_kept_and_given_back(here: Device, club: Club) -> None:
    assert here.does("takePen(a)", {"device": "Tablet"}) == {"ok": True}
    assert here.reads("pen") == {"mine": True, "elsewhere": False}
    here.start()
    assert here.reads("pen.mine")
    here.innings(1)
    here.all_sent()
    here.does("givePenBack()")
    assert club.pen is None
    assert here.reads("pen") == {"mine": False, "elsewhere": False}


def test_a_pen_elsewhere_is_asked_for_and_taken_over(here: Device, club: Club) -> None:
    club.pen = "somebody's"
    answer = here.does("takePen(a)", {"device": "Tablet"})
    assert answer["refused"] == {"code": "pen-elsewhere", "reason": "Table 3 holds the pen."}
    assert here.reads("trouble.code") == "pen-elsewhere"
    assert here.write("inning", run=1)["refused"]["code"] == "pen-elsewhere"
    assert here.does("takePen(a)", {"device": "Tablet", "takeOver": True}) == {"ok": True}
    here.innings(1)
    here.all_sent()
    assert club.kinds() == ["open", "inning"]


def test_what_was_written_before_the_pen_was_lost_stays_on_the_device(here: Device, club: Club) -> None:
    here.does("takePen(a)", {"device": "Tablet"})
    club.down = True
    here.innings(1, 2)
    club.down, club.pen = False, "somebody's"
    here.does("look()")
    here.waits_for("desk.pen.elsewhere")
    assert here.saving == "on this device: 2"
    assert here.reads("pen") == {"mine": False, "elsewhere": True}
    assert len(club.lists) == 1
    here.does("look()")
    assert len(club.lists) == 1  # nothing is sent while another device writes
    club.pen = None
    here.all_sent()
    assert club.kinds() == ["open", "inning", "inning"]
