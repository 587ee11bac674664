"""The score sheet: figures, corrections, sets, extra innings, questions."""

import datetime

import pytest
from django.utils import timezone

from scoring import projecting, records
from scoring.models import Match
from scoring.sheets import Written, build_sheet, letter_of
from tests import cast
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db


def sheet_of(match, why=True):
    match = Match.objects.select_related("projection").get(pk=match.pk)
    rows = [projecting.row_of(one) for one in match.stroke_projections.order_by("order")]
    written = []
    for row in match.entries.select_related("text").order_by("seq"):
        text = getattr(row, "text", None)
        texts = text.texts if text is not None and why else {}
        written.append(Written(records.entry_of(row), why=texts.get("decision") or texts.get("why") or ""))
    return build_sheet(match.projection.state, rows, written)


def column(block, colour):
    """Return (struck, run, total, letter) of each inning of a colour."""
    figures = [getattr(line, colour) for line in block.lines]
    return [(one.struck, one.run, one.total, one.letter) for one in figures]


def notes(sheet):
    return {note.letter: " ".join(str(one) for one in note.said) for note in sheet.notes}


def test_runs_and_running_totals_stand_inning_below_inning():
    match = opened(cast.make_match(distance=(40, 35)))
    innings(match, 2, 1, 0, 0, 3)
    (block,) = sheet_of(match).blocks
    assert column(block, "white") == [([], 2, 2, ""), ([], 0, 2, ""), ([], 3, 5, "")]
    assert column(block, "yellow") == [([], 1, 1, ""), ([], 0, 1, ""), ([], None, None, "")]
    assert [line.fifth for line in block.lines] == [False, False, False]
    assert not block.lines[-1].last


def test_strokes_of_an_inning_are_one_figure():
    match = opened(cast.make_match())
    for kind in ("point", "point", "miss", "foul"):
        write(match, kind)
    (block,) = sheet_of(match).blocks
    assert column(block, "white") == [([], 2, 2, "")]
    assert column(block, "yellow") == [([], 0, 0, "")]


def test_corrected_figure_stands_struck_out_beside_the_new_one_with_a_note():
    match = opened(cast.make_match(distance=(40, 40)))
    entries = innings(match, 2, 5, 0, 1)
    write(match, "inning", run=6, instead_of=entries[1], why="miscounted")
    sheet = sheet_of(match)
    assert column(sheet.blocks[0], "yellow") == [([5], 6, 6, "a"), ([], 1, 7, "")]
    assert notes(sheet) == {
        "a": "Yellow, inning 1: 5 was struck out and 6 written, in inning 2, “miscounted”."
    }
    assert not sheet.notes[0].flag


def test_a_figure_corrected_twice_shows_both_struck_figures():
    match = opened(cast.make_match(distance=(40, 40)))
    first, *_rest = innings(match, 2, 5)
    second = write(match, "inning", run=3, instead_of=first)
    write(match, "inning", run=4, instead_of=second)
    assert column(sheet_of(match).blocks[0], "white") == [([2, 3], 4, 4, "a")]


def test_struck_inning_that_is_written_again_stands_in_the_same_cell():
    match = opened(cast.make_match(distance=(40, 40)))
    entries = innings(match, 2)
    write(match, "void", target=entries[0])
    write(match, "inning", run=3)
    sheet = sheet_of(match)
    assert column(sheet.blocks[0], "white") == [([2], 3, 3, "a")]
    assert "2 was struck out" in notes(sheet)["a"]


def test_struck_last_inning_leaves_its_figure_and_no_run():
    match = opened(cast.make_match(distance=(40, 40)))
    entries = innings(match, 2, 4)
    write(match, "void", target=entries[1])
    assert column(sheet_of(match).blocks[0], "yellow") == [([4], None, None, "a")]


def test_striking_strokes_and_writing_them_again_shows_no_struck_figure():
    match = opened(cast.make_match())
    write(match, "point")
    second = write(match, "point")
    write(match, "void", target=second)
    for kind in ("point", "miss"):
        write(match, kind)
    sheet = sheet_of(match)
    assert column(sheet.blocks[0], "white") == [([], 2, 2, "a")]
    assert "a point was struck out" in notes(sheet)["a"]


def test_a_struck_stroke_shows_the_run_as_it_had_been():
    match = opened(cast.make_match())
    write(match, "point")
    second = write(match, "point")
    write(match, "void", target=second)
    write(match, "miss")
    assert column(sheet_of(match).blocks[0], "white") == [([2], 1, 1, "a")]


