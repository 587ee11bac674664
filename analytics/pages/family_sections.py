"""The sections of a family's page: success through time, promises by their size, misses at practice."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext, ngettext

from analytics import charts
from analytics.charts import Chart, RateRow, TenthRow, WayRow
from analytics.charts.chart import Num
from analytics.family import FamilyReport, Practised
from analytics.reports.one_family import LEAST_IN_PART, Change, Part, Promised
from analytics.reports.rates import Rate, rate
from analytics.reports.wording import FOR_ESTIMATE, FOR_WORDS, Shown
from analytics.templatetags.charts import say
from scoring.models import Attempt
from scoring.pages.words import speak
from scoring.rules.said import said

from .report_families import LINES, TOLD, promise_words
from .reporting import Section


def sections_of(found: FamilyReport) -> Iterator[Section]:
    """Yield the sections, matches first; practice stands apart and is never added to them."""
    yield _matches_section(found)
    yield _promises_section(found)
    if found.practised is not None:
        yield _practice_section(found.practised)


def told_rate(rate: Rate) -> tuple[float | None, float | None, float | None]:
    """Return a rate and its interval as far as so many strokes may tell: nothing below 20."""
    interval = rate.interval
    if interval is None or rate.strokes < FOR_ESTIMATE:
        return None, None, None
    return rate.success, interval.low, interval.high


# --- in matches ----------------------------------------------------------------


def _matches_section(found: FamilyReport) -> Section:
    withheld = found.report.trying.families.withheld
    notes = []
    drawn: list[Chart] = []
    if withheld and found.report.trying.families.words:
        notes.append(speak(found.report.trying.families.words))
    elif len(found.of.parts) > 1:
        drawn.append(_through_time(found.of.parts))
        notes.append(
            gettext("The strokes stand in parts of equal length, %(least)s or more each, in order of play.")
            % {"least": LEAST_IN_PART}
        )
    return Section("matches", gettext("In matches"), list(_match_findings(found)), drawn, notes)


def _match_findings(found: FamilyReport) -> Iterator[str]:
    row = found.row
    if row is None:
        yield gettext("No stroke of this family stands in these matches.")
        return
    yield ngettext(
        "%(points)s of one stroke made the point.",
        "%(points)s of %(strokes)s strokes made the point.",
        row.attempts,
    ) % {"points": row.points, "strokes": row.attempts}
    yield gettext("Of 100 strokes whose family was recorded, %(share)s were of this one.") % {
        "share": say(Num(row.share, "percent"))
    }
    if row.shown is not Shown.COUNTS and row.shrunken is not None:
        yield gettext(
            "Drawn towards the player's own level, as few strokes deserve: %(rate)s of 100, between %(low)s and %(high)s."
        ) % {
            "rate": say(Num(row.shrunken.rate, "percent")),
            "low": say(Num(row.shrunken.interval.low, "percent")),
            "high": say(Num(row.shrunken.interval.high, "percent")),
        }
    elif not found.report.trying.families.withheld:
        yield gettext("Under %(least)s strokes there are counts only.") % {"least": FOR_ESTIMATE}
    if found.of.change is not None and not found.report.trying.families.withheld:
        yield _change_words(found.of.change)


def _change_words(change: Change) -> str:
    values = {
        "earlier": change.earlier.points,
        "before": change.earlier.strokes,
        "later": change.later.points,
        "after": change.later.strokes,
        "low": say(Num(100 * change.interval.low, "signed")),
        "high": say(Num(100 * change.interval.high, "signed")),
    }
    text = gettext(
        "The earlier half made %(earlier)s of %(before)s, the later half %(later)s of %(after)s: "
        "between %(low)s and %(high)s in 100 strokes."
    )
    if not change.clear:
        text += " " + gettext("Too early to tell whether anything changed.")
    return text % values


def _through_time(parts: tuple[Part, ...]) -> Chart:
    last = parts[-1]
    return charts.rates_compared(
        [RateRow(_days(part), part.rate.strokes, part.rate.points, *told_rate(part.rate)) for part in parts],
        said("Played"),
        name="through-time",
        title=said("Success through time"),
        finding=said(
            "%(points)s of the last %(strokes)s strokes made the point.",
            points=last.rate.points,
            strokes=last.rate.strokes,
        ),
        counts=said("%(strokes)s strokes", strokes=sum(part.rate.strokes for part in parts)),
        text=said("The earliest strokes on top. Bands that overlap tell of no change."),
    )


def _days(part: Part) -> object:
    if part.first == part.last:
        return said("%(day)s", day=Num(part.first, "date"))
    return said("%(first)s to %(last)s", first=Num(part.first, "date"), last=Num(part.last, "date"))


# --- promises ------------------------------------------------------------------


def _promises_section(found: FamilyReport) -> Section:
    of = found.of
    findings = [promise_words(one.promise, one.told, one.source) for one in of.promised]
    if not findings:
        findings = [
            gettext(
                "Nothing was promised of these strokes. Where the balls lay and which line was meant must be "
                "written down, so that something can be."
            )
        ]
    elif found.row is not None and found.row.words:
        findings.append(speak(found.row.words).capitalize() + ".")
    notes = [
        gettext(
            "Promises made before, with and after a stroke, and those of a declared and of the best line, are "
            "never added up. Words on more or fewer than promised need %(many)s strokes."
        )
        % {"many": FOR_WORDS}
    ]
    drawn = [_by_tenths(one) for one in of.promised if one.promise.strokes >= FOR_ESTIMATE]
    return Section("promises", gettext("Promised and made"), findings, drawn, notes if of.promised else ())


def _by_tenths(one: Promised) -> Chart:
    return charts.promised_by_tenths(
        [
            TenthRow(tenth, row.strokes, row.points, row.expected, *row.central)
            for tenth, row in one.tenths.items()
        ],
        name=f"promised-{one.told}-{one.source}",
        title=said("Promised %(when)s, of %(line)s", when=TOLD[one.told], line=LINES[one.source]),
        counts=ngettext("%(n)s stroke with a promise", "%(n)s strokes with a promise", one.promise.strokes)
        % {"n": one.promise.strokes},
    )


# --- practice ------------------------------------------------------------------


def _practice_section(practised: Practised) -> Section:
    title = gettext("At practice")
    if not practised.tried:
        return Section("practice", title, [gettext("No attempt at this family is among what was practised.")])
    findings = [
        ngettext(
            "%(made)s of one attempt made the point.",
            "%(made)s of %(tried)s attempts made the point.",
            practised.tried,
        )
        % {"made": practised.made, "tried": practised.tried}
    ]
    ways = _ways(practised)
    if ways:
        findings.append(gettext("Missed: %(ways)s.") % {"ways": ways})
    notes = [gettext("Attempts at practice are chosen and repeated: they count in no figure of matches.")]
    drawn = [_how_chart(practised)] if practised.how else []
    return Section("practice", title, findings, drawn, notes)


def _ways(practised: Practised) -> str:
    names = dict(Attempt.How.choices)
    words = [
        gettext("%(count)s %(how)s") % {"count": count, "how": names[Attempt.How(way)]}
        for way, count in practised.how.items()
    ]
    if practised.unsaid:
        words.append(gettext("%(count)s without saying how") % {"count": practised.unsaid})
    return ", ".join(words)


def _how_chart(practised: Practised) -> Chart:
    names = dict(Attempt.How.choices)
    told = practised.missed - practised.unsaid
    rows = [
        WayRow(names[Attempt.How(way)], count, *told_rate(rate(count, told)))
        for way, count in practised.how.items()
    ]
    counts = ngettext("one miss of which it was said how", "%(n)s misses of which it was said how", told) % {
        "n": told
    }
    return charts.ways_to_miss(rows, told, counts=counts)
