"""Rates beside one another: how often strokes of one kind scored."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from scoring.rules.said import said

from .chart import Chart, Column, Text, chart
from .rows import Row, rows_figure


@dataclass(frozen=True)
class RateRow:
    """Strokes of one kind: points of so many, the rate with its interval; no rate: counts only."""

    label: Text
    strokes: int
    points: int
    rate: Any = None
    low: Any = None
    high: Any = None


def rates_compared(
    rows: Sequence[RateRow],
    by: Text,
    *,
    name: str,
    title: Text,
    finding: Text,
    counts: Text,
    text: Text,
    level_of: int = 90,
) -> Chart:
    """Return rates beside one another, each with its interval; `by` heads the first column."""
    drawn = [
        Row(
            row.label,
            row.rate,
            row.low,
            row.high,
            end=said("%(points)s of %(strokes)s", points=row.points, strokes=row.strokes),
        )
        for row in rows
    ]
    return chart(
        name,
        title=title,
        finding=finding,
        counts=counts,
        figure=rows_figure(drawn, said("of 100 strokes, made"), 100.0, most=1.0),
        columns=[
            Column("strokes_of", by),
            Column("strokes", said("Strokes"), "count"),
            Column("points", said("Points"), "count"),
            Column("rate", said("Of 100"), "percent"),
            Column("low", said("From"), "percent"),
            Column("high", said("To"), "percent"),
        ],
        rows=[(row.label, row.strokes, row.points, row.rate, row.low, row.high) for row in rows],
        text=text,
        key=(("interval", said("rate; %(many)s in 100 such intervals hold the true one", many=level_of)),),
    )
