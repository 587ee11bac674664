"""What holds for every sequence of entries, whatever a hand at the table writes."""

import copy
import json
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from scoring.rules.match.book import Book
from scoring.rules.match.checks import Refused, prepare
from scoring.rules.match.colours import COLOURS
from scoring.rules.match.entry import KINDS, RUNS, read_entry
from scoring.rules.match.play import append, fold, fold_rows, step
from scoring.rules.match.shown import shown
from scoring.rules.match.state import start
from scoring.rules.said import Malformed
from tests.scoring.rules.match.desk import FIRST, SECOND, Desk, setup_of

GOOD = [{"ball": "red"}, {"rail": "left"}, {"rail": "top"}, {"rail": "right"}]
LAYOUT = {"white": [1.5, 2], "yellow": [2, 2], "red": [2, 6]}
WALKED = ("off-turn", "after-end", "past-distance")
STAMPS = ("seq", "play_seq", "confirm_seq", "reopen_seq", "opened_seq", "ended_seq")

settings_of = st.fixed_dictionaries(
    {
        "discipline": st.sampled_from(["straight-rail", "one-cushion", "three-cushion"]),
        "distance": st.sampled_from([[5, 5], [3, 6], [8, 4], [1, 2]]),
        "equalizing": st.booleans(),
        "equalizing_from": st.sampled_from(["opening", "as-they-lie"]),
        "innings_limit": st.sampled_from([None, None, 1, 3]),
        "sets_to_win": st.sampled_from([None, None, 1, 2]),
        "timeouts": st.sampled_from([None, 1, 3]),
    }
) | st.fixed_dictionaries(
    {
        "discipline": st.just("three-cushion"),
        "distance": st.sampled_from([[None, None], [None, 5], [40, 40]]),
        "equalizing": st.booleans(),
        "innings_limit": st.sampled_from([None, 2, 4]),
    }
)

PLAY = ("inning", "inning", "point", "point", "miss", "foul", "position", "timeout", "clock")
ENDS = ("suspend", "resume", "extra", "concede", "retire", "result", "confirm")
CORRECTIONS = ("void", "instead_of", "instead_of", "before", "before")
REMARKS = ("annotate", "dispute", "settle", "settle")


def moves(*kinds):
    number = st.integers(0, 60)
    return st.lists(st.tuples(st.sampled_from(kinds), number, number, number), min_size=4, max_size=30)


CORRECTED = moves(*PLAY, *PLAY, *ENDS, *CORRECTIONS)
# Most matches are opened before anything else is tried.
OPENED = st.sampled_from([True, True, True, False])
EVERYTHING = moves(*PLAY, *PLAY, *ENDS, *CORRECTIONS, *REMARKS)


def play_of(kind, a, b):
    """Return the fields of a stroke or an inning."""
    if kind == "inning":
        return {"run": a % 4}
    fields = {}
    if a % 2 == 0:
        fields["contacts"] = GOOD[: 1 + b % 4] + [{"ball": ("white", "yellow")[b % 2]}]
    if a % 4 == 1:
        fields["layout"] = LAYOUT
    if kind == "foul" and b % 2:
        fields["reason"] = ("time", "outside", "touched")[a % 3]
    return fields


def entry_of(kind, a, b, c, length):
    """Return kind and fields of an entry in a ledger of `length` entries."""
    target = 1 + c % (length + 1)
    if kind in CORRECTIONS and kind != "void":
        what = ("point", "miss", "foul", "inning", "inning")[a % 5]
        return what, play_of(what, b, a) | {kind: target} | ({"by": COLOURS[b % 2]} if b % 3 == 0 else {})
    if kind in RUNS:
        return kind, play_of(kind, a, b)
    player = (FIRST, SECOND)[a % 2]
    totals = {"white": a % 5, "yellow": b % 5}
    return kind, {
        "void": {"target": target},
        "dispute": {"target": target},
        "settle": {"target": target},
        "annotate": {"target": target, "contacts": [*GOOD, {"ball": COLOURS[a % 2]}]}
        | ({"reason": "time"} if b % 2 else {}),
        "position": {"layout": LAYOUT},
        "clock": {"seconds": a},
        "resume": {"table": 1 + a} if b % 2 else {},
        "extra": {"starter": player} if b % 2 else {},
        "concede": {"player": player},
        "retire": {"player": player},
        "result": {"outcome": "played", "score": totals, "innings": {"white": 3, "yellow": 3}}
        if b % 3 == 0
        else {"outcome": ("walkover", "annulled", "award")[a % 3], "player": player},
    }.get(kind, {})


def attempt(desk, kind, **fields):
    """Write where it is allowed; tell whether it was."""
    try:
        desk.write(kind, **fields)
    except (Refused, Malformed):
        return False
    return True


