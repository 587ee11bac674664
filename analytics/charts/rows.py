"""Figures of one row a name: the interval as a band, the estimate a disc, the promise a lozenge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from scoring.rules.said import said

from .chart import Text, undefined
from .marks import (
    FIGURE,
    FONT,
    GROUND,
    HEAD,
    INK,
    QUIET,
    ROW_NARROW,
    ROW_WIDE,
    RULE,
    axis,
    discs,
    intervals,
    note,
    paper,
    promises,
)

EDGE = 0.34  # of a row below its band, on a phone; the name takes the rest above


@dataclass(frozen=True)
class Row:
    """A row: its name, the estimate with its interval (None: counts only), the promise, the figure at its end."""

    label: Text
    value: Any = None
    low: Any = None
    high: Any = None
    promise: Any = None
    end: Text = ""


def rows_figure(
    rows: Sequence[Row], title: Text, scale: float = 1.0, least: float | None = 0.0, most: float | None = None
) -> dict[str, Any]:
    """Return the figure of rows, the first on top; `scale` turns values into those of the axis.

    `least` and `most`: ends of the axis before scaling; None lets the numbers say, zero always within.
    """
    at = list(range(len(rows)))
    known = [place for place in at if not undefined(rows[place].value)]
    promised = [place for place in at if not undefined(rows[place].promise)]

    def of(name: str, places: Sequence[int]) -> list[float]:
        return [float(getattr(rows[place], name)) * scale for place in places]

    spanned = [place for place in known if not undefined(rows[place].low)]
    ends = of("low", spanned) + of("high", spanned) + of("value", known) + of("promise", promised)
    first, last = _ends(ends, least, most, scale)
    data = [
        *intervals(of("low", spanned), of("high", spanned), spanned),
        discs(of("value", known), known),
        promises(of("promise", promised), promised),
    ]
    layout = _layout(rows, title, first, last)
    counts_only = [_counts_only(place, rows[place], first, last, scale) for place in at if place not in known]
    layout["annotations"] += counts_only
    layout["meta"]["narrow"]["annotations"] += counts_only
    return {"data": data, "layout": layout}


def _ends(
    values: Sequence[float], least: float | None, most: float | None, scale: float
) -> tuple[float, float]:
    """Return the ends of the axis, with a little room beyond the outermost mark."""
    span = (max([0.0, *values]) - min([0.0, *values])) or scale
    first = min([0.0, *values]) - 0.06 * span if least is None else least * scale
    last = max([0.0, *values]) + 0.06 * span
    return first, last if most is None else min(last, most * scale * 1.02)


def _layout(rows: Sequence[Row], title: Text, first: float, last: float) -> dict[str, Any]:
    count = len(rows)
    labels = [row.label for row in rows]
    upper = axis(
        side="top",
        range=[first, last],
        nticks=6,
        rangemode="normal",
        showline=True,
        linecolor=INK,
        linewidth=1.5,
    )
    named = axis(
        tickvals=list(range(count)),
        ticktext=labels,
        tickfont=FONT,
        range=[count - 0.5, -0.5],
        showgrid=False,
        zeroline=False,
        ticklabelstandoff=10,
    )
    beside = [
        note(row.end, 1, place, xref="paper", xshift=12, font=FIGURE, name="end")
        for place, row in enumerate(rows)
    ]
    over = [
        note(row.label, 0, place, xref="paper", xshift=4, yshift=22, bgcolor=GROUND, name="row")
        for place, row in enumerate(rows)
    ] + [
        note(row.end, 1, place, xref="paper", xanchor="right", yshift=22, font=FIGURE, bgcolor=GROUND)
        for place, row in enumerate(rows)
    ]
    above = note(title, 0, 1, xref="paper", yref="paper", yshift=36, font=HEAD, name="head")
    narrow = {
        "height": 64 + ROW_NARROW * count,
        "yaxis": named | {"showticklabels": False, "range": [count - 1 + EDGE, EDGE - 1]},
        "annotations": [above, *over],
        "shapes": [_between(place + EDGE) for place in range(count)],
        "margin": {"l": 8, "r": 12, "t": 56, "b": 8, "pad": 0},
    }
    layout = paper(64 + ROW_WIDE * count, upper, named, annotations=[above, *beside], narrow=narrow)
    layout["margin"] = layout["margin"] | {"r": 96, "t": 56}
    layout["shapes"] = [_between(place + 0.5) for place in range(count)]
    return layout


def _between(y: float) -> dict[str, Any]:
    return {
        "type": "line",
        "layer": "below",
        "xref": "paper",
        "x0": 0,
        "x1": 1,
        "y0": y,
        "y1": y,
        "line": {"color": RULE, "width": 1},
    }


def _counts_only(place: int, row: Row, first: float, last: float, scale: float) -> dict[str, Any]:
    """Return the words of a row too short for a rate, on the side where no promise stands."""
    middle = (first + last) / 2
    left = undefined(row.promise) or float(row.promise) * scale > middle
    words = {"font": QUIET, "xanchor": "left" if left else "right", "xshift": 6 if left else -6}
    return note(said("counts only"), 0 if left else 1, place, xref="paper", **words)
