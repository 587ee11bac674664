"""Promises by size, and what the scores of promises are made of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from scoring.rules.said import said

from .chart import Chart, Column, Num, Text, chart
from .rows import Row, rows_figure


@dataclass(frozen=True)
class TenthRow:
    """Strokes promised about `tenth` in 10: points made, and the points that chance alone gives."""

    tenth: int
    strokes: int
    points: int
    expected: float
    low: int
    high: int

    @property
    def label(self) -> Text:
        """The promise as it is read."""
        return said("about %(tenth)s in 10", tenth=self.tenth)


def promised_by_tenths(
    rows: Sequence[TenthRow], *, name: str, title: Text, counts: Text, level_of: int = 90, least: int = 20
) -> Chart:
    """Return what was made of strokes promised about 1 in 10, about 2 in 10 and so on.

    Below `least` strokes a row has counts only.
    """
    drawn = [
        Row(
            row.label,
            *(
                (row.points / row.strokes, row.low / row.strokes, row.high / row.strokes)
                if row.strokes >= least
                else (None, None, None)
            ),
            promise=row.expected / row.strokes,
            end=said("%(points)s of %(strokes)s", points=row.points, strokes=row.strokes),
        )
        for row in rows
    ]
    most = max(rows, key=lambda row: row.strokes)
    return chart(
        name,
        title=title,
        finding=said(
            "Of %(strokes)s strokes promised about %(tenth)s in 10, %(points)s made the point; if the promises "
            "hold, chance gives %(low)s to %(high)s.",
            strokes=most.strokes,
            tenth=most.tenth,
            points=most.points,
            low=most.low,
            high=most.high,
        ),
        counts=counts,
        figure=rows_figure(drawn, said("of 100 strokes"), 100.0, most=1.0),
        columns=[
            Column("promised", said("Promised")),
            Column("strokes", said("Strokes"), "count"),
            Column("made", said("Made"), "count"),
            Column("expected", said("Points promised"), "number", 1),
            Column("low", said("Chance gives from"), "count"),
            Column("high", said("To"), "count"),
        ],
        rows=[(row.label, row.strokes, row.points, row.expected, row.low, row.high) for row in rows],
        text=said("A disc within its band is what promises that hold would give."),
        key=(
            (
                "interval",
                said(
                    "made, over what chance gives %(many)s times in 100 if the promises hold", many=level_of
                ),
            ),
            ("promise", said("promised")),
        ),
    )


@dataclass(frozen=True)
class ScoreRow:
    """A score and its parts; `usual` and `most`: the miscalibration of true promises, mean and of 95 in 100."""

    label: Text
    score: float
    miscalibration: float
    usual: float
    most: float
    discrimination: float
    uncertainty: float


def score_parts(rows: Sequence[ScoreRow], *, name: str, title: Text, counts: Text) -> Chart:
    """Return what promises lose by being off, beside what true promises would seem to lose by chance."""
    drawn = [
        Row(row.label, row.miscalibration, 0.0, row.most, row.usual, Num(row.miscalibration, "number", 4))
        for row in rows
    ]
    first = rows[0]
    return chart(
        name,
        title=title,
        finding=said(
            "Miscalibration %(found)s; true promises would show about %(usual)s by chance, and 95 times in 100 "
            "no more than %(most)s.",
            found=Num(first.miscalibration, "number", 4),
            usual=Num(first.usual, "number", 4),
            most=Num(first.most, "number", 4),
        ),
        counts=counts,
        figure=rows_figure(drawn, said("miscalibration")),
        columns=[
            Column("rule", said("Score")),
            Column("score", said("Of the promises"), "number", 4),
            Column("miscalibration", said("Miscalibration"), "number", 4),
            Column("chance", said("By chance"), "number", 4),
            Column("chance_most", said("95 in 100 below"), "number", 4),
            Column("discrimination", said("Discrimination"), "number", 4),
            Column("uncertainty", said("Of one rate for all"), "number", 4),
        ],
        rows=[
            (
                row.label,
                row.score,
                row.miscalibration,
                row.usual,
                row.most,
                row.discrimination,
                row.uncertainty,
            )
            for row in rows
        ],
        text=said(
            "Smaller scores are better. A score is the miscalibration, less the discrimination, plus the score of "
            "one rate for all strokes."
        ),
        key=(
            ("interval", said("found, over what chance alone gives true promises, 95 times in 100")),
            ("promise", said("what chance gives on average")),
        ),
    )
