"""Reading files: encodings, separators, heads, days, numbers, and what is to be mended by row and column."""

import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.rules.disciplines import DISCIPLINES
from scoring.rules.importing.columns import INNINGS, PLAYERS, RESULTS, guess, missing
from scoring.rules.importing.drafts import Presumed, plain_name, read_drafts
from scoring.rules.importing.sheets import entries_of, format_of, trouble_of
from scoring.rules.importing.table import decode, read_table
from scoring.rules.importing.values import a_day, a_whole, some_runs
from scoring.rules.likeness import pairs
from scoring.rules.rulesets import RuleSet
from scoring.rules.said import Malformed

GAME = DISCIPLINES["three-cushion"]
PRESUMED = Presumed({"three cushion": "three-cushion"}, "three-cushion", issuer="Union")


def read(kind, text, presumed=PRESUMED):
    table = read_table(text)
    return read_drafts(kind, table, guess(kind, table.heads), presumed)


def wrong(found):
    return [(one.line, one.column) for one in found.problems]


@pytest.mark.parametrize(
    ("encoding", "named"), [("utf-8", "utf-8"), ("utf-8-sig", "utf-8"), ("cp1252", "cp1252")]
)
def test_encodings(encoding, named):
    assert decode("naam;José\n".encode(encoding)) == ("naam;José\n", named)


def test_what_is_no_text_is_refused():
    with pytest.raises(Malformed):
        decode(b"PK\x00\x03")
    for text in ("", "heads;only\n", 'name\n"open\n'):
        with pytest.raises(Malformed):
            read_table(text)


@pytest.mark.parametrize("sign", [";", ",", "\t"])
def test_separators_are_found(sign):
    table = read_table(sign.join(["Name", "Number"]) + "\n" + sign.join(["Mira", "1"]) + "\n")
    assert (table.separator, table.heads, table.rows[0].cells) == (sign, ("Name", "Number"), ("Mira", "1"))


def test_decimal_commas_do_not_hide_semicolons():
    assert read_table("a;b\n1,5;2,5\n1,25;3,5\n").separator == ";"


def test_lines_are_counted_as_a_person_counts():
    table = read_table('name\n\nMira\n"two\nlines"\nEmil\n')
    assert [row.line for row in table.rows] == [3, 5, 6]


@pytest.mark.parametrize(
    ("cell", "day"),
    [
        ("2026-09-01", (2026, 9, 1)),
        ("1-9-2026", (2026, 9, 1)),
        ("01.09.26", (2026, 9, 1)),
        ("31/12/98", (1998, 12, 31)),
        ("2026-09-01 20:30", (2026, 9, 1)),
    ],
)
def test_days(cell, day):
    assert a_day(cell, "date") == datetime.date(*day)


@pytest.mark.parametrize("cell", ["9/31/2026", "31.4.2026", "2026", "yesterday", "1.1.1700"])
def test_days_that_are_none(cell):
    with pytest.raises(Malformed):
        a_day(cell, "date")


def test_whole_numbers_with_decimal_commas():
    assert [a_whole(cell, "points", 99) for cell in ("40", "40,0", "40.00")] == [40, 40, 40]
    for cell in ("40,5", "-1", "x", "100"):
        with pytest.raises(Malformed):
            a_whole(cell, "points", 99)


def test_runs_in_a_cell():
    assert some_runs("0 1-2;3, 4|5/6", "runs") == [0, 1, 2, 3, 4, 5, 6]
    with pytest.raises(Malformed, match="“x” is no run"):
        some_runs("0 1 x 4", "runs")


def test_heads_are_guessed_in_several_languages():
    assert guess(RESULTS, ("Datum", "Speler 1", "Speler 2", "Punten 1", "Punten 2", "Beurten")) == {
        "date": 0, "player_a": 1, "player_b": 2, "score_a": 3, "score_b": 4, "innings": 5,
    }  # fmt: skip
    own = guess("players", ("Nachname", "Vorname", "Mitgliedsnummer", "Verband", "Mitglied seit"))
    assert own == {"family": 0, "given": 1, "number": 2, "issuer": 3, "since": 4}
    assert guess(RESULTS, ("Punkte 2", "Punkte 1")) == {"score_b": 0, "score_a": 1}
    assert missing(RESULTS, {"date": 0}) == [
        ("player_a", "number_a"), ("player_b", "number_b"), ("score_a",), ("score_b",),
    ]  # fmt: skip


def test_players_and_what_is_to_be_mended():
    found = read(
        PLAYERS,
        "Name;Number;Member since;Guest\nQuendal, Mira;7;1-2-2020;no\n-;8;;\nEmil Karnhof;7;x;maybe\n",
    )
    assert [(one.given, one.family, one.number, one.issuer) for one in found.players] == [
        ("Mira", "Quendal", "7", "Union")
    ]
    assert wrong(found) == [(3, "name"), (4, "since"), (4, "guest")]


