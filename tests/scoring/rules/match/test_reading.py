"""Shapes of entries: what is read, and what is malformed and where."""

import pytest

from scoring.rules.match.entry import KINDS, read_entry
from scoring.rules.said import Malformed

NAN, INFINITE, HUGE = float("nan"), float("inf"), 10**400
LAYOUT = {"white": [1.5, 2], "yellow": [2, 2], "red": [2, 6]}
LINE = {"direction": 80, "speed": 3.5, "side": 0.25, "height": -0.1}
UUID = "0b1c2d3e-4f50-4617-8293-a4b5c6d7e8f9"
TOTALS = {"white": 9, "yellow": 7}

SMALLEST = {
    "open": {"starter": 7},
    "inning": {"run": 0},
    "clock": {"seconds": 0},
    "position": {"layout": LAYOUT},
    "annotate": {"target": 1, "family": "bank"},
    "void": {"target": 1},
    "dispute": {"target": 1},
    "settle": {"target": 1},
    "concede": {"player": 7},
    "retire": {"player": 7},
    "result": {"outcome": "annulled"},
}


def malformed_in(kind, **fields):
    with pytest.raises(Malformed) as malformed:
        read_entry({"kind": kind} | SMALLEST.get(kind, {}) | fields)
    assert str(malformed.value.reason)
    return malformed.value.field


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_in_its_smallest_shape(kind):
    entry = read_entry({"kind": kind} | SMALLEST.get(kind, {}))
    assert (entry.kind, dict(entry.fields)) == (kind, SMALLEST.get(kind, {}))
    assert (entry.by, entry.codes, entry.seq) == (None, None, 0)


@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        ("open", {"starter": 7, "decided_by": "home"}),
        (
            "point",
            {
                "contacts": [{"ball": "red"}, {"rail": "left"}, {"ball": "yellow", "tie": True}],
                "family": "bank",
                "layout": LAYOUT,
                "cue_ball": "white",
                "line": LINE,
                "clock": 12.5,
                "opening": False,
                "by": "white",
            },
        ),
        ("foul", {"reason": "touched", "instead_of": 3, "why": "seen later"}),
        ("inning", {"run": 1000, "before": UUID, "by": "yellow"}),
        ("position", {"layout": LAYOUT, "cue_ball": "yellow", "line": LINE}),
        ("annotate", {"target": UUID, "layout": LAYOUT, "reason": "other"}),
        ("suspend", {"layout": LAYOUT, "why": "power cut"}),
        ("resume", {"table": 3}),
        ("settle", {"target": 2, "decision": "counted"}),
        ("extra", {"starter": 9}),
        (
            "result",
            {
                "outcome": "played",
                "player": 9,
                "score": TOTALS,
                "innings": TOTALS,
                "high_run": TOTALS,
                "source": "paper sheet 12",
            },
        ),
        ("confirm", {"by": "Referee, table 2\nand both players"}),
    ],
)
def test_each_field_is_kept_as_sent(kind, fields):
    assert dict(read_entry({"kind": kind} | fields).fields) == fields


def test_null_is_as_good_as_left_out():
    assert dict(read_entry({"kind": "foul", "reason": None, "instead_of": None}).fields) == {}
    assert malformed_in("inning", run=None) == "run"


def test_free_text_of_a_confirmation_is_no_colour():
    assert read_entry({"kind": "confirm", "by": "white"}).by is None
    assert read_entry({"kind": "miss", "by": "white"}).by == "white"


@pytest.mark.parametrize("kind", ["", "Point", "points", None, 1, True, [], {}, "ｐoint"])
def test_unknown_kind(kind):
    with pytest.raises(Malformed) as malformed:
        read_entry({"kind": kind})
    assert malformed.value.field == "kind"


@pytest.mark.parametrize("kind", [kind for kind in SMALLEST if kind != "annotate"])
def test_required_field_left_out(kind):
    for name in SMALLEST[kind]:
        with pytest.raises(Malformed) as malformed:
            read_entry({"kind": kind} | {k: v for k, v in SMALLEST[kind].items() if k != name})
        assert malformed.value.field == name


