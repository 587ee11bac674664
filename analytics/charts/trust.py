"""Belief: whether promises were kept, and how the hand's spread went."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Any

from scoring.rules.said import said

from .chart import Chart, Column, Num, Text, chart, undefined
from .marks import FRAME, INK, axis, band, bars, level, line, note, paper


@dataclass(frozen=True)
class Block:
    """Strokes that the isotonic fit takes together: promised from `low` to `high`, so many made."""

    low: float
    high: float
    strokes: int
    made: int


def reliability(
    blocks: Sequence[Block],
    band_at: Sequence[float],
    band_low: Sequence[float],
    band_high: Sequence[float],
    spread: tuple[Sequence[float], Sequence[int]],
    *,
    level_of: int = 90,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return what was made against what was promised: isotonic steps over the band that kept promises give.

    `band_at`, `band_low`, `band_high`: the consistency band, between 0 and 1. `spread`: edges of
    classes of promises (one more than counts), and the strokes in each.
    """
    places: list[float] = []
    made: list[float] = []
    for block in blocks:
        places += [100 * block.low, 100 * block.high]
        made += [100 * block.made / block.strokes] * 2
    edges, strokes = spread
    middles = [50 * (low + high) for low, high in pairwise(edges)]
    widths = [90 * (high - low) for low, high in pairwise(edges)]
    strip = bars(middles, strokes, FRAME, widths) | {"yaxis": "y2"}
    data = [
        *band(_hundred(band_at), _hundred(band_low), _hundred(band_high)),
        line([0, 100], [0, 100], INK, line={"width": 1}),
        line(places, made),
        strip,
    ]
    grid = {"range": [0, 100], "tickvals": [0, 20, 40, 60, 80, 100]}
    layout = paper(
        460,
        axis(said("promised, of 100 strokes"), anchor="y2", **grid),
        axis(domain=[0.17, 1], **grid),
        yaxis2=axis(domain=[0, 0.1], showticklabels=False, showgrid=False, rangemode="tozero"),
        head=said("made, of 100 strokes"),
        annotations=[
            note(
                said("strokes by promise"),
                0,
                0.105,
                xref="paper",
                yref="paper",
                yanchor="bottom",
                name="strip",
            )
        ],
        widest=560,
        narrow={"height": 420},
    )
    total, points = sum(block.strokes for block in blocks), sum(block.made for block in blocks)
    return chart(
        "reliability",
        title=title or said("Did the promises hold?"),
        finding=finding
        or said("%(made)s of %(strokes)s promised strokes made the point.", made=points, strokes=total),
        counts=counts or said("%(strokes)s strokes promised before they were played", strokes=total),
        figure={"data": data, "layout": layout},
        columns=[
            Column("promised_from", said("Promised from"), "percent"),
            Column("promised_to", said("To"), "percent"),
            Column("strokes", said("Strokes"), "count"),
            Column("made", said("Made"), "count"),
            Column("rate", said("Made of 100"), "percent"),
        ],
        rows=[
            (block.low, block.high, block.strokes, block.made, block.made / block.strokes) for block in blocks
        ],
        text=said("On the straight line as many are made as promised; above it more, below it fewer."),
        key=(
            ("line-a", said("made")),
            ("band", said("where %(many)s in 100 such lines run if every promise holds", many=level_of)),
            ("ticks", said("strokes by promise")),
        ),
    )


def spread_through_time(
    at: Sequence[date] | Sequence[int],
    spread: Sequence[Any],
    low: Sequence[Any],
    high: Sequence[Any],
    strokes: Sequence[int],
    *,
    reference: float | None = 1.0,
    level_of: int = 90,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return the fitted spread of a hand through time, with its interval; smaller is steadier.

    `at`: dates, or strokes counted through; `strokes`: how many each fit used.
    """
    dated = bool(at) and isinstance(at[0], date)
    tops = [float(one) for one in [*spread, *high, reference] if not undefined(one)]
    shapes = [] if reference is None else [level(reference, INK, "dot")]
    layout = paper(
        310,
        axis(None if dated else said("strokes, counted through"), showgrid=False, nticks=7)
        | ({"type": "date"} if dated else {"range": [0, at[-1] if at else 1], "zeroline": False}),
        axis(range=[0, 1.08 * max(tops, default=1.0)], nticks=6),
        head=said("spread"),
        shapes=shapes,
    )
    known = [one for one in zip(spread, low, high, strokes, strict=True) if not undefined(one[0])]
    now = known[-1] if known else (None, None, None, 0)
    return chart(
        "spread",
        title=title or said("Spread"),
        finding=finding
        or said(
            "The spread is about %(spread)s: between %(low)s and %(high)s.",
            spread=Num(now[0], "number", 2),
            low=Num(now[1], "number", 2),
            high=Num(now[2], "number", 2),
        ),
        counts=counts or said("%(strokes)s strokes", strokes=now[3]),
        figure={"data": [*band(at, low, high), line(at, spread)], "layout": layout},
        columns=[
            Column("date", said("Date"), "date") if dated else Column("stroke", said("Stroke"), "count"),
            Column("spread", said("Spread"), "number", 2),
            Column("low", said("From"), "number", 2),
            Column("high", said("To"), "number", 2),
            Column("strokes", said("Strokes"), "count"),
        ],
        rows=list(zip(at, spread, low, high, strokes, strict=True)),
        text=said("A smaller spread is a steadier hand."),
        key=(
            ("line-a", said("spread")),
            ("band", said("%(many)s in 100 such bands hold the true spread", many=level_of)),
            *(
                (("reference", said("the spread that is presumed of nobody in particular")),)
                if reference
                else ()
            ),
        ),
    )


def _hundred(values: Sequence[float]) -> list[float]:
    return [100 * value for value in values]
