"""The sections of a player's report: what is found in words, then the charts behind it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.utils.translation import gettext, ngettext

from analytics import charts
from analytics.charts import AverageRow, Chart, FamilyRow, GainRow, RateRow
from analytics.charts.chart import Num
from analytics.report import Report
from analytics.reports.families import Row
from analytics.reports.form import Part
from analytics.reports.promises import Promise
from analytics.reports.rates import Rate
from analytics.reports.wording import FOR_ESTIMATE, Shown
from analytics.templatetags.charts import say
from scoring.pages.words import family_name, speak
from scoring.rules.said import said

from .report_filter import Names
from .reporting import Section

# Fewer matches than this and a line through time says nothing.
LEAST_MOVING = 3
LINES = {
    "declared": said("the line that was declared"),
    "best": said("the best line for this player's spread"),
}
TOLD = {
    "blind": said("before the stroke"),
    "same-time": said("with the stroke"),
    "hindsight": said("afterwards"),
}


def sections_of(report: Report, names: Names) -> Iterator[Section]:
    """Yield the sections of a report, what pays first."""
    yield families_section(report)
    yield runs_section(report)
    yield averages_section(report, names)


# --- families ------------------------------------------------------------------


def families_section(report: Report) -> Section:
    """Return which shots pay, beside what was promised of them."""
    trying = report.trying
    found = trying.families
    notes = [speak(found.words)] if found.words else []
    if trying.line is not None:
        notes.append(
            gettext("Promised: what the aim calculator said before the outcome was known, of %(line)s.")
            % {"line": speak(LINES[trying.line])}
        )
    drawn: list[Chart] = []
    if found.rows:
        drawn.append(
            charts.families(
                [_family(row) for row in found.rows],
                unrecorded=(found.unrecorded.strokes, found.unrecorded.points)
                if found.unrecorded.strokes
                else None,
            )
        )
    gains = [_gain(row) for row in found.rows if row.promised is not None and row.shown is not Shown.COUNTS]
    if gains:
        drawn.append(charts.points_gained(gains))
    return Section(
        "families",
        gettext("Families against promises"),
        list(_family_findings(report)),
        drawn,
        notes,
    )


def _family_findings(report: Report) -> Iterator[str]:
    trying = report.trying
    recorded = sum(row.attempts for row in trying.families.rows)
    if not trying.strokes:
        yield gettext("No stroke was written down yet.")
    elif not recorded:
        yield gettext(
            "Of no stroke was it recorded what was tried. Describe strokes at the table, or name the "
            "family of a miss, and they appear here."
        )
    else:
        yield gettext("Of %(recorded)s strokes of %(all)s it is recorded what was tried.") % {
            "recorded": recorded,
            "all": trying.strokes,
        }
    for (told, source), promise in trying.promised.items():
        yield promise_words(promise, told, source)


def promise_words(promise: Promise, told: str, source: str) -> str:
    """Return what was promised and what came of it, counts first."""
    low, high = promise.central
    return gettext(
        "Promised %(when)s, of %(line)s: %(expected)s of %(strokes)s strokes. Made: %(points)s. "
        "Chance alone gives %(low)s to %(high)s."
    ) % {
        "when": speak(TOLD[told]),
        "line": speak(LINES[source]),
        "expected": say(Num(promise.expected, "number", 0)),
        "strokes": promise.strokes,
        "points": promise.points,
        "low": low,
        "high": high,
    }


def _family(row: Row) -> FamilyRow:
    told = row.promised
    shrunken = row.shrunken if row.shown is not Shown.COUNTS else None
    return FamilyRow(
        family_name(row.family),
        row.attempts,
        row.points,
        shrunken.rate if shrunken else None,
        shrunken.interval.low if shrunken else None,
        shrunken.interval.high if shrunken else None,
        told.expected / told.strokes if told else None,
        row.words or "",
    )


def _gain(row: Row) -> GainRow:
    told, offset = row.promised, row.offset
    if told is None:
        raise ValueError(row.family)
    many = 100.0 / told.strokes
    return GainRow(
        family_name(row.family),
        told.strokes,
        told.per_100,
        offset.gained.low * many if offset else None,
        offset.gained.high * many if offset else None,
        row.words or "",
    )


# --- runs ----------------------------------------------------------------------


def runs_section(report: Report) -> Section:
    """Return runs beside what chance alone gives, and what follows a point."""
    running = report.running
    findings: list[str] = []
    notes: list[str] = []
    drawn: list[Chart] = []
    if not running.innings:
        findings.append(
            gettext(
                "No inning was written down yet; of matches of which only totals are known no run can be "
                "told."
            )
        )
    if running.histogram is not None and running.tail is not None:
        drawn.append(charts.run_histogram(running.histogram.observed, running.histogram.expected))
        drawn.append(charts.run_tail(running.tail.reached, running.tail.geometric))
        if running.expected_high is not None:
            findings.append(_high_words(report))
        if running.cut:
            notes.append(
                ngettext(
                    "One run was cut off by the distance or the end of the match: it is known to be at least so long.",
                    "%(count)s runs were cut off by the distance or the end of the match: they are known to be at least so long.",
                    running.cut,
                )
                % {"count": running.cut}
            )
    if running.streaks is not None:
        findings.append(speak(running.streaks.words))
        drawn.append(_after(report))
        notes.append(
            gettext(
                "After an own point the player chose where the balls came to lie; first strokes are played "
                "from what the opponent left. The difference mixes own position play, what opponents leave, "
                "and form."
            )
        )
    return Section("runs", gettext("Runs against chance"), findings, drawn, notes)


def _high_words(report: Report) -> str:
    running, form = report.running, report.form
    values = {
        "high": max((run for run, _ in running.counts), default=0),
        "innings": running.innings,
        "expected": say(Num(running.expected_high, "number", 1)),
        "times": say(Num(running.chance_of_high, "percent", 0)),
    }
    text = gettext(
        "The longest run in %(innings)s innings is %(high)s; at one rate throughout about "
        "%(expected)s is to be expected, and one of %(high)s or more %(times)s times in 100."
    )
    if form.high_run_open:
        text += " " + gettext("The distance cut it off: it is at least so long.")
    return text % values


def _after(report: Report) -> Chart:
    running = report.running
    rows = [
        _rate_row(gettext("after an own point"), running.after_point),
        _rate_row(gettext("first stroke of an inning"), running.first),
        _rate_row(gettext("opening stroke"), running.opening),
    ]
    streaks = running.streaks
    if streaks is not None and streaks.after_point is not None:
        finding: Any = said(
            "After an own point %(more)s more of 100 strokes score than at first in an inning, counted match by match.",
            more=Num(100 * streaks.after_point, "number", 1),
        )
    else:
        finding = said(
            "%(points)s of %(strokes)s first strokes made the point.",
            points=running.first.points,
            strokes=running.first.strokes,
        )
    return charts.rates_compared(
        rows,
        said("Strokes"),
        name="after-a-point",
        title=said("After a point, at first, at the opening"),
        finding=finding,
        counts=said("%(innings)s innings", innings=running.innings),
        text=said("The opening stroke is played from a known position and stands apart."),
    )


def _rate_row(label: str, rate: Rate) -> RateRow:
    interval = rate.interval if rate.strokes >= FOR_ESTIMATE else None
    return RateRow(
        label,
        rate.strokes,
        rate.points,
        rate.success if interval else None,
        interval.low if interval else None,
        interval.high if interval else None,
    )


# --- averages ------------------------------------------------------------------


def averages_section(report: Report, names: Names) -> Section:
    """Return the averages with what is known of them: through time, and by part."""
    form = report.form
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
                window=10,
                general=form.estimate.average,
                title=said("Average of the last ten matches"),
                finding=said(
                    "The last ten matches average %(average)s.",
                    average=Num(moved[-1].average, "average", report.decimals),
                ),
                counts=said("%(matches)s matches", matches=len(moved)),
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


def _average_findings(report: Report) -> Iterator[str]:
    form, whole = report.form, report.form.estimate
    if whole.innings == 0:
        yield gettext("No confirmed match of what is asked has an inning yet.")
        return
    yield gettext(
        "General average %(average)s: %(points)s points in %(innings)s innings of %(matches)s matches."
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
    if form.halves is not None and form.halves.interval is not None:
        yield _halves_words(form.halves.ratio, form.halves.interval)


def _halves_words(ratio: float, interval: Any) -> str:
    values = {
        "ratio": say(Num(ratio, "number", 2)),
        "low": say(Num(interval.low, "number", 2)),
        "high": say(Num(interval.high, "number", 2)),
    }
    text = gettext(
        "The later half of the matches made %(ratio)s times the points per miss of the earlier half, "
        "between %(low)s and %(high)s."
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
