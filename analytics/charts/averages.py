"""Averages: through the innings, beside one another, and how those of a club lie."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Any

from scoring.rules.said import said

from .chart import USUAL, Chart, Column, Cut, Num, Text, chart, undefined
from .marks import (
    GROUND,
    INK,
    SERIES,
    SHEET,
    above,
    axis,
    band,
    bars,
    level,
    line,
    note,
    numbered,
    paper,
    room_for_numbers,
    series,
    upright,
)
from .rows import Row, rows_figure


def moving_average(
    at: Sequence[int] | Sequence[date],
    average: Sequence[Any],
    low: Sequence[Any],
    high: Sequence[Any],
    *,
    window: int,
    general: Any = None,
    cut: Cut = USUAL,
    marks: Sequence[tuple[Any, Text]] = (),
    level_of: int = 95,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
    text: Text = None,
) -> Chart:
    """Return points over innings in the last `window` innings, after each place of `at`, with its band.

    `at`: innings counted through, or dates; None where the window is not full. `general` is the
    average over all; `marks` are places where a competition begins, with its name.
    """
    dated = bool(at) and isinstance(at[0], date)
    shapes, notes, key = numbered(marks)
    if not undefined(general):
        shapes.append(level(float(general), INK, "dot"))
        notes.append(
            note(
                said("all: %(average)s", average=Num.average(general, cut)),
                0,
                float(general),
                xref="paper",
                xshift=4,
                yanchor="bottom",
                bgcolor=GROUND,
                yshift=2,
            )
        )
    values = [float(one) for one in [*average, *high, general] if not undefined(one)]
    layout = paper(
        310,
        axis(None if dated else said("innings, counted through"), showgrid=False, nticks=7)
        | ({"type": "date"} if dated else {"range": [0, at[-1] if at else 1], "zeroline": False}),
        axis(range=[0, 1.08 * max(values, default=1.0)], nticks=6),
        head=said("average"),
        shapes=shapes,
        annotations=notes,
    )
    if marks:
        room_for_numbers(layout)
    data = [*band(at, low, high), line(at, average)]
    last = next((one for one in reversed(average) if not undefined(one)), None)
    known = sum(not undefined(one) for one in average)
    return chart(
        "moving-average",
        title=title or said("Average through time"),
        finding=finding
        or said(
            "The last %(window)s innings average %(average)s.", window=window, average=Num.average(last, cut)
        ),
        counts=counts
        or said("%(places)s points of the line, each over %(window)s innings", places=known, window=window),
        figure={"data": data, "layout": layout},
        columns=[
            Column("date", said("Date"), "date") if dated else Column("inning", said("Inning"), "count"),
            Column.average("average", said("Average"), cut),
            Column("low", said("From"), "number", 2),
            Column("high", said("To"), "number", 2),
        ],
        rows=list(zip(at, average, low, high, strict=True)),
        text=text or said("Points over innings in the last %(window)s innings.", window=window),
        key=(
            ("line-a", said("average")),
            ("band", said("%(many)s in 100 such bands hold the true average", many=level_of)),
            *((("reference", said("average over all innings")),) if not undefined(general) else ()),
            *key,
        ),
    )


def averages_together(
    at: Sequence[int] | Sequence[date],
    players: Sequence[tuple[Text, Sequence[Any]]],
    *,
    window: int,
    cut: Cut = USUAL,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return the moving averages of up to four players beside one another, each (name, averages).

    Raises ValueError for none, or more than four: five lines are no longer told apart.
    """
    if not 1 <= len(players) <= len(SERIES):
        raise ValueError(f"{len(players)} players")
    dated = bool(at) and isinstance(at[0], date)
    values = [float(one) for _, averages in players for one in averages if not undefined(one)]
    layout = paper(
        310,
        axis(None if dated else said("innings, counted through"), showgrid=False, nticks=7)
        | ({"type": "date"} if dated else {"range": [0, at[-1] if at else 1], "zeroline": False}),
        axis(range=[0, 1.08 * max(values, default=1.0)], nticks=6),
        head=said("average"),
        plot_bgcolor=SHEET,
    )
    return chart(
        "averages-together",
        title=title or said("Averages beside one another"),
        finding=finding or said("Averages of %(players)s players through time.", players=len(players)),
        counts=counts or said("each point over the last %(window)s innings", window=window),
        figure={
            "data": [series(number, at, averages, name) for number, (name, averages) in enumerate(players)],
            "layout": layout,
        },
        columns=[
            Column("date", said("Date"), "date") if dated else Column("inning", said("Inning"), "count"),
            *(Column.average(f"player_{number}", name, cut) for number, (name, _) in enumerate(players, 1)),
        ],
        rows=list(zip(at, *(averages for _, averages in players), strict=True)),
        text=said("Points over innings in the last %(window)s innings.", window=window),
        key=[(f"series-{number}", name) for number, (name, _) in enumerate(players, 1)],
    )


