"""A club's season in numbers."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from scoring.rules.said import said

from .chart import Chart, Column, Num, Text, chart
from .marks import axis, bars, paper

DAY = 24 * 60 * 60 * 1000  # [ms], as a date axis counts


def matches_a_week(
    weeks: Sequence[date],
    matches: Sequence[int],
    *,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return how many matches each week saw; `weeks` are the first days of all weeks, the empty ones too."""
    if not weeks:
        raise ValueError("no weeks")
    middle = [week + timedelta(days=3) for week in weeks]
    most = max([1, *matches])
    layout = paper(
        270,
        axis(type="date", range=[_iso(weeks[0]), _iso(weeks[-1] + timedelta(days=7))], nticks=6)
        | {"showgrid": False, "zeroline": False},
        axis(range=[0, 1.06 * most], nticks=5, tickformat="d", **({"dtick": 1} if most < 5 else {})),
        head=said("matches a week"),
    )
    busiest = list(matches).index(max(matches))
    total = sum(matches)
    return chart(
        "matches-a-week",
        title=title or said("Matches a week"),
        finding=finding
        or said(
            "%(matches)s matches in %(weeks)s weeks, most in the week of %(day)s: %(most)s.",
            matches=total,
            weeks=len(weeks),
            day=Num(weeks[busiest], "date"),
            most=matches[busiest],
        ),
        counts=counts or said("%(matches)s matches", matches=total),
        figure={"data": [bars(middle, matches, width=5.8 * DAY)], "layout": layout},
        columns=[
            Column("week", said("Week of"), "date"),
            Column("matches", said("Matches"), "count"),
        ],
        rows=list(zip(weeks, matches, strict=True)),
        text=said("Weeks without a bar saw no match."),
        key=(("bar", said("matches of the week")),),
    )


def _iso(day: date) -> str:
    return day.isoformat()
