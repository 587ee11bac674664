"""What is refused, each with its code; nothing is written, and every sentence says what to do."""

import pytest

from scoring.rules.match.checks import Refused, check_fresh, is_stale
from scoring.rules.said import Malformed
from tests.scoring.rules.match.desk import FIRST, SECOND, Desk

VOIDED, PLAYED, OVER, SUSPENDED, PLANNED = "voided", "played", "over", "suspended", "planned"
UNKNOWN = "00000000-0000-4000-8000-000000000000"


def desk_in(what):
    desk = Desk(distance=[5, 5], equalizing=False, timeouts=1)
    if what == PLANNED:
        return desk
    desk.open().innings(1, 1)  # 2, 3
    if what == OVER:
        desk.innings(4)
    elif what == SUSPENDED:
        desk.write("suspend")
    elif what == VOIDED:
        desk.write("void", target=3)
    return desk


@pytest.mark.parametrize(
    ("what", "kind", "fields", "code"),
    [
        (PLANNED, "point", {}, "not-open"),
        (PLANNED, "miss", {}, "not-open"),
        (PLANNED, "foul", {}, "not-open"),
        (PLANNED, "inning", {"run": 1}, "not-open"),
        (PLANNED, "timeout", {}, "not-open"),
        (PLANNED, "resume", {}, "not-suspended"),
        (PLANNED, "confirm", {}, "not-over"),
        (PLANNED, "extra", {}, "not-drawn"),
        (
            PLANNED,
            "result",
            {
                "outcome": "played",
                "score": {"white": 1, "yellow": 1},
                "innings": {"white": 1, "yellow": 1},
            },
            "not-open",
        ),
        (PLAYED, "open", {"starter": FIRST}, "already-open"),
        (PLAYED, "resume", {}, "not-suspended"),
        (PLAYED, "confirm", {}, "not-over"),
        (PLAYED, "extra", {}, "not-drawn"),
        (PLAYED, "inning", {"run": 5}, "past-distance"),
        (PLAYED, "inning", {"run": 6, "instead_of": 2}, "past-distance"),
        (PLAYED, "inning", {"run": 6, "before": 2}, "past-distance"),
        (PLAYED, "point", {"by": "yellow"}, "not-on-turn"),
        (PLAYED, "inning", {"run": 1, "by": "yellow"}, "not-on-turn"),
        (PLAYED, "miss", {"instead_of": 2, "by": "yellow"}, "not-on-turn"),
        (PLAYED, "miss", {"instead_of": 2, "before": 3}, "instead-and-before"),
        (PLAYED, "miss", {"instead_of": 9}, "no-target"),
        (PLAYED, "miss", {"before": 9}, "no-target"),
        (PLAYED, "miss", {"instead_of": UNKNOWN}, "no-target"),
        (PLAYED, "miss", {"instead_of": 1}, "no-target"),
        (PLAYED, "miss", {"before": 1}, "not-open"),
        (PLAYED, "void", {"target": 9}, "no-target"),
        (PLAYED, "void", {"target": UNKNOWN}, "no-target"),
        (PLAYED, "annotate", {"target": 9, "family": "bank"}, "no-target"),
        (PLAYED, "annotate", {"target": 1, "family": "bank"}, "no-target"),
        (PLAYED, "annotate", {"target": 2, "family": "bank"}, "no-target"),
        (PLAYED, "dispute", {"target": 9}, "no-target"),
        (PLAYED, "settle", {"target": 9}, "no-target"),
        (PLAYED, "void", {"target": 1}, "void-of-open"),
        (VOIDED, "void", {"target": 4}, "void-of-void"),
        (VOIDED, "void", {"target": 3}, "already-void"),
        (VOIDED, "miss", {"instead_of": 4}, "no-target"),
        (VOIDED, "dispute", {"target": 4}, "no-target"),
        (SUSPENDED, "point", {}, "suspended"),
        (SUSPENDED, "inning", {"run": 0}, "suspended"),
        (SUSPENDED, "timeout", {}, "suspended"),
        (SUSPENDED, "suspend", {}, "already-suspended"),
        (OVER, "point", {}, "over"),
        (OVER, "miss", {"by": "white"}, "over"),
        (OVER, "inning", {"run": 0}, "over"),
        (OVER, "timeout", {}, "over"),
        (OVER, "suspend", {}, "over"),
        (OVER, "resume", {}, "not-suspended"),
        (OVER, "concede", {"player": FIRST}, "over"),
        (OVER, "retire", {"player": FIRST}, "over"),
        (OVER, "open", {"starter": FIRST}, "already-open"),
        (OVER, "extra", {}, "not-drawn"),
    ],
)
def test_refused_with_its_code(what, kind, fields, code):
    desk = desk_in(what)
    before, length = desk.seen, len(desk.entries)
    with pytest.raises(Refused) as refused:
        desk.write(kind, **fields)
    assert refused.value.code == code
    assert str(refused.value).endswith(".")
    assert "%(" not in str(refused.value)
    assert (desk.seen, len(desk.entries)) == (before, length)