def test_repeated_strike_outs_are_one_sentence():
    match = opened(cast.make_match())
    points = [write(match, "point") for _ in range(3)]
    for name in reversed(points):
        write(match, "void", target=name)
    assert "a point was struck out, 3 times" in notes(sheet_of(match))["a"]


def test_strokes_changed_one_after_the_other_strike_one_figure():
    match = opened(cast.make_match())
    first = write(match, "point")
    last = write(match, "miss")
    for _ in range(3):
        write(match, "point", before=last, by="white", why="miscounted")
    write(match, "miss")
    write(match, "void", target=first)
    assert column(sheet_of(match).blocks[0], "white") == [([1, 4], 3, 3, "a")]


def test_one_wrong_clock_is_one_note():
    match = opened(cast.make_match())
    ahead = (timezone.now() + datetime.timedelta(days=1)).isoformat()
    for kind in ("point", "miss", "miss"):
        write(match, kind, device_time=ahead)
    assert notes(sheet_of(match)) == {"": "The device's clock could not be believed. 3 times."}


def test_forgotten_inning_is_noted_where_it_was_written_in():
    match = opened(cast.make_match(distance=(40, 40)))
    entries = innings(match, 2, 4)
    write(match, "inning", run=7, before=entries[0], by="yellow", why="forgotten")
    sheet = sheet_of(match)
    assert "7 was written in later" in " ".join(notes(sheet).values())


def test_open_and_settled_questions_are_notes():
    match = opened(cast.make_match())
    write(match, "point", contacts=[{"ball": "red"}, {"rail": "left"}, {"rail": "top"}, {"ball": "yellow"}])
    open_sheet = sheet_of(match)
    assert open_sheet.notes[0].flag
    assert "A stroke was called a point; as described: two cushions." in notes(open_sheet)["a"]
    write(match, "settle", target=2, decision="counted, one cushion was not entered")
    settled = sheet_of(match)
    assert not settled.notes[0].flag
    assert "Settled: counted, one cushion was not entered." in notes(settled)["a"]
    assert "Settled: no reason given." in notes(sheet_of(match, why=False))["a"]


def test_a_run_after_the_end_stands_without_counting():
    match = opened(cast.make_match(distance=(5, 5)))
    first, *_rest = innings(match, 1, 2, 4)
    write(match, "inning", run=5, instead_of=first)
    block = sheet_of(match).blocks[0]
    counted = [line.white.run for line in block.lines]
    idle = [line.white.idle for line in block.lines]
    assert (counted, idle) == ([5, None], [None, 4])
    assert block.lines[-1].last


def test_sets_are_blocks_of_their_own_and_totals_begin_again():
    match = opened(cast.make_match(distance=(5, 5), format={"sets_to_win": 2}))
    innings(match, 5, 0, 2, 1)
    sheet = sheet_of(match)
    assert sheet.with_sets
    first, second = sheet.blocks
    assert (first.set_number, second.set_number) == (1, 2)
    assert first.lines[-1].last
    assert not second.lines[-1].last
    assert max(line.white.total or 0 for line in first.lines) == 5
    assert all((line.white.total or 0) <= 2 for line in second.lines)


def test_extra_innings_are_a_block_and_count_in_no_total():
    match = opened(cast.make_match(distance=(5, 5)))
    innings(match, 5, 5)
    write(match, "extra")
    innings(match, 2, 1)
    played, extra = sheet_of(match).blocks
    assert (played.extra, extra.extra) == (False, True)
    assert column(played, "white") == [([], 5, 5, "")]
    assert column(extra, "white") == [([], 2, 2, "")]
    assert column(extra, "yellow") == [([], 1, 1, "")]


def test_struck_concession_is_noted_without_a_cell():
    match = opened(cast.make_match())
    innings(match, 2)
    write(match, "concede", player=match.entrant_b_id)
    write(match, "void", target=3)
    sheet = sheet_of(match)
    assert "the concession was struck out" in notes(sheet)[""]


def test_a_match_that_is_not_begun_has_no_blocks():
    assert sheet_of(cast.make_match()).blocks == []


@pytest.mark.parametrize(("number", "letter"), [(0, "a"), (25, "z"), (26, "aa"), (27, "ab"), (702, "aaa")])
def test_letters_never_run_out(number, letter):
    assert letter_of(number) == letter
