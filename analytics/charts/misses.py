"""How strokes missed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from scoring.rules.said import said

from .chart import Chart, Column, Text, chart
from .rows import Row, rows_figure


@dataclass(frozen=True)
class WayRow:
    """A way to miss: how many misses went so, their share with its interval; no share: counts only."""

    label: Text
    misses: int
    share: Any = None
    low: Any = None
    high: Any = None


def ways_to_miss(
    rows: Sequence[WayRow],
    misses: int,
    *,
    level_of: int = 90,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return how the misses went, of `misses` of which it was said. Raises ValueError without a way."""
    drawn = [
        Row(
            row.label,
            row.share,
            row.low,
            row.high,
            end=said("%(misses)s of %(all)s", misses=row.misses, all=misses),
        )
        for row in rows
    ]
    most = max(rows, key=lambda row: row.misses)
    return chart(
        "ways-to-miss",
        title=title or said("How it missed"),
        finding=finding
        or said("%(most)s of %(all)s misses went %(way)s.", most=most.misses, all=misses, way=most.label),
        counts=counts or said("%(misses)s misses of which it was said", misses=misses),
        figure=rows_figure(drawn, said("of 100 misses"), 100.0, most=1.0),
        columns=[
            Column("way", said("How")),
            Column("misses", said("Misses"), "count"),
            Column("share", said("Of 100"), "percent"),
            Column("low", said("From"), "percent"),
            Column("high", said("To"), "percent"),
        ],
        rows=[(row.label, row.misses, row.share, row.low, row.high) for row in rows],
        text=said("Misses of which nobody said how are left out."),
        key=(("interval", said("share; %(many)s in 100 such intervals hold the true one", many=level_of)),),
    )
