"""A coach's pupils: what each averaged lately beside before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from scoring.rules.said import said

from .chart import USUAL, Chart, Column, Cut, Num, Text, chart, undefined
from .rows import Row, rows_figure


@dataclass(frozen=True)
class PupilRow:
    """A pupil: matches, the latest ones' average with its interval, the average of those before; None: too few."""

    label: Text
    matches: int
    lately: Any = None
    low: Any = None
    high: Any = None
    before: Any = None


def pupils_lately(
    rows: Sequence[PupilRow],
    *,
    window: int,
    cut: Cut = USUAL,
    level_of: int = 95,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return the average of each pupil's last `window` matches, with its interval, beside that of all before."""
    drawn = [
        Row(
            row.label,
            None if undefined(row.low) else row.lately,
            row.low,
            row.high,
            row.before,
            Num.average(row.lately, cut),
        )
        for row in rows
    ]
    known = any(not undefined(row.before) for row in rows)
    return chart(
        "pupils",
        title=title or said("The last matches of each"),
        finding=finding
        or said(
            "Averages of the last %(window)s matches of each, or of as many as there are, beside those of all before.",
            window=window,
        ),
        counts=counts or said("%(matches)s matches", matches=sum(row.matches for row in rows)),
        figure=rows_figure(drawn, said("average")),
        columns=[
            Column("pupil", said("Pupil")),
            Column("matches", said("Matches"), "count"),
            Column.average("lately", said("Lately"), cut),
            Column("low", said("From"), "number", 2),
            Column("high", said("To"), "number", 2),
            Column.average("before", said("Before"), cut),
        ],
        rows=[(row.label, row.matches, row.lately, row.low, row.high, row.before) for row in rows],
        text=said("A lozenge outside the band does not by itself tell that anything changed."),
        key=(
            (
                "interval",
                said("last matches; %(many)s in 100 such intervals hold the true average", many=level_of),
            ),
            *((("promise", said("all matches before")),) if known else ()),
        ),
    )
