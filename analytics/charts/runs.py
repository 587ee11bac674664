"""Runs: how often each was made, and one match inning by inning."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import zip_longest
from math import ceil, floor, log10

from scoring.rules.said import said

from .chart import Chart, Column, Text, chart
from .marks import (
    FRAME,
    INK,
    RULE,
    UMBER,
    above,
    axis,
    bars,
    chance,
    discs,
    line,
    numbered,
    paper,
    room_for_numbers,
    sides,
)


def run_histogram(
    innings: Sequence[int],
    expected: Sequence[float] | None = None,
    *,
    pooled: bool = True,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return how many innings brought each run, beside what one rate throughout gives.

    `innings[k]`: innings with a run of k; with `pooled` the last one holds all longer runs too.
    `expected[k]`: the same under the geometric law. Raises ValueError without innings.
    """
    total = sum(innings)
    if not total:
        raise ValueError("no innings")
    runs = list(range(len(innings)))
    words: list[Text] = [str(run) for run in runs]
    if pooled and len(runs) > 1:
        words[-1] = f"{runs[-1]}+"
    law = list(expected) if expected is not None else []
    tops = [max(pair) for pair in zip_longest(innings, law, fillvalue=0)]
    data = [bars(runs, innings), *(chance(runs, law) if law else [])]
    data.append(above(runs, tops, [str(number) for number in innings]))
    layout = paper(
        270,
        axis(said("run"), tickvals=runs, ticktext=words, range=[-0.6, len(runs) - 0.4], showgrid=False)
        | {"zeroline": False},
        axis(visible=True, showticklabels=False, showgrid=False, range=[0, 1.14 * max(tops)]),
    )
    columns = [
        Column("run", said("Run")),
        Column("innings", said("Innings"), "count"),
        Column("chance", said("By chance alone"), "number", 1),
    ]
    return chart(
        "run-histogram",
        title=title or said("Runs"),
        finding=finding
        or said("%(nothing)s of %(innings)s innings brought no point.", nothing=innings[0], innings=total),
        counts=counts or said("%(innings)s innings", innings=total),
        figure={"data": data, "layout": layout},
        columns=columns if law else columns[:2],
        rows=[row if law else row[:2] for row in zip_longest(words, innings, law)],
        text=said("Innings by run."),
        key=(
            ("bar", said("innings played")),
            *((("chance", said("what chance alone gives at one rate throughout")),) if law else ()),
        ),
    )