@pytest.mark.parametrize("kind", KINDS)
def test_unknown_field_of_each_kind(kind):
    assert malformed_in(kind, colour="white") == "colour"


def test_fields_of_other_kinds_are_unknown():
    assert malformed_in("point", run=1) == "run"
    assert malformed_in("miss", reason="touched") == "reason"
    assert malformed_in("timeout", by="white") == "by"
    assert malformed_in("inning", contacts=[]) == "contacts"


@pytest.mark.parametrize("name", ["", "a" * 41, "line\nfeed", "\ud800", "\x00", "zero\u200bwidth"])
def test_unknown_field_that_no_answer_can_carry(name):
    assert malformed_in("miss", **{name: 1}) == "?"


@pytest.mark.parametrize("value", [-1, 1001, HUGE, -HUGE, 1.0, NAN, INFINITE, True, False, "1", [], {}])
def test_run_is_a_whole_number_from_0_to_1000(value):
    assert malformed_in("inning", run=value) == "run"


@pytest.mark.parametrize("value", [0, -7, 2**53, HUGE, 7.0, NAN, True, "7", [7]])
def test_player_and_table_are_ids(value):
    assert malformed_in("open", starter=value) == "starter"
    assert malformed_in("retire", player=value) == "player"
    assert malformed_in("resume", table=value) == "table"
    assert malformed_in("extra", starter=value) == "starter"


@pytest.mark.parametrize(
    "value", [0, -1, 2**53, HUGE, 1.0, True, "1", "", UUID[:-1], UUID + "0", UUID + "\n", []]
)
def test_reference_is_a_seq_or_a_uuid(value):
    assert malformed_in("void", target=value) == "target"
    assert malformed_in("miss", instead_of=value) == "instead_of"
    assert malformed_in("miss", before=value) == "before"


def test_reference_by_uuid_in_capitals_is_the_same():
    assert read_entry({"kind": "void", "target": UUID.upper()}).get("target") == UUID


@pytest.mark.parametrize("value", [-0.5, 3600.5, HUGE, NAN, INFINITE, True, "5", None])
def test_seconds_are_a_number_up_to_an_hour(value):
    assert malformed_in("clock", seconds=value) == "seconds"
    if value is not None:
        assert malformed_in("miss", clock=value) == "clock"


@pytest.mark.parametrize("value", ["LAG", "", "coin", 1, True, [], {}])
def test_choices(value):
    assert malformed_in("open", decided_by=value) == "decided_by"
    assert malformed_in("foul", reason=value) == "reason"
    assert malformed_in("point", family=value) == "family"
    assert malformed_in("point", cue_ball=value) == "cue_ball"
    assert malformed_in("point", by=value) == "by"
    assert malformed_in("result", outcome=value) == "outcome"


@pytest.mark.parametrize("value", [0, 1, "true", [], {}])
def test_opening_is_true_or_false(value):
    assert malformed_in("point", opening=value) == "opening"


@pytest.mark.parametrize(
    ("value", "where"),
    [
        ("red", "contacts"),
        ({"ball": "red"}, "contacts"),
        (7, "contacts"),
        ([{"ball": "red"}] * 201, "contacts"),
        ([{"rail": "left"}] * 10_000, "contacts"),
        (["red"], "contacts[0]"),
        ([None], "contacts[0]"),
        ([{}], "contacts[0]"),
        ([{"ball": "red"}, {"ball": "red", "rail": "left"}], "contacts[1]"),
        ([{"ball": "blue"}], "contacts[0].ball"),
        ([{"ball": ["red"]}], "contacts[0].ball"),
        ([{"rail": "middle"}], "contacts[0].rail"),
        ([{"ball": "red"}, {"rail": "left", "tie": 1}], "contacts[1].tie"),
        ([{"ball": "red", "tie": True}], "contacts[0].tie"),
        ([{"ball": "red", "speed": 3}], "contacts[0]"),
    ],
)
def test_contacts(value, where):
    assert malformed_in("point", contacts=value) == where
    assert malformed_in("annotate", contacts=value) == where