def played(chosen, written, *, opened=True):
    desk = Desk(**chosen)
    if opened:
        desk.open()
    for kind, a, b, c in written:
        what, fields = entry_of(kind, a, b, c, len(desk.entries))
        attempt(desk, what, **fields)
    return desk


def without_seqs(state):
    """Return a state without what follows from the order of writing."""
    bare = {name: value for name, value in state.items() if name not in STAMPS}
    for name in ("flags", "settled"):
        bare[name] = [
            {part: value for part, value in flag.items() if part not in ("seq", "settled_by")}
            for flag in state[name]
        ]
    return bare


def unnumbered(rows):
    return [{name: value for name, value in row.items() if name != "seq"} for row in rows]


def assert_same_match(desk, before):
    state, rows = before
    after, later = fold_rows(desk.setup, Book(desk.entries))
    assert without_seqs(after) == without_seqs(state)
    assert unnumbered(later) == unnumbered(rows)


def runs_of(rows, colour):
    runs = {}
    for row in rows:
        if row["counts"] and not row["extra"] and row["colour"] == colour:
            key = (row["set"], row["inning"])
            runs[key] = runs.get(key, 0) + row["run"]
    return runs


def totals_stand(desk):
    return any(
        one.entry.kind == "result" and one.entry.get("outcome") == "played"
        for one in Book(desk.entries).standing()
    )


@given(settings_of, EVERYTHING, OPENED)
@settings(max_examples=150)
def test_figures_follow_from_the_rows(chosen, written, opened):
    desk = played(chosen, written, opened=opened)
    assume(not totals_stand(desk))
    state, rows = fold_rows(desk.setup, Book(desk.entries))
    for colour in COLOURS:
        runs = runs_of(rows, colour)
        assert state["points"][colour] == sum(runs.values())
        assert state["high_run"][colour] == max(runs.values(), default=0)
        assert [inning for _, inning in runs] == list(range(1, state["innings"][colour] + 1))
        in_set = [run for (number, _), run in runs.items() if number == state["set"]]
        assert state["score"][colour] == sum(in_set)
        assert state["set_innings"][colour] == len(in_set)
        distance = desk.setup.distance(state["players"], colour)
        assert distance is None or state["score"][colour] <= distance
    assert [row["order"] for row in rows] == list(range(1, len(rows) + 1))


@given(settings_of, EVERYTHING)
@settings(max_examples=150)
def test_without_questions_turns_alternate_and_nothing_counts_after_the_end(chosen, written):
    desk = played(chosen, written)
    book = Book(desk.entries)
    state = start(desk.setup)
    for standing in book.standing():
        over = state["over"]
        state, row = step(desk.setup, state, standing)
        assert not (over and row is not None and row["counts"])
    walked = [flag["code"] for flag in state["flags"] + state["settled"] if flag["code"] in WALKED]
    rows = fold_rows(desk.setup, book)[1]
    assert (
        bool(walked) == any(not row["counts"] or "off-turn" in row["codes"] for row in rows)
        or state["settled"]
    )
    if walked or totals_stand(desk):
        return
    assert all(row["counts"] for row in rows)
    for number in range(1, state["set"] + 1):
        innings = {c: sum(1 for key in runs_of(rows, c) if key[0] == number) for c in COLOURS}
        assert abs(innings["white"] - innings["yellow"]) <= 1
    for one, following in pairwise(row for row in rows if not row["extra"]):
        if (one["set"], one["inning"], one["colour"]) != (
            following["set"],
            following["inning"],
            following["colour"],
        ):
            assert one["colour"] != following["colour"] or one["set"] != following["set"]


@given(settings_of, EVERYTHING, OPENED)
@settings(max_examples=200)
def test_an_entry_at_the_end_equals_a_whole_fold_and_changes_no_input(chosen, written, opened):
    desk = Desk(**chosen)
    rows = []
    if opened:
        desk.open()
    for kind, a, b, c in written:
        what, fields = entry_of(kind, a, b, c, len(desk.entries))
        state, kept = desk.state, copy.deepcopy(desk.state)
        entry = replace(read_entry({"kind": what} | fields), seq=len(desk.entries) + 1)
        try:
            ready = prepare(desk.setup, state, entry, Book(desk.entries))
        except (Refused, Malformed):
            assert state == kept
            continue
        desk.entries.append(ready)
        if ready.refolds:
            desk.state, rows = fold_rows(desk.setup, Book(desk.entries))
        else:
            desk.state, row = append(desk.setup, state, ready)
            rows = rows if row is None else [*rows, row]
        assert state == kept
        assert (desk.state, rows) == fold_rows(desk.setup, Book(desk.entries))
    assert fold(desk.setup, Book(desk.entries)) == desk.state