def run_tail(
    at_least: Sequence[int],
    law: Sequence[float] | None = None,
    *,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return the share of innings with a run of at least k, on a log axis, where one rate is a straight line.

    `at_least[k]`: innings with a run of k or more, so `at_least[0]` is all of them; `law[k]`: the
    probability under the geometric law. Raises ValueError without innings.
    """
    if not at_least or not at_least[0]:
        raise ValueError("no innings")
    total = at_least[0]
    seen = [(run, count / total) for run, count in enumerate(at_least) if count]
    given = [(run, float(share)) for run, share in enumerate(law or ()) if share > 0]
    data = [line([run for run, _ in given], [share for _, share in given], INK)] if given else []
    data.append(discs([run for run, _ in seen], [share for _, share in seen]))
    shares = [share for _, share in seen + given]
    low = min(-1, *(log10(share) for share in shares)) - 0.12
    decades = list(range(0, floor(low), -1))
    named = [said("all"), *(said("1 in %(many)s", many=10**-decade) for decade in decades[1:])]
    layout = paper(
        290,
        axis(said("points in one inning, at least"), range=[-0.3, len(at_least) - 0.5], nticks=12)
        | {"zeroline": False, "showgrid": False},
        axis(type="log", range=[low, 0.08], tickvals=[10.0**decade for decade in decades], ticktext=named)
        | {"zeroline": False, "showline": True, "linecolor": INK},
        head=said("share of innings, log axis"),
    )
    rows = zip_longest(
        range(len(at_least)), at_least, [count / total for count in at_least], law or (), fillvalue=None
    )
    columns = [
        Column("run", said("Points, at least"), "count"),
        Column("innings", said("Innings"), "count"),
        Column("share", said("Of 100 innings"), "percent", 1),
        Column("chance", said("By chance alone, of 100"), "percent", 1),
    ]
    longest = max(run for run, _ in seen)
    return chart(
        "run-tail",
        title=title or said("Long runs"),
        finding=finding
        or said("The longest run of %(innings)s innings is %(run)s.", innings=total, run=longest),
        counts=counts or said("%(innings)s innings", innings=total),
        figure={"data": data, "layout": layout},
        columns=columns,
        rows=[row for row in rows if row[0] is not None],
        text=said(
            "On this log axis each line up is ten times as often; at one rate throughout the innings lie on a straight line."
        ),
        key=(
            ("disc", said("innings played")),
            *((("law", said("one rate throughout")),) if given else ()),
        ),
    )


def run_strip(
    first: Sequence[int],
    second: Sequence[int],
    names: tuple[Text, Text],
    *,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return a match inning by inning: the runs of the first player upwards, those of the second downwards."""
    innings = max(len(first), len(second))
    if not innings:
        raise ValueError("no innings")
    most = max(1, *first, *second)
    up, down = list(range(1, len(first) + 1)), list(range(1, len(second) + 1))
    data = [bars(up, first), bars(down, [-run for run in second], UMBER)]
    for places, runs, sign in ((up, first, 1), (down, second, -1)):
        if runs and max(runs):
            best = list(runs).index(max(runs))
            place = "top center" if sign > 0 else "bottom center"
            data.append(above([places[best]], [sign * runs[best]], [str(runs[best])], place))
    step = 5 if innings <= 40 else 10
    marks = list(range(step, innings + 1, step))
    heights = list(range(0, most + 1, _step(most)))
    layout = paper(
        300,
        axis(said("inning"), tickvals=marks, range=[0.3, innings + 0.7], gridcolor=FRAME, zeroline=False),
        axis(
            tickvals=[-height for height in reversed(heights[1:])] + heights,
            ticktext=[str(height) for height in list(reversed(heights[1:])) + heights],
            range=[-1.45 * most, 1.45 * most],
        ),
        barmode="overlay",
        annotations=sides(names),
    )
    rows = [(at + 1, one, other) for at, (one, other) in enumerate(zip_longest(first, second))]
    return chart(
        "run-strip",
        title=title or said("Run by run"),
        finding=finding
        or said(
            "%(first)s %(points)s, %(second)s %(others)s after %(innings)s innings.",
            first=names[0],
            points=sum(first),
            second=names[1],
            others=sum(second),
            innings=innings,
        ),
        counts=counts or said("%(innings)s innings", innings=innings),
        figure={"data": data, "layout": layout},
        columns=[
            Column("inning", said("Inning"), "count"),
            Column("first", names[0], "count"),
            Column("second", names[1], "count"),
        ],
        rows=rows,
        text=said(
            "Each bar is a run; no bar is an inning without a point. The longest runs carry their number."
        ),
        key=(
            ("bar", said("%(name)s, upwards", name=names[0])),
            ("bar-b", said("%(name)s, downwards", name=names[1])),
        ),
    )


def lead(
    leads: Sequence[int],
    names: tuple[Text, Text],
    *,
    shares: Sequence[Fraction] | None = None,
    turns: Sequence[tuple[int, Text]] = (),
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return how far the first player was ahead after each inning, below zero behind: in points.

    `leads[i]`: after inning i + 1. `shares`: the same in shares of the own distance, where those
    differ; then they are drawn, and say who led. `turns`: innings to mark, each with what happened.
    """
    if not leads:
        raise ValueError("no innings")
    innings = list(range(len(leads) + 1))
    drawn = leads if shares is None else [float(f"{float(100 * one):.6g}") for one in shares]
    told = [0, *drawn]
    above_most, below_most = ceil(max(1, *told)), floor(min(-1, *told))
    shapes, notes, key = numbered(turns)
    step = _step(max(above_most, -below_most))
    heights = list(range(below_most // step * step, above_most + 1, step))
    room = 0.22 * (above_most - below_most)
    layout = paper(
        290,
        axis(said("inning"), range=[0, len(leads) + 0.5], rangemode="tozero", nticks=11, showgrid=False)
        | {"zeroline": False},
        axis(
            tickvals=heights,
            ticktext=[str(abs(height)) for height in heights],
            range=[below_most - room, above_most + room],
            gridcolor=RULE,
        ),
        head=said("points ahead") if shares is None else said("ahead, in hundredths of the own distance"),
        shapes=shapes,
        annotations=[*sides(names), *notes],
    )
    if turns:
        room_for_numbers(layout)
    by = leads if shares is None else shares
    led = {
        "first": names[0],
        "ahead": sum(one > 0 for one in by),
        "second": names[1],
        "behind": sum(one < 0 for one in by),
    }
    ahead_by = said("%(name)s ahead by", name=names[0])
    mark = (
        said("points ahead after the inning")
        if shares is None
        else said("ahead after the inning, in hundredths of the own distance")
    )
    columns = [Column("inning", said("Inning"), "count"), Column("lead", ahead_by, "count")]
    if shares is not None:
        columns.append(
            Column("share", said("%(name)s ahead, of the own distance", name=names[0]), "percent", 1)
        )
    return chart(
        "lead",
        title=title or said("The lead"),
        finding=finding
        or (
            said("%(first)s led after %(ahead)s innings, %(second)s after %(behind)s.", **led)
            if shares is None
            else said(
                "By shares of the own distance, %(first)s led after %(ahead)s innings, %(second)s after %(behind)s.",
                **led,
            )
        ),
        counts=counts or said("%(innings)s innings", innings=len(leads)),
        figure={
            "data": [line([*innings, len(leads) + 0.5], [*told, told[-1]], line={"shape": "hv"})],
            "layout": layout,
        },
        columns=columns,
        rows=[
            (inning, *row)
            for inning, row in enumerate(
                zip(*(one for one in (leads, shares) if one is not None), strict=True), 1
            )
        ],
        text=said("Above the line %(first)s is ahead, below it %(second)s.", first=names[0], second=names[1]),
        key=(("line-a", mark), *key),
    )


def _step(most: int) -> int:
    """Return a whole step that divides 0 to `most` into a few."""
    return next(step * 10**power for power in range(9) for step in (1, 2, 5) if most <= 4 * step * 10**power)