def test_200_contacts_are_read():
    assert len(read_entry({"kind": "miss", "contacts": [{"rail": "left"}] * 200}).get("contacts")) == 200


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"white": [4.1, 2]}, "layout.white[0]"),
        ({"white": [-0.1, 2]}, "layout.white[0]"),
        ({"white": [2, 8.1]}, "layout.white[1]"),
        ({"red": [NAN, 2]}, "layout.red[0]"),
        ({"red": [2, INFINITE]}, "layout.red[1]"),
        ({"red": [HUGE, 2]}, "layout.red[0]"),
        ({"red": [True, 2]}, "layout.red[0]"),
        ({"red": ["1", 2]}, "layout.red[0]"),
        ({"yellow": [1]}, "layout.yellow"),
        ({"yellow": [1, 2, 3]}, "layout.yellow"),
        ({"yellow": None}, "layout.yellow"),
        ({"blue": [1, 2]}, "layout"),
    ],
)
def test_layout(change, where):
    assert malformed_in("position", layout=LAYOUT | change) == where
    assert malformed_in("miss", layout=LAYOUT | change) == where


@pytest.mark.parametrize("value", [[], "middle", {}, {"white": [1, 2]}, 3])
def test_layout_names_all_three_balls(value):
    assert malformed_in("position", layout=value) == "layout"


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"direction": 361}, "line.direction"),
        ({"direction": NAN}, "line.direction"),
        ({"speed": 12.1}, "line.speed"),
        ({"speed": -1}, "line.speed"),
        ({"side": 0.51}, "line.side"),
        ({"height": -0.51}, "line.height"),
        ({"height": HUGE}, "line.height"),
        ({"spin": 1}, "line"),
    ],
)
def test_line(change, where):
    assert malformed_in("position", line=LINE | change) == where


@pytest.mark.parametrize(
    "value", ["\x00", "\x07bell", "\x1b[31m", "a\x7f", "\ud800", "x" * 501, 7, True, [], {}, b"bytes"]
)
def test_text_without_control_characters_up_to_500(value):
    assert malformed_in("void", why=value) == "why"
    assert malformed_in("settle", decision=value) == "decision"
    assert malformed_in("confirm", by=value) == "by"


@pytest.mark.parametrize(
    "value",
    ["", "x" * 500, "a\tb\nc", "\N{PILE OF POO}" * 500, "e\u0301\u0323", "\u202eright to left", "名前"],
)
def test_text_of_any_script_is_kept_as_it_is(value):
    assert read_entry({"kind": "void", "target": 1, "why": value}).get("why") == value


@pytest.mark.parametrize(
    ("fields", "where"),
    [
        ({"outcome": "walkover"}, "player"),
        ({"outcome": "award"}, "player"),
        ({"outcome": "disqualified"}, "player"),
        ({"outcome": "played"}, "score"),
        ({"outcome": "played", "innings": TOTALS}, "score"),
        ({"outcome": "played", "score": TOTALS}, "innings"),
        ({"outcome": "walkover", "player": 7, "score": TOTALS}, "score"),
        ({"outcome": "annulled", "high_run": TOTALS}, "high_run"),
        ({"outcome": "played", "score": {"white": 1}, "innings": TOTALS}, "score"),
        ({"outcome": "played", "score": [9, 7], "innings": TOTALS}, "score"),
        ({"outcome": "played", "score": {"white": -1, "yellow": 1}, "innings": TOTALS}, "score.white"),
        ({"outcome": "played", "score": {"white": True, "yellow": 1}, "innings": TOTALS}, "score.white"),
        ({"outcome": "played", "score": TOTALS, "innings": {"white": 1, "yellow": HUGE}}, "innings.yellow"),
    ],
)
def test_results(fields, where):
    assert malformed_in("result", **fields) == where


def test_annotation_adds_something():
    with pytest.raises(Malformed) as malformed:
        read_entry({"kind": "annotate", "target": 1, "family": None})
    assert malformed.value.field == "annotate"


def test_entry_is_read_back_from_its_flat_form():
    entry = read_entry({"kind": "foul", "reason": "time", "by": "white", "instead_of": 4, "why": "seen"})
    flat = entry.to_json()
    again = read_entry({name: value for name, value in flat.items() if name not in ("seq", "uuid")})
    assert again == entry
