"""The averages of a player's report, with what is known of them: through time, and by part."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from django.utils.translation import gettext, ngettext

from analytics import charts
from analytics.charts import AverageRow, Chart
from analytics.charts.chart import Cut, Num
from analytics.report import Report
from analytics.reports.form import WINDOW, Halves, Part
from analytics.templatetags.charts import say
from scoring.pages.words import speak
from scoring.rules.said import Said, said

from .report_filter import Names
from .reporting import Section

# Fewer matches than this and a line through time says nothing.
LEAST_MOVING = 3


def averages_section(report: Report, names: Names) -> Section:
    """Return the averages with what is known of them: through time, and by part."""
    form, cut = report.form, Cut(report.decimals, report.rounding)
    findings = [*_average_findings(report)]
    drawn: list[Chart] = []
    moved = [one for one in form.moving if one.average is not None]
    if len(moved) >= LEAST_MOVING:
        drawn.append(
            charts.moving_average(
                [one.date for one in moved],
                [one.average for one in moved],
                [one.interval.low if one.interval else None for one in moved],
                [one.interval.high if one.interval else None for one in moved],
                window=WINDOW,
                general=form.estimate.average,
                cut=cut,
                title=said("Average of the last ten matches"),
                finding=_last_words(len(form.moving), moved[-1].average, cut),
                counts=said("%(matches)s matches", matches=len(form.moving)),
                text=said("Points over innings in the last ten matches, or in all before the tenth."),
            )
        )
    heads = {
        "competition": (said("Competition"), said("By competition")),
        "opponent": (said("Opponent"), said("By opponent")),
        "distance": (said("Distance"), said("By distance")),
        "table": (said("Table"), said("By table")),
    }
    for kind, (head, title) in heads.items():
        parts = form.parts[kind]
        if len(parts) > 1:
            drawn.append(
                charts.averages_compared(
                    [_average_row(part, names.of(kind, part.key)) for part in parts],
                    head,
                    general=form.estimate.average,
                    cut=cut,
                    title=title,
                    name=f"averages-{kind}",
                )
            )
    notes = [
        gettext(
            "Averages are points over innings of confirmed matches. Intervals are on points per miss, "
            "because an inning that the distance cut off is no miss; 95 in 100 of them hold the true one."
        )
    ]
    return Section("averages", gettext("Averages with their intervals"), findings, drawn, notes)


def _last_words(matches: int, average: Fraction | None, cut: Cut) -> Said:
    shown = Num.average(average, cut)
    if matches < WINDOW:
        return said("All %(matches)s matches together average %(average)s.", matches=matches, average=shown)
    return said("The last ten matches average %(average)s.", average=shown)


def _average_findings(report: Report) -> Iterator[str]:
    form, whole = report.form, report.form.estimate
    if whole.innings == 0:
        yield gettext("No confirmed match of what is asked has an inning yet.")
        return
    yield ngettext(
        "General average %(average)s: %(points)s points in %(innings)s innings of one match.",
        "General average %(average)s: %(points)s points in %(innings)s innings of %(matches)s matches.",
        form.matches,
    ) % {
        "average": report.cut(whole.points, whole.innings),
        "points": whole.points,
        "innings": whole.innings,
        "matches": form.matches,
    }
    if whole.interval is not None:
        yield gettext("Points per miss lie between %(low)s and %(high)s, with 95 in 100.") % {
            "low": say(Num(whole.interval.low, "number", 2)),
            "high": say(Num(whole.interval.high, "number", 2)),
        } + (f" {speak(whole.words)}." if whole.words else "")
    elif whole.words:
        yield speak(whole.words) + "."
    if form.halves is not None:
        yield _halves_words(form.halves)


def _halves_words(halves: Halves) -> str:
    interval = halves.interval
    values = {
        "ratio": say(Num(halves.ratio, "number", 2)),
        "low": say(Num(interval.low, "number", 2)),
        "high": say(Num(interval.high, "number", 2)),
    }
    if halves.of_matches:
        text = gettext(
            "The later half of the matches made %(ratio)s times the points per miss of the earlier half, "
            "between %(low)s and %(high)s, with 95 in 100."
        )
    else:
        text = gettext(
            "The later half of the matches made %(ratio)s times the points per miss of the earlier half, "
            "between %(low)s and %(high)s, with 95 in 100, if form was the same throughout each."
        )
    if interval.holds(1.0):
        text += " " + gettext("Too early to tell whether anything changed.")
    return text % values


def _average_row(part: Part, label: str) -> AverageRow:
    known = part.estimate
    interval = known.interval
    return AverageRow(
        label,
        known.points,
        known.innings,
        known.average,
        interval.low if interval else None,
        interval.high if interval else None,
    )
