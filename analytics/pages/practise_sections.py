"""The sections of what to practise next: gains by family and by position, and what came of practice."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext, ngettext

from analytics import charts
from analytics.charts import Chart, PracticeRow, RateRow
from analytics.charts.chart import Num
from analytics.practice_advice import Followed, Practise
from analytics.report import Report
from analytics.reports.practising import Advice, Worth
from analytics.reports.rates import rate
from analytics.reports.wording import FOR_ESTIMATE
from analytics.templatetags.charts import say
from scoring.pages.words import family_name, speak
from scoring.positions import name_of
from scoring.rules.said import said

from .reporting import Section


def sections_of(report: Report, practise: Practise, practice: bool) -> Iterator[Section]:
    """Yield the sections; `practice`: whether the reader may see attempts at practice."""
    yield _families(report, practise)
    if practice:
        yield _positions(practise)
        yield _followed(practise)


def advice_words(advice: Advice) -> str:
    """Return the advice in a sentence: one family where it is clear, else those it lies between."""
    if advice.named is not None:
        best = next(one for one in advice.worth if one.name == advice.named)
        return gettext(
            "Practise %(family)s: worth about %(gain)s of average if you reach what is within reach, and "
            "the best choice in %(times)s of 100 draws."
        ) % {
            "family": family_name(best.name),
            "gain": say(Num(best.gain, "number", 3)),
            "times": say(Num(best.best, "percent")),
        }
    if not advice.contenders:
        return gettext("In none of these families is anything within reach that you do not make already.")
    by_name = {one.name: one for one in advice.worth}
    listed = "; ".join(
        gettext("%(family)s (%(times)s of 100)")
        % {"family": family_name(name), "times": say(Num(by_name[name].best, "percent"))}
        for name in advice.contenders
    )
    return gettext(
        "Too close to name one. The best choice is among these: %(families)s. Either is worth about the same."
    ) % {"families": listed}


def _families(report: Report, practise: Practise) -> Section:
    findings, notes, drawn = [], [], list[Chart]()
    if practise.advice is not None:
        findings.append(advice_words(practise.advice))
        attempts = {row.family: row.attempts for row in report.trying.families.rows}
        drawn.append(
            charts.practice_gain(
                [_row(one, family_name(one.name), attempts[one.name]) for one in practise.advice.worth],
                finding=said(
                    "What each family would add to the average, if it came to what is within reach."
                ),
            )
        )
        hands = [family_name(name) for name, source in practise.reach.items() if source == "hands"]
        club = [family_name(name) for name, source in practise.reach.items() if source == "club"]
        if hands:
            notes.append(
                gettext(
                    "Within reach is what the aim calculator promised your own hands on these strokes: %(families)s."
                )
                % {"families": "; ".join(hands)}
            )
        if club:
            notes.append(
                gettext(
                    "Within reach is what the better of the club's players of a like average make: %(families)s."
                )
                % {"families": "; ".join(club)}
            )
    else:
        findings.append(
            gettext(
                "Too early to advise anything: it takes a family with 20 strokes written down, misses "
                "included, and promises of 10 of them or four players of a like average who tried it."
            )
        )
    if practise.left_out:
        notes.append(
            gettext("Nothing tells what is within reach of %(families)s; nothing is advised there.")
            % {"families": "; ".join(family_name(name) for name in practise.left_out)}
        )
    if report.trying.families.words is not None:
        notes.append(speak(report.trying.families.words))
    return Section("gains", gettext("What each family would add"), findings, drawn, notes)


def _row(worth: Worth, label: str, attempts: int) -> PracticeRow:
    return PracticeRow(label, attempts, worth.gain, worth.interval.low, worth.interval.high, worth.best)


def _positions(practise: Practise) -> Section:
    if not practise.positions:
        return Section(
            "positions",
            gettext("Positions practised"),
            [gettext("No position was practised yet.")],
        )
    drawn = [
        charts.rates_compared(
            [_rate_row(name_of(one.position), one.tried, one.made) for one in practise.positions],
            said("Position"),
            name="positions",
            title=said("Positions"),
            finding=said(
                "%(made)s of %(tried)s attempts made the point.",
                made=sum(one.made for one in practise.positions),
                tried=sum(one.tried for one in practise.positions),
            ),
            counts=ngettext("%(n)s position", "%(n)s positions", len(practise.positions))
            % {"n": len(practise.positions)},
            text=said("Practice is never mixed with matches. Counts only under 20 attempts."),
        )
    ]
    if practise.of_positions is not None:
        by_id = {str(one.position.pk): one for one in practise.positions}
        drawn.append(
            charts.practice_gain(
                [
                    _row(one, name_of(by_id[one.name].position), by_id[one.name].tried)
                    for one in practise.of_positions.worth
                ],
                title=said("What each position would add"),
                finding=said(
                    "Of positions tried 20 times or more: if strokes of their family scored as they are promised."
                ),
                name="practice-gain-positions",
            )
        )
    return Section("positions", gettext("Positions practised"), (), drawn)


def _rate_row(label: str, tried: int, made: int) -> RateRow:
    known = rate(made, tried)
    interval = known.interval if tried >= FOR_ESTIMATE else None
    return RateRow(
        label,
        tried,
        made,
        known.success if interval else None,
        interval.low if interval else None,
        interval.high if interval else None,
    )


def _followed(practise: Practise) -> Section:
    findings = [_followed_words(one) for one in practise.followed]
    notes = sorted({speak(one.progress.warning) for one in practise.followed if one.progress})
    if not findings:
        findings = [
            gettext("Once a family was tried ten times at practice, what came of it in matches is told here.")
        ]
    return Section("followed", gettext("What came of practice"), findings, (), notes)


def _followed_words(one: Followed) -> str:
    text = gettext("%(family)s: %(made)s of %(tried)s at practice since %(day)s.") % {
        "family": family_name(one.family).capitalize(),
        "made": one.made,
        "tried": one.tried,
        "day": say(Num(one.since, "date")),
    }
    if one.progress is None:
        return (
            text
            + " "
            + gettext(
                "Too early to tell what came of it in matches: 20 promised strokes before and after are needed."
            )
        )
    change = one.progress
    return (
        text
        + " "
        + gettext(
            "In matches %(before)s points gained of 100 strokes before, %(after)s since; the change lies "
            "between %(low)s and %(high)s."
        )
        % {
            "before": say(Num(change.before, "number", 1)),
            "after": say(Num(change.after, "number", 1)),
            "low": say(Num(change.interval.low, "number", 1)),
            "high": say(Num(change.interval.high, "number", 1)),
        }
    )
