"""Charts: the figure, the table and the CSV hold the same numbers, and nothing a name could do harm with."""

from __future__ import annotations

import csv
import io
import json
import re
import subprocess
import sys
from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import plotly.graph_objects as go
import pytest

from analytics.charts import (
    AverageRow,
    Chart,
    FamilyRow,
    Num,
    PupilRow,
    WayRow,
    averages_compared,
    averages_together,
    chart_csv,
    families,
    lead,
    match_lengths,
    matches_a_week,
    moving_average,
    pupils_lately,
    run_histogram,
    run_strip,
    run_tail,
    spread_through_time,
    told,
    ways_to_miss,
    win_probability,
)
from analytics.charts.chart import Column, Cut, cell, chart
from analytics.templatetags.chart_marks import mark_svg
from scoring.rules.said import Said, said

from .samples import all_charts, leads

ROOT = Path(__file__).parents[3]
CHARTS = all_charts()
each_chart = pytest.mark.parametrize("one", CHARTS, ids=[chart.name for chart in CHARTS])


def leaves(part: Any, name: str = "") -> Iterator[tuple[str, Any]]:
    """Every value of a figure, with the name it has."""
    if isinstance(part, dict):
        for key, value in part.items():
            yield from leaves(value, key)
    elif isinstance(part, list | tuple):
        for value in part:
            yield from leaves(value, name)
    else:
        yield name, part


def tokens_of(figure: dict[str, Any]) -> set[str]:
    return {value for _, value in leaves(figure) if isinstance(value, str) and value.startswith("--")}


@each_chart
def test_a_figure_is_one_that_the_library_knows(one: Chart) -> None:
    known = told(one, str)
    text = re.sub(r'"--[a-z0-9-]+"', '"#123456"', json.dumps(known.figure, allow_nan=False))
    figure = json.loads(text)
    go.Figure({"data": figure["data"], "layout": figure["layout"]})
    if "narrow" in figure["layout"].get("meta", {}):
        go.Layout(figure["layout"]["meta"]["narrow"])
    assert len(text) < 16_000, "the page carries it to phones"


@each_chart
def test_a_chart_is_told_in_the_readers_language(one: Chart) -> None:
    known = told(one, lambda template: f"§{template}")
    assert all(str(text).startswith("§") for text in (known.title, known.finding, known.counts, known.text))
    assert not any(isinstance(value, Said | Num) for _, value in leaves(known.figure))
    sentences = [value for _, value in leaves(one.figure) if isinstance(value, Said)]
    spoken = [value for _, value in leaves(known.figure) if isinstance(value, str) and "§" in value]
    assert len(spoken) == len(sentences)


@each_chart
def test_marks_and_colours_are_known(one: Chart) -> None:
    for mark, _ in one.key:
        assert mark_svg(mark), "or it is not known"
    sheets = [
        ROOT / "clubsite/static/clubsite/css/tokens.css",
        ROOT / "analytics/static/analytics/css/charts.css",
    ]
    styles = "".join(sheet.read_text() for sheet in sheets)
    unknown = {token for token in tokens_of(one.figure) if f"{token}:" not in styles}
    assert unknown == set()
    assert not re.search(r"#[0-9a-f]{3}", json.dumps(told(one, str).figure)), "colours come from tokens alone"


def test_names_of_charts_are_their_own() -> None:
    names = [one.name for one in CHARTS]
    assert len(set(names)) == len(names)


@each_chart
def test_the_csv_has_every_row_under_its_key(one: Chart) -> None:
    rows = list(csv.reader(io.StringIO(chart_csv(one))))
    assert rows[0] == [column.key for column in one.columns]
    assert len(rows) == len(one.rows) + 1
    assert all(len(row) == len(one.columns) for row in rows)


def test_a_histogram_shows_the_innings_and_their_law() -> None:
    one = run_histogram([6, 3, 1], [5.5, 2.75, 1.75])
    assert list(one.figure["data"][0]["y"]) == [6, 3, 1]
    assert one.rows == (("0", 6, 5.5), ("1", 3, 2.75), ("2+", 1, 1.75))
    assert str(told(one, str).finding) == "6 of 10 innings brought no point."
    assert chart_csv(one) == "run,innings,chance\r\n0,6,5.5\r\n1,3,2.75\r\n2+,1,1.75\r\n"


@pytest.mark.parametrize(
    "one",
    [
        run_histogram([1]),
        run_tail([1]),
        run_strip([0], [], ("Ann", "Bo")),
        lead([0], ("Ann", "Bo")),
        moving_average([1], [None], [None], [None], window=25),
        families([FamilyRow("bank", 1, 0)]),
        win_probability([0.5], ("Ann", "Bo")),
        matches_a_week([date(2026, 1, 5)], [0]),
        spread_through_time([date(2026, 1, 5)], [None], [None], [None], [0]),
        match_lengths(0, [1], width=15, median=5.0),
        pupils_lately([PupilRow("Ann", 1)], window=10),
        ways_to_miss([WayRow("short", 1)], 1),
    ],
    ids=lambda one: one.name,
)
def test_the_smallest_data_still_make_a_figure(one: Chart) -> None:
    figure = json.loads(
        re.sub(r'"--[a-z0-9-]+"', '"#123456"', json.dumps(told(one, str).figure, allow_nan=False))
    )
    go.Figure({"data": figure["data"], "layout": figure["layout"]})
    for axis in ("xaxis", "yaxis"):
        first, last = figure["layout"][axis].get("range", [0, 1])
        assert first != last


def test_without_innings_there_is_no_histogram() -> None:
    with pytest.raises(ValueError, match="no innings"):
        run_histogram([0, 0])


