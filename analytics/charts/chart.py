"""A chart: what it finds in words, the figure that shows it, and the table of its numbers.

Pure: texts are sentences (`Said`) or names, numbers that a person reads are `Num`; `told` puts both
into the reader's language, `chart_csv` writes the numbers for machines. A figure is plotly's JSON,
with the names of style tokens (`--cloth`) where a colour stands.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import Any

from scoring.rules.averages import shown
from scoring.rules.said import Said

# A sentence, a name, or a text that its own library translates when it is read.
Text = Any
UNDEFINED = "–"
KINDS = ("text", "count", "number", "signed", "average", "percent", "date")


@dataclass(frozen=True)
class Cut:
    """How a discipline shows an average: its decimals, and what becomes of the rest."""

    decimals: int = 3
    rounding: str = "truncate"


USUAL = Cut()


@dataclass(frozen=True)
class Num:
    """A number or date that a person reads.

    `kind`: one of KINDS. A `percent` lies between 0 and 1 and is read as so many of 100; an
    `average` given as a Fraction is cut exactly, by its `rounding`; `signed` numbers carry their sign; None is undefined, a dash.
    """

    value: Any
    kind: str = "count"
    digits: int = 0
    rounding: str = USUAL.rounding

    @classmethod
    def average(cls, value: Any, cut: Cut = USUAL) -> Num:
        """Return an average as a discipline cuts it."""
        return cls(value, "average", cut.decimals, cut.rounding)

    def __str__(self) -> str:
        return plain(self)


@dataclass(frozen=True)
class Column:
    """A column of a chart's table; `key` is its head in CSV, `head` what a person reads."""

    key: str
    head: Text
    kind: str = "text"
    digits: int = 0
    rounding: str = USUAL.rounding

    @classmethod
    def average(cls, key: str, head: Text, cut: Cut = USUAL) -> Column:
        """Return a column of averages as a discipline cuts them."""
        return cls(key, head, "average", cut.decimals, cut.rounding)

    @property
    def numeric(self) -> bool:
        return self.kind not in ("text", "date")


@dataclass(frozen=True)
class Chart:
    """A chart as it is handed to a page.

    `counts` says of how much the finding speaks; `text` how to read the figure; `key` the marks of
    the figure with what each means (marks: those of
    `templatetags/chart_marks.py`; a number stands for itself).
    """

    name: str
    title: Text
    finding: Text
    counts: Text
    figure: dict[str, Any]
    columns: tuple[Column, ...]
    rows: tuple[tuple[Any, ...], ...]
    csv_name: str
    text: Text
    key: tuple[tuple[str, Text], ...] = ()


def chart(name: str, **parts: Any) -> Chart:
    """Return a chart whose CSV is named after it, its columns and rows made fast."""
    columns, rows = tuple(parts.pop("columns")), tuple(tuple(row) for row in parts.pop("rows"))
    short = [row for row in rows if len(row) != len(columns)]
    if short:
        raise ValueError(f"{name}: {len(columns)} columns, but a row of {len(short[0])}")
    return Chart(name=name, columns=columns, rows=rows, csv_name=f"{name}.csv", **parts)


def plain(number: Num) -> str:
    """Return a number as English writes it, with no thousands marked."""
    value = number.value
    if undefined(value):
        return UNDEFINED
    if number.kind == "average" and isinstance(value, Fraction):
        return str(shown(value.numerator, value.denominator, number.digits, number.rounding))
    if number.kind in ("text", "date"):
        return str(value)
    value = float(value) * (100 if number.kind == "percent" else 1)
    # Never "-0.0": what rounds to nothing has no sign.
    value = round(value, number.digits) + 0.0
    sign = "+" if number.kind == "signed" and value else ""
    return f"{value:{sign}.{number.digits}f}".replace("-", "−")


def undefined(value: Any) -> bool:
    """Say whether there is no value: None, or what a division by nothing left."""
    return value is None or (isinstance(value, float) and not math.isfinite(value))


Translate = Callable[[str], str]
Show = Callable[[Num], str]


def told(chart: Chart, translate: Translate, show: Show = plain) -> Chart:
    """Return the chart with every sentence in the language of `translate`, every number as `show` writes it."""

    def say(text: Text) -> str:
        return say_in(text, translate, show)

    return replace(
        chart,
        title=say(chart.title),
        finding=say(chart.finding),
        counts=say(chart.counts),
        text=say(chart.text),
        figure=_drawn(chart.figure, say),
        columns=tuple(replace(column, head=say(column.head)) for column in chart.columns),
        key=tuple((mark, say(meaning)) for mark, meaning in chart.key),
    )


def say_in(text: Text, translate: Translate, show: Show = plain) -> str:
    """Return a sentence, a name or a number as it is read."""
    if isinstance(text, Num):
        return show(text)
    if not isinstance(text, Said):
        return str(text)
    params = {name: say_in(value, translate, show) for name, value in text.params.items()}
    template = translate(text.template)
    return template % params if params else template


def cell(value: Any, column: Column, say: Callable[[Text], str]) -> str:
    """Return a cell of the table as a person reads it."""
    if undefined(value):
        return UNDEFINED
    if column.kind == "text":
        return say(value)
    return say(Num(value, column.kind, column.digits, column.rounding))


_PLAIN = (float, int, bool, type(None))


def _drawn(part: Any, say: Callable[[Text], str]) -> Any:
    """Return a part of a figure as JSON, its texts said and harmless.

    The library reads some HTML in texts, and names are written by anybody.
    """
    if isinstance(part, dict):
        return {name: _drawn(value, say) for name, value in part.items()}
    if isinstance(part, list | tuple):
        return [value if type(value) in _PLAIN else _drawn(value, say) for value in part]
    if part is None or isinstance(part, bool | int | float):
        return part
    return say(part).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def chart_csv(chart: Chart, translate: Translate = str) -> str:
    """Return the table as CSV: keys as heads, numbers unrounded beyond six figures, empty where undefined."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([column.key for column in chart.columns])
    for row in chart.rows:
        writer.writerow([_csv_cell(value, translate) for value in row])
    return out.getvalue()


def _csv_cell(value: Any, translate: Translate) -> str:
    if undefined(value):
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Said | str | Num):
        text = say_in(value, translate)
        # A spreadsheet must not take a name for a formula.
        return "'" + text if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text
    if isinstance(value, int):
        return str(value)
    try:
        return f"{float(value) + 0.0:.6g}"
    except TypeError:
        return str(value)


def floats(values: Sequence[Any]) -> list[float | None]:
    """Return numbers as JSON has them, with six figures, which no screen outdoes; None where undefined."""
    return [None if undefined(value) else float(f"{float(value):.6g}") for value in values]


def days(values: Sequence[Any]) -> list[Any]:
    """Return dates as JSON has them, and numbers as they are."""
    return [value.isoformat() if isinstance(value, date) else value for value in values]