@dataclass(frozen=True)
class AverageRow:
    """An average against one opponent, in one competition, at one distance; no interval: counts only."""

    label: Text
    points: int
    innings: int
    average: Any = None
    low: Any = None
    high: Any = None


def averages_compared(
    rows: Sequence[AverageRow],
    by: Text,
    *,
    general: Any = None,
    cut: Cut = USUAL,
    level_of: int = 95,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
    name: str = "averages",
) -> Chart:
    """Return averages beside one another, each with its interval; `by` heads the first column."""
    drawn = [
        Row(
            row.label,
            None if undefined(row.low) else row.average,
            row.low,
            row.high,
            end=Num.average(row.average, cut),
        )
        for row in rows
    ]
    figure = rows_figure(drawn, said("average"))
    if not undefined(general):
        mark = upright(float(general), INK)
        figure["layout"]["shapes"].append(mark)
        figure["layout"]["meta"]["narrow"]["shapes"].append(mark)
    innings, points = sum(row.innings for row in rows), sum(row.points for row in rows)
    return chart(
        name,
        title=title or said("Averages"),
        finding=finding or said("%(points)s points in %(innings)s innings.", points=points, innings=innings),
        counts=counts or said("%(innings)s innings", innings=innings),
        figure=figure,
        columns=[
            Column("label", by),
            Column("points", said("Points"), "count"),
            Column("innings", said("Innings"), "count"),
            Column.average("average", said("Average"), cut),
            Column("low", said("From"), "number", 2),
            Column("high", said("To"), "number", 2),
        ],
        rows=[(row.label, row.points, row.innings, row.average, row.low, row.high) for row in rows],
        text=said("Counts only where too little was played for an interval."),
        key=(
            ("interval", said("average; %(many)s in 100 such intervals hold the true one", many=level_of)),
            *((("reference", said("average over all innings")),) if not undefined(general) else ()),
        ),
    )


def averages_of_players(
    edges: Sequence[float],
    players: Sequence[int],
    *,
    own: Any = None,
    own_label: Text = None,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return how many players have an average between two edges; `own` is marked, "you" unless told otherwise.

    `players[i]` lie from `edges[i]` up to, not including, `edges[i + 1]`.
    """
    if len(edges) != len(players) + 1:
        raise ValueError("one edge more than classes")
    middles = [(low + high) / 2 for low, high in pairwise(edges)]
    widths = [0.9 * (high - low) for low, high in pairwise(edges)]
    shapes, notes = [], []
    if not undefined(own):
        # Set off from the bars it crosses.
        shapes = [upright(float(own), GROUND, "solid"), upright(float(own), INK, "dash")]
        shapes[0]["line"]["width"] = 3
        notes = [
            note(
                own_label or said("you"),
                float(own),
                1,
                yref="paper",
                xanchor="center",
                yanchor="bottom",
                name="number",
            )
        ]
    told = [str(number) if number else "" for number in players]
    layout = paper(
        270,
        axis(said("average"), range=[min(0.0, edges[0]), edges[-1]], showgrid=False, nticks=8)
        | {"zeroline": False},
        axis(showticklabels=False, showgrid=False, range=[0, 1.16 * max([1, *players])]),
        shapes=shapes,
        annotations=notes,
    )
    layout["margin"]["t"] += 14 if notes else 0
    total = sum(players)
    return chart(
        "averages-of-players",
        title=title or said("Averages of the players"),
        finding=finding or said("%(players)s players have an average.", players=total),
        counts=counts or said("%(players)s players", players=total),
        figure={
            "data": [bars(middles, players, width=widths), above(middles, players, told)],
            "layout": layout,
        },
        columns=[
            Column("from", said("From"), "number", 2),
            Column("below", said("Below"), "number", 2),
            Column("players", said("Players"), "count"),
        ],
        rows=list(zip(edges, edges[1:], players, strict=False)),
        text=said("Players by their average."),
        key=(
            ("bar", said("players")),
            *((("reference", own_label or said("your average")),) if not undefined(own) else ()),
        ),
    )
