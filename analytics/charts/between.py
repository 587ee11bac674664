"""Two players beside one another: how strong each is now, and what rules of thumb make of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from scoring.rules.said import said

from .chart import Chart, Column, Num, Text, chart, undefined
from .marks import INK, upright
from .rows import Row, rows_figure


@dataclass(frozen=True)
class StrengthRow:
    """A player's points per miss, older matches weighing less; no interval: counts only."""

    label: Text
    points: int
    innings: int
    strength: Any = None
    low: Any = None
    high: Any = None


def strengths(
    rows: Sequence[StrengthRow], *, level_of: int = 90, finding: Text = None, counts: Text = None
) -> Chart:
    """Return how strong players are now, each with the interval of constant form."""
    drawn = [
        Row(
            row.label,
            None if undefined(row.low) else row.strength,
            row.low,
            row.high,
            end=Num(row.strength, "number", 2),
        )
        for row in rows
    ]
    innings, points = sum(row.innings for row in rows), sum(row.points for row in rows)
    return chart(
        "strength",
        title=said("Strength now"),
        finding=finding or said("%(points)s points in %(innings)s innings.", points=points, innings=innings),
        counts=counts or said("%(innings)s innings", innings=innings),
        figure=rows_figure(drawn, said("points per miss")),
        columns=[
            Column("player", said("Player")),
            Column("points", said("Points"), "count"),
            Column("innings", said("Innings"), "count"),
            Column("strength", said("Points per miss, now"), "number", 3),
            Column("low", said("From"), "number", 2),
            Column("high", said("To"), "number", 2),
        ],
        rows=[(row.label, row.points, row.innings, row.strength, row.low, row.high) for row in rows],
        text=said(
            "Points per miss of all matches, the older the lighter: after half a year a match weighs half."
        ),
        key=(
            (
                "interval",
                said("strength; %(many)s in 100 such intervals hold it at constant form", many=level_of),
            ),
        ),
    )


@dataclass(frozen=True)
class DistanceRow:
    """Two distances, where they come from, and the first player's chance; `fair`: the second's fair distance."""

    label: Text
    distance: tuple[int, int]
    chance: float
    low: float
    high: float
    fair: int | None = None


def distances_compared(
    rows: Sequence[DistanceRow],
    names: tuple[Text, Text],
    *,
    level_of: int = 90,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return the first player's chance under each pair of distances, an even match marked."""
    drawn = [
        Row(
            said(
                "%(rule)s: %(first)s to %(second)s",
                rule=row.label,
                first=row.distance[0],
                second=row.distance[1],
            ),
            row.chance,
            row.low,
            row.high,
            end=Num(row.chance, "percent"),
        )
        for row in rows
    ]
    figure = rows_figure(drawn, said("chance of %(name)s, of 100", name=names[0]), scale=100.0, most=1.0)
    mark = upright(50, INK)
    figure["layout"]["shapes"].append(mark)
    figure["layout"]["meta"]["narrow"]["shapes"].append(mark)
    return chart(
        "rules-of-thumb",
        title=said("Rules of thumb"),
        finding=finding or said("Chances of %(name)s under the distances that rules give.", name=names[0]),
        counts=counts or said("%(rules)s pairs of distances", rules=len(rows)),
        figure=figure,
        columns=[
            Column("rule", said("Rule")),
            Column("first", said("Distance of %(name)s", name=names[0]), "count"),
            Column("second", said("Distance of %(name)s", name=names[1]), "count"),
            Column("chance", said("%(name)s wins, of 100", name=names[0]), "percent"),
            Column("low", said("From"), "percent"),
            Column("high", said("To"), "percent"),
            Column("fair", said("Fair for %(name)s", name=names[1]), "count"),
        ],
        rows=[(row.label, *row.distance, row.chance, row.low, row.high, row.fair) for row in rows],
        text=said("A draw counts half; the line marks an even match."),
        key=(
            (
                "interval",
                said(
                    "chance, and its range for averages that are known so well: %(many)s in 100",
                    many=level_of,
                ),
            ),
            ("reference", said("an even match")),
        ),
    )
