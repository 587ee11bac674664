"""How long matches take."""

from __future__ import annotations

from collections.abc import Sequence

from scoring.rules.said import said

from .chart import Chart, Column, Num, Text, chart
from .marks import INK, above, axis, bars, paper, upright


def match_lengths(
    first: int,
    matches: Sequence[int],
    *,
    width: int,
    median: float,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return how many matches took how long; classes of `width` minutes begin at `first` [min].

    Raises ValueError without classes.
    """
    if not matches:
        raise ValueError("no matches")
    edges = [first + width * at for at in range(len(matches) + 1)]
    middles = [edge + width / 2 for edge in edges[:-1]]
    told = [str(number) if number else "" for number in matches]
    layout = paper(
        270,
        axis(said("minutes"), range=[edges[0], edges[-1]], showgrid=False, nticks=7) | {"zeroline": False},
        axis(showticklabels=False, showgrid=False, range=[0, 1.16 * max([1, *matches])]),
        shapes=[upright(median, INK, "dash")],
    )
    total = sum(matches)
    return chart(
        "match-lengths",
        title=title or said("How long matches last"),
        finding=finding or said("Half of them last %(median)s minutes or less.", median=Num(median)),
        counts=counts or said("%(matches)s matches", matches=total),
        figure={
            "data": [bars(middles, matches, width=0.9 * width), above(middles, matches, told)],
            "layout": layout,
        },
        columns=[
            Column("from", said("From [min]"), "count"),
            Column("below", said("Below [min]"), "count"),
            Column("matches", said("Matches"), "count"),
        ],
        rows=list(zip(edges, edges[1:], matches, strict=False)),
        text=said("From the first entry to the end of the match, breaks included."),
        key=(("bar", said("matches")), ("reference", said("half of the matches are shorter"))),
    )