@given(settings_of, EVERYTHING)
@settings(max_examples=100)
def test_state_rows_and_entries_are_plain_json(chosen, written):
    desk = played(chosen, written)
    state, rows = fold_rows(desk.setup, Book(desk.entries))
    for value in (state, rows, shown(desk.setup, state), desk.setup.to_json()):
        assert json.loads(json.dumps(value)) == value
    sent = [json.loads(json.dumps(entry.to_json())) for entry in desk.entries]
    assert [one["seq"] for one in sent] == list(range(1, len(sent) + 1))


@given(settings_of, CORRECTED, st.integers(0, 60), st.integers(0, 60), st.integers(0, 60))
@settings(max_examples=200)
def test_a_correction_in_place_equals_the_match_replayed_with_it(chosen, written, a, b, c):
    desk = played(chosen, written)
    places = [place for place in Book(desk.entries).order if place.holder and place.holder.kind in RUNS]
    assume(places)
    place = places[c % len(places)]
    kind = ("point", "miss", "foul", "inning")[a % 4]
    told = desk.entries[:]
    assume(attempt(desk, kind, instead_of=place.holder.seq, **play_of(kind, a, b)))
    corrected = desk.entries[-1]
    # The same ledger, with the correction's words where its predecessor's stood.
    where = ("instead_of", "before")
    fields = {name: value for name, value in place.holder.fields.items() if name in where}
    fields |= {name: value for name, value in corrected.fields.items() if name not in where}
    replayed = [
        replace(one, kind=corrected.kind, by=corrected.by, fields=fields)
        if one.seq == place.holder.seq
        else one
        for one in told
    ]
    assert_same_match(desk, fold_rows(desk.setup, Book(replayed)))


@given(settings_of, EVERYTHING, st.integers(0, 60))
@settings(max_examples=200)
def test_struck_out_and_written_again_in_place_equals_never_struck_out(chosen, written, c):
    desk = played(chosen, written)
    places = [place for place in Book(desk.entries).order if place.holder and place.holder.kind in RUNS]
    assume(places)
    holder = places[c % len(places)].holder
    before = fold_rows(desk.setup, Book(desk.entries))
    desk.write("void", target=holder.seq)
    fields = {
        name: value for name, value in holder.fields.items() if name not in ("instead_of", "before", "by")
    }
    # A run that stands past the distance, or amid an inning, is not accepted a second time.
    assume(attempt(desk, holder.kind, instead_of=holder.seq, **fields))
    assume(desk.entries[-1].by == holder.by)
    assert_same_match(desk, before)


@given(settings_of, EVERYTHING, st.integers(0, 60), st.integers(0, 60))
@settings(max_examples=150)
def test_striking_out_a_correction_brings_back_what_it_replaced(chosen, written, a, c):
    desk = played(chosen, written)
    before = fold_rows(desk.setup, Book(desk.entries))
    kind = ("before", "instead_of")[a % 2]
    assume(attempt(desk, "inning", run=a % 3, **{kind: 1 + c % len(desk.entries)}))
    desk.write("void", target=len(desk.entries))
    assert_same_match(desk, before)


JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.integers(10**400, 10**401)
    | st.floats()
    | st.text(st.characters(), max_size=8)
    | st.sampled_from(["white", "red", "lag", "time", "played", "00000000-0000-4000-8000-000000000000"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.text(max_size=4) | st.sampled_from(["ball", "rail", "white"]), inner, max_size=3)
    ),
    max_leaves=6,
)
NAMES = sorted({name for required, optional in KINDS.values() for name in required | optional})


@given(
    st.sampled_from([*KINDS, "", "points", "OPEN", None, 7]),
    st.dictionaries(st.sampled_from(NAMES) | st.text(max_size=6), JSON, max_size=4),
)
@settings(max_examples=300)
def test_any_value_is_read_or_malformed(kind, fields):
    try:
        entry = read_entry({"kind": kind} | fields)
    except Malformed as malformed:
        assert malformed.field
        assert str(malformed.reason)
        return
    desk = Desk(setup_of(distance=[5, 5])).open()
    before = desk.seen
    try:
        prepare(desk.setup, desk.state, replace(entry, seq=2), Book(desk.entries))
    except Refused as refused:
        assert refused.code
        assert str(refused.reason).endswith(".")
    except Malformed as malformed:
        assert malformed.field
    assert desk.seen == before


@pytest.mark.parametrize("value", [None, [], "open", 7, True, [{"kind": "open"}]])
def test_what_is_no_object_is_malformed(value):
    with pytest.raises(Malformed):
        read_entry(value)