def test_surplus_timeout():
    desk = desk_in(PLAYED)
    desk.write("timeout")
    with pytest.raises(Refused) as refused:
        desk.write("timeout")
    assert refused.value.code == "timeouts-used"
    assert str(refused.value) == "White has no time-out left."


def test_inning_amid_an_inning_that_has_strokes():
    desk = desk_in(PLAYED)
    desk.write("point")
    with pytest.raises(Refused) as refused:
        desk.write("inning", run=1)
    assert refused.value.code == "amid-inning"
    desk.write("miss")
    with pytest.raises(Refused) as refused:
        desk.write("inning", run=1, instead_of=5)
    assert refused.value.code == "amid-inning"
    assert desk.write("inning", run=1)["score"]["yellow"] == 2


def test_more_play_while_confirmed():
    desk = desk_in(OVER)
    desk.write("confirm")
    with pytest.raises(Refused) as refused:
        desk.write("point")
    assert refused.value.code == "over"


@pytest.mark.parametrize(
    ("kind", "name"), [("open", "starter"), ("concede", "player"), ("retire", "player"), ("result", "player")]
)
def test_player_of_another_match_is_malformed(kind, name):
    desk = desk_in(PLANNED)
    fields = {"outcome": "walkover"} if kind == "result" else {}
    with pytest.raises(Malformed) as malformed:
        desk.write(kind, **fields | {name: 8})
    assert malformed.value.field == name


@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        ("miss", {}),
        ("miss", {"instead_of": 2}),
        ("miss", {"before": 2, "by": "white"}),
        ("annotate", {"target": 2}),
    ],
)
def test_cue_ball_does_not_meet_itself(kind, fields):
    desk = Desk(distance=[5, 5]).open()
    desk.write("miss")
    desk.write("miss")
    with pytest.raises(Malformed) as malformed:
        desk.write(kind, contacts=[{"ball": "red"}, {"ball": "white"}], **fields)
    assert malformed.value.field == "contacts[1].ball"


def test_wrong_ball_may_meet_the_own_one():
    desk = Desk(distance=[5, 5]).open()
    own = [{"ball": "red"}, {"ball": "white"}]
    state = desk.write("foul", contacts=own, cue_ball="yellow", reason="wrong-ball")
    assert (state["turn"], state["flags"]) == ("yellow", [])
    desk.write("miss", cue_ball="white")
    desk.write("annotate", target=3, contacts=[{"ball": "yellow"}])
    assert desk.rows[1]["details"]["contacts"] == [{"ball": "yellow"}]


# What is not refused


def test_told_and_restored_things_are_always_taken():
    layout = {"white": [1, 1], "yellow": [2, 2], "red": [3, 3]}
    for what in (PLANNED, PLAYED, SUSPENDED, OVER):
        desk = desk_in(what)
        assert desk.write("position", layout=layout)["seq"] == len(desk.entries)
        assert desk.write("clock", seconds=5)["seq"] == len(desk.entries)


def test_match_may_be_suspended_before_it_is_opened():
    desk = desk_in(PLANNED)
    assert desk.write("suspend")["status"] == "suspended"
    desk.write("open", starter=SECOND)
    assert desk.write("resume")["status"] == "playing"


def test_colour_on_turn_may_be_named():
    assert desk_in(PLAYED).write("miss", by="white")["turn"] == "yellow"


# Stale


@pytest.mark.parametrize(
    ("after", "seq", "play_seq", "stale"),
    [(5, 5, 5, False), (4, 5, 5, True), (4, 5, 4, False), (3, 5, 4, True), (6, 5, 5, True), (0, 0, 0, False)],
)
def test_stale_is_what_missed_play_or_is_ahead(after, seq, play_seq, stale):
    assert is_stale(after, seq, play_seq) is stale


LAYOUT = {"white": [1, 1], "yellow": [2, 2], "red": [3, 3]}


@pytest.mark.parametrize(
    ("kind", "fields", "quiet"),
    [
        ("dispute", {"target": 2}, True),
        ("settle", {"target": 2}, True),
        ("annotate", {"target": 4, "family": "bank"}, True),
        ("position", {"layout": LAYOUT}, True),
        ("clock", {"seconds": 3}, True),
        ("void", {"target": 2}, False),
        ("miss", {"instead_of": 2}, False),
        ("timeout", {}, False),
        ("suspend", {}, False),
        ("concede", {"player": FIRST}, False),
        ("point", {}, False),
    ],
)
def test_only_what_changes_play_makes_another_device_stale(kind, fields, quiet):
    desk = desk_in(PLAYED)
    desk.write("miss")
    seen = len(desk.entries)
    desk.write(kind, **fields)
    if quiet:
        check_fresh(seen, desk.state)
        return
    with pytest.raises(Refused) as refused:
        check_fresh(seen, desk.state)
    assert refused.value.code == "stale"


def test_device_ahead_of_the_ledger_is_stale():
    desk = desk_in(PLAYED)
    with pytest.raises(Refused) as refused:
        desk.write("miss", after=4)
    assert refused.value.code == "stale"