def test_a_log_axis_says_so_and_leaves_out_what_never_happened() -> None:
    one = run_tail([200, 40, 10, 0])
    layout = one.figure["layout"]
    assert layout["yaxis"]["type"] == "log"
    assert any("log axis" in str(note["text"]) for note in layout["annotations"])
    assert one.figure["data"][-1]["y"] == [1.0, 0.2, 0.05]
    assert one.rows[-1] == (3, 0, 0.0, None)


def test_at_most_four_lines_and_each_told_apart_twice_more_than_by_colour() -> None:
    lines = averages_together([1, 2], [(name, [0.5, 0.6]) for name in "abcd"], window=2).figure["data"]
    assert len({one["line"]["dash"] for one in lines}) == len({one["marker"]["symbol"] for one in lines}) == 4
    with pytest.raises(ValueError, match="5 players"):
        averages_together([1], [(name, [0.5]) for name in "abcde"], window=1)


def test_an_average_is_cut_as_its_discipline_cuts_it() -> None:
    row = AverageRow("Ann", 5, 3, Fraction(5, 3))
    for cut, read in ((Cut(), "1.666"), (Cut(3, "half-up"), "1.667"), (Cut(2, "half-up"), "1.67")):
        one = averages_compared([row], "Player", cut=cut)
        assert cell(row.average, one.columns[3], str) == read
        through = moving_average([1, 2], [None, Fraction(5, 3)], [None] * 2, [None] * 2, window=2, cut=cut)
        assert str(told(through, str).finding) == f"The last 2 innings average {read}."


def test_where_distances_differ_their_shares_say_who_led() -> None:
    one = lead([1, 1], ("Ann", "Bo"), shares=[Fraction(-1, 10), Fraction(1, 20)])
    finding = str(told(one, str).finding)
    assert finding == "By shares of the own distance, Ann led after 1 innings, Bo after 1."
    assert one.rows == ((1, 1, Fraction(-1, 10)), (2, 1, Fraction(1, 20)))
    assert one.figure["data"][0]["y"] == [0, -10, 5, 5]


def test_the_lead_counts_innings_with_a_lead() -> None:
    one = lead([2, 0, -1, 3], ("Ann", "Bo"))
    assert str(told(one, str).finding) == "Ann led after 2 innings, Bo after 1."
    assert one.rows == ((1, 2), (2, 0), (3, -1), (4, 3))
    assert lead(leads(), ("Ann", "Bo")).rows[-1] == (28, 9)


def test_too_few_strokes_are_counts_in_words_beside_the_promise() -> None:
    row = FamilyRow("ticky", 5, 2, promised=0.31)
    known = told(families([row], unrecorded=(9, 4)), str)
    body, ends, disc, promise = known.figure["data"]
    assert (body["x"], ends["x"], disc["x"]) == ([], [], [])
    assert promise["x"] == [31.0]
    assert [note["text"] for note in known.figure["layout"]["annotations"]].count("counts only") == 1
    assert known.rows[-1][1:3] == (9, 4)


def test_an_average_without_an_interval_is_no_estimate() -> None:
    one = averages_compared([AverageRow("Cup", 5, 7, Fraction(5, 7))], "Competition")
    assert one.figure["data"][2]["x"] == []
    assert str(one.figure["layout"]["annotations"][1]["text"]) == "0.714"


def test_an_axis_of_rows_holds_zero_and_every_interval() -> None:
    for one in CHARTS:
        if "narrow" not in one.figure["layout"].get("meta", {}) or one.name == "reliability":
            continue
        first, last = one.figure["layout"]["xaxis"]["range"]
        ends = [place for trace in one.figure["data"] for place in trace["x"]]
        assert first <= min([0, *ends]) <= max(ends) <= last, one.name


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (Num(Fraction(331, 676), "average", 3), "0.489"),  # cut, not rounded to 0.490
        (Num(None, "average", 3), "–"),
        (Num(float("nan"), "number", 1), "–"),
        (Num(0.347, "percent"), "35"),
        (Num(-11.62, "signed", 1), "−11.6"),
        (Num(2.0, "signed", 1), "+2.0"),
        (Num(-0.02, "signed", 1), "0.0"),
        (Num(12), "12"),
    ],
)
def test_numbers_as_they_are_read(number: Num, text: str) -> None:
    assert str(number) == text


def test_a_name_is_neither_markup_nor_formula() -> None:
    one = told(averages_compared([AverageRow("=1+<b>&", 5, 7, 0.714, 0.3, 1.4)], "Competition"), str)
    assert one.figure["layout"]["yaxis"]["ticktext"] == ["=1+&lt;b&gt;&amp;"]
    assert one.rows[0][0] == "=1+<b>&", "the table is escaped where it is set"
    assert list(csv.reader(io.StringIO(chart_csv(one))))[1][0] == "'=1+<b>&"


def test_a_sentence_holds_numbers_in_the_readers_way() -> None:
    sentence = said("about %(average)s", average=Num(0.5, "number", 2))
    one = chart(
        "one", title="", finding=sentence, counts="", figure={}, columns=[Column("a", "A")], rows=[], text=""
    )
    assert told(one, str, lambda number: f"{number}".replace(".", ",")).finding == "about 0,50"


def test_a_row_that_lacks_a_cell_is_told_at_once() -> None:
    with pytest.raises(ValueError, match="2 columns, but a row of 1"):
        chart("short", columns=[Column("a", "A"), Column("b", "B")], rows=[(1,)])


def test_charts_load_no_framework() -> None:
    probe = "import analytics.charts, sys; print([name for name in sys.modules if name.split('.')[0] == 'django'])"
    done = subprocess.run([sys.executable, "-c", probe], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
