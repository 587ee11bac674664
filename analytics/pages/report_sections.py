"""The sections of a player's report: what is found in words, then the charts behind it."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import Any

from django.utils.translation import gettext, ngettext

from analytics import charts
from analytics.charts import Chart, RateRow
from analytics.charts.chart import Num
from analytics.report import Report
from analytics.reports.rates import Rate
from analytics.reports.selecting import Aside
from analytics.reports.wording import FOR_ESTIMATE
from analytics.spread_fits import points_of
from analytics.templatetags.charts import say
from scoring.pages.words import speak
from scoring.rules.said import said

from .report_averages import averages_section
from .report_families import aside_words, families_section
from .report_filter import Names
from .reporting import Section


def sections_of(report: Report, names: Names) -> Iterator[Section]:
    """Yield the sections of a report, what pays first."""
    yield families_section(report)
    yield spread_section(report)
    yield runs_section(report)
    yield averages_section(report, names)


# --- spread --------------------------------------------------------------------

STAGES = {
    "few": said("Too few strokes to show a spread: from 25 on."),
    "shown": said("Not settled yet."),
    "settled": said("Settled: the interval lies within 15 in 100."),
    "outside": said("Outside the range that can be told, 0.4 to 3."),
}


def spread_section(report: Report) -> Section:
    """Return the hand's spread as it was fitted, through time."""
    points = [] if report.asked.published_only else points_of(report.players, report.asked.discipline or "")
    notes = [
        gettext(
            "Smaller is steadier; 1 is the reference player. Unless the line was declared, a bad choice "
            "of line counts as a stray hand."
        )
    ]
    shares = report.trying.layouts
    if shares.points or shares.misses:
        notes.append(
            gettext(
                "Position written down: %(points)s of %(of_points)s points, %(misses)s of %(of_misses)s "
                "misses. If these shares differ much, the fit leans."
            )
            % {
                "points": shares.points,
                "of_points": shares.of_points,
                "misses": shares.misses,
                "of_misses": shares.of_misses,
            }
        )
    if not points:
        return Section(
            "spread",
            gettext("Spread of the hand"),
            [
                gettext("No spread is fitted yet: it needs strokes of which the position was written down."),
                *aside_words(report.trying.aside),
            ],
            (),
            notes[1:],
        )
    last = points[-1]
    notes.extend(aside_words(Aside(last.get("chosen", 0), last.get("older", 0))))
    findings = [speak(STAGES[last["stage"]])]
    if last["to_settle"]:
        findings.append(
            ngettext(
                "About %(count)s stroke more would settle it.",
                "About %(count)s strokes more would settle it.",
                last["to_settle"],
            )
            % {"count": last["to_settle"]}
        )
    shown = [one for one in points if one["usable"]]
    drawn: list[Chart] = []
    if shown:
        drawn.append(
            charts.spread_through_time(
                [datetime.datetime.fromisoformat(one["at"]).date() for one in shown],
                [one["median"] for one in shown],
                [one["low"] for one in shown],
                [one["high"] for one in shown],
                [one["strokes"] for one in shown],
                counts=ngettext("%(n)s stroke", "%(n)s strokes", last["strokes"]) % {"n": last["strokes"]},
            )
        )
    return Section("spread", gettext("Spread of the hand"), findings, drawn, notes)


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
                    "%(count)s runs were cut off by the distance or the end of the match: they are known to be at "
                    "least so long.",
                    running.cut,
                )
                % {"count": running.cut}
            )
    if running.streaks is not None:
        findings.append(speak(running.streaks.words))
        if (text := _streak_words(report)) is not None:
            findings.append(text)
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


def _streak_words(report: Report) -> str | None:
    """Return what follows on two points in a row; None where no stroke does."""
    found = report.streak
    if found is None or found.difference is None or found.interval is None:
        return None
    return gettext(
        "After two own points in a row %(points)s of %(strokes)s strokes scored: %(difference)s of 100 beside "
        "the same strokes in any other order; chance alone gives %(low)s to %(high)s (%(level)s in 100)."
    ) % {
        "level": round(100 * found.interval.level),
        "points": found.points,
        "strokes": found.strokes,
        "difference": signed(100 * found.difference),
        "low": signed(100 * (found.interval.low - found.difference)),
        "high": signed(100 * (found.interval.high - found.difference)),
    }


def signed(value: float) -> str:
    """Return a number with one decimal and its sign."""
    return say(Num(value, "signed", 1))


def _after(report: Report) -> Chart:
    running = report.running
    rows = [
        _rate_row(gettext("after an own point"), running.after_point),
        _rate_row(gettext("first stroke of an inning"), running.first),
        _rate_row(gettext("opening stroke"), running.opening),
    ]
    streaks = running.streaks
    if streaks is not None and streaks.after_point is not None:
        apart = Num(100 * abs(streaks.after_point), "number", 1)
        finding: Any = (
            said(
                "After an own point %(more)s more of 100 strokes score than at first in an inning, counted match by match.",
                more=apart,
            )
            if streaks.after_point >= 0
            else said(
                "After an own point %(fewer)s fewer of 100 strokes score than at first in an inning, counted match by match.",
                fewer=apart,
            )
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
