"""Families: what was made beside what was promised, and what each is worth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from scoring.rules.said import said

from .chart import Chart, Column, Num, Text, chart, undefined
from .rows import Row, rows_figure


@dataclass(frozen=True)
class FamilyRow:
    """A family as tried: attempts and points, the rate with its interval, the mean promise, what it says.

    `rate`, `low`, `high`, `promised` lie between 0 and 1; no rate: counts only.
    """

    label: Text
    attempts: int
    made: int
    rate: Any = None
    low: Any = None
    high: Any = None
    promised: Any = None
    says: Text = ""


def families(
    rows: Sequence[FamilyRow],
    *,
    unrecorded: tuple[int, int] | None = None,
    level_of: int = 90,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return the success in each family beside what was promised before the strokes.

    `unrecorded`: attempts and points of strokes without a family; they stand in the table alone.
    """
    drawn = [
        Row(
            row.label,
            row.rate,
            row.low,
            row.high,
            row.promised,
            said("%(made)s of %(attempts)s", made=row.made, attempts=row.attempts),
        )
        for row in rows
    ]
    attempts, made = sum(row.attempts for row in rows), sum(row.made for row in rows)
    table: list[tuple[Any, ...]] = [
        (
            row.label,
            row.attempts,
            row.made,
            row.rate,
            row.low,
            row.high,
            row.promised,
            said("Counts only.") if undefined(row.rate) and not row.says else row.says,
        )
        for row in rows
    ]
    if unrecorded:
        table.append((said("not recorded"), *unrecorded, None, None, None, None, ""))
    return chart(
        "families",
        title=title or said("Families"),
        finding=finding
        or said("%(made)s of %(attempts)s strokes made the point.", made=made, attempts=attempts),
        counts=counts or said("%(attempts)s strokes with a family", attempts=attempts),
        figure=rows_figure(drawn, said("of 100 strokes, made"), 100.0, most=1.0),
        columns=[
            Column("family", said("Family tried")),
            Column("attempts", said("Strokes"), "count"),
            Column("made", said("Made"), "count"),
            Column("rate", said("Of 100"), "percent"),
            Column("low", said("From"), "percent"),
            Column("high", said("To"), "percent"),
            Column("promised", said("Promised"), "percent"),
            Column("says", said("What it says")),
        ],
        rows=table,
        text=said("Counts only where a family was tried too seldom for a rate."),
        key=(
            (
                "interval",
                said(
                    "rate, drawn towards the club's where strokes are few; %(many)s in 100 such intervals hold the true one",
                    many=level_of,
                ),
            ),
            ("promise", said("promised before the stroke")),
        ),
    )


@dataclass(frozen=True)
class GainRow:
    """A family's points beyond what was promised, per 100 strokes, with their interval."""

    label: Text
    attempts: int
    gained: Any = None
    low: Any = None
    high: Any = None
    says: Text = ""


def points_gained(
    rows: Sequence[GainRow],
    *,
    level_of: int = 90,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return the points gained on the promises in each family, per 100 strokes; below zero lost."""
    drawn = [Row(row.label, row.gained, row.low, row.high, end=Num(row.gained, "signed", 1)) for row in rows]
    attempts = sum(row.attempts for row in rows)
    return chart(
        "points-gained",
        title=title or said("Points gained"),
        finding=finding or said("Points beyond what was promised, family by family."),
        counts=counts or said("%(attempts)s strokes with a promise", attempts=attempts),
        figure=rows_figure(drawn, said("points gained in 100 strokes"), least=None),
        columns=[
            Column("family", said("Family tried")),
            Column("attempts", said("Strokes"), "count"),
            Column("gained", said("Gained in 100"), "signed", 1),
            Column("low", said("From"), "signed", 1),
            Column("high", said("To"), "signed", 1),
            Column("says", said("What it says")),
        ],
        rows=[(row.label, row.attempts, row.gained, row.low, row.high, row.says) for row in rows],
        text=said("Right of the line more was made than promised, left of it less."),
        key=(
            (
                "interval",
                said("points gained; %(many)s in 100 such intervals hold the true gain", many=level_of),
            ),
        ),
    )


@dataclass(frozen=True)
class PracticeRow:
    """What practising a family is worth: gain in average with its interval, and how often it is the best choice."""

    label: Text
    attempts: int
    gain: Any = None
    low: Any = None
    high: Any = None
    best: Any = None


def practice_gain(
    rows: Sequence[PracticeRow],
    *,
    level_of: int = 90,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
    name: str = "practice-gain",
) -> Chart:
    """Return the expected gain in average by family; `best` is the probability that it gains most."""
    drawn = [
        Row(
            row.label,
            row.gain,
            row.low,
            row.high,
            end="" if undefined(row.best) else said("%(best)s in 100", best=Num(row.best, "percent")),
        )
        for row in rows
    ]
    attempts = sum(row.attempts for row in rows)
    return chart(
        name,
        title=title or said("What to practise next"),
        finding=finding or said("What each family would add to the average."),
        counts=counts or said("%(attempts)s strokes with a family", attempts=attempts),
        figure=rows_figure(drawn, said("gain in average")),
        columns=[
            Column("family", said("Family")),
            Column("attempts", said("Strokes"), "count"),
            Column("gain", said("Gain in average"), "number", 3),
            Column("low", said("From"), "number", 3),
            Column("high", said("To"), "number", 3),
            Column("best", said("Best choice, of 100"), "percent"),
        ],
        rows=[(row.label, row.attempts, row.gain, row.low, row.high, row.best) for row in rows],
        text=said(
            "If the layouts stay as they are. The number at the end tells how often in 100 the family is the best choice."
        ),
        key=(("interval", said("gain; %(many)s in 100 such intervals hold the true gain", many=level_of)),),
    )