def test_a_number_twice_is_a_problem():
    assert wrong(read(PLAYERS, "Name;Number\nMira Quendal;7\nEmil Karnhof;7\n")) == [(3, "number")]


def test_a_cell_beside_the_columns_is_a_problem_and_an_empty_one_is_none():
    assert wrong(read("players", "name;number\nAlva Zorrin;1;;\nBenno Zorrin;2;;3\n")) == [(3, "")]


def test_results_with_totals_and_without():
    heads = "Date;Player 1;Player 2;Points 1;Points 2;Innings;High run 1;High run 2\n"
    found = read(RESULTS, heads + "1-9-2020;A B;C D;40;31,0;27;6;5\n1-9-2020;A B;C D;12;0;;;\n")
    first, second = found.matches
    assert (first.score, first.innings, first.high_runs, first.runs) == ((40, 31), (27, 27), (6, 5), None)
    assert (second.innings, second.high_runs) == (None, None)
    bad = read(RESULTS, heads + "x;A B;A B;40;;27;41;5\n")
    assert wrong(bad) == [(2, "date"), (2, "player_b"), (2, "score_b"), (2, "high_run_a")]


def test_entries_without_innings_say_where_they_come_from():
    heads = "Date;Player 1;Player 2;Points 1;Points 2\n"
    draft = read(RESULTS, heads + "1-9-2020;A B;C D;12;9\n").matches[0]
    opened, result, confirmed = entries_of(draft, (5, 6), "old.csv")
    assert (opened["starter"], confirmed) == (5, {"kind": "confirm"})
    assert (result["score"], result["source"], "innings" in result) == (
        {"white": 12, "yellow": 9},
        "old.csv",
        False,
    )


ROWS = "Match,Date,Player 1,Player 2,Inning,Run 1,Run 2\n"


def test_innings_row_by_row():
    text = ROWS + "1,2.3.2011,A B,C D,2,3,\n1,2.3.2011,A B,C D,1,1,0\n2,2.3.2011,A B,C D,1,2,2\n"
    first, second = read(INNINGS, text).matches
    assert (first.runs, first.score, first.innings) == (((1, 3), (0,)), (4, 0), (2, 1))
    assert second.runs == ((2,), (2,))
    gap = ROWS + "1,2.3.2011,A B,C D,1,1,0\n1,2.3.2011,A B,C D,3,3,0\n"
    assert wrong(read(INNINGS, gap)) == [(2, "inning")]
    hole = ROWS + "1,2.3.2011,A B,C D,1,,0\n1,2.3.2011,A B,C D,2,3,0\n"
    assert wrong(read(INNINGS, hole)) == [(2, "run_a")]


def sheet(runs_a, runs_b, distances=""):
    text = "Date;Player 1;Player 2;Runs 1;Runs 2;Distance 1;Distance 2\n"
    both = ";".join(" ".join(map(str, runs)) for runs in (runs_a, runs_b))
    return read(INNINGS, f"{text}1-9-2020;A B;C D;{both};{distances or ';'}\n").matches[0]


@pytest.mark.parametrize(
    ("first", "second", "distances", "fits"),
    [
        ([1, 2, 0], [0, 1, 1], "", True),
        ([1, 2], [1], "", True),
        ([1], [1, 2], "", True),
        ([3, 7], [2, 8], "10;10", True),
        ([3, 7], [2], "10;10", True),
        ([3, 7], [2, 8, 1], "10;10", False),
        ([3, 6], [2], "10;10", False),
    ],
)
def test_lists_end_where_they_end(first, second, distances, fits):
    draft = sheet(first, second, distances)
    trouble = trouble_of(draft, format_of(draft, None, GAME), GAME, RuleSet.from_json(None))
    assert (trouble is None) == fits


@settings(max_examples=30)
@given(st.lists(st.integers(0, 9), min_size=1, max_size=12), st.data())
def test_any_list_without_distances_is_taken(first, data):
    size = len(first) - data.draw(st.integers(0, 1)) if len(first) > 1 else 1
    second = data.draw(st.lists(st.integers(0, 9), min_size=size, max_size=size))
    if sum(first) == 0 and len(second) < len(first):
        return  # nobody reached anything
    if len(second) < len(first) and first[-1] == 0:
        return  # the last inning did not reach the distance
    draft = sheet(first, second)
    assert trouble_of(draft, format_of(draft, None, GAME), GAME, RuleSet.from_json(None)) is None


def test_names_alike_are_proposed_and_others_not():
    names = ["Mira Quendal", "Quendal, Mira", "M. Quendal", "Emil Karnhof", "Emil Karnhoff", "Ronja Astavik"]
    assert list(pairs((pk, plain_name(name)) for pk, name in enumerate(names))) == [
        (0, 1),
        (0, 2),
        (1, 2),
        (3, 4),
    ]
