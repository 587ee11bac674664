"""Which shots pay: families beside what was promised of them, in a player's report."""

from __future__ import annotations

from collections.abc import Iterator

from django.urls import reverse
from django.utils.translation import gettext, ngettext

from analytics import charts
from analytics.charts import Chart, FamilyRow, GainRow
from analytics.charts.chart import Num
from analytics.report import Report
from analytics.reports.families import Row
from analytics.reports.promises import Promise
from analytics.reports.selecting import Aside
from analytics.reports.wording import Shown
from analytics.templatetags.charts import say
from scoring.pages.words import family_name, speak
from scoring.rules.said import said

from .reporting import Section

LINES = {
    "declared": said("the line that was declared"),
    "best": said("the best line for this player's spread"),
}
TOLD = {
    "blind": said("before the stroke"),
    "same-time": said("with the stroke"),
    "hindsight": said("afterwards"),
}


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
    unrecorded = (
        found.unrecorded.strokes + trying.whole[0],
        found.unrecorded.points + trying.whole[1],
    )
    if found.rows:
        drawn.append(
            charts.families(
                [_family(row) for row in found.rows],
                unrecorded=unrecorded if unrecorded[0] else None,
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
        [_family_link(report, row) for row in found.rows],
    )


def _family_link(report: Report, row: Row) -> tuple[str, str]:
    """Return the way to a family's own page, with the filter kept."""
    address = reverse("player-family", args=[report.player.pk, row.family])
    return f"{address}?{report.asked.query}", family_name(row.family)


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
        yield ngettext(
            "Of %(recorded)s stroke of %(all)s it is recorded what was tried.",
            "Of %(recorded)s strokes of %(all)s it is recorded what was tried.",
            recorded,
        ) % {"recorded": recorded, "all": trying.strokes}
    if trying.whole[0] and recorded:
        yield ngettext(
            "%(strokes)s stroke stands in an inning that was written whole.",
            "%(strokes)s strokes stand in innings that were written whole.",
            trying.whole[0],
        ) % {"strokes": trying.whole[0]}
    for (told, source), promise in trying.promised.items():
        yield promise_words(promise, told, source)
    yield from aside_words(trying.aside)
    if trying.by_family is not None:
        yield _by_family_words(trying.by_family, report.spread)


def promise_words(promise: Promise, told: str, source: str) -> str:
    """Return what was promised and what came of it, counts first."""
    low, high = promise.central
    text = ngettext(
        "Promised %(when)s, of %(line)s: %(expected)s of %(strokes)s stroke. Made: %(points)s. "
        "Chance alone gives %(low)s to %(high)s.",
        "Promised %(when)s, of %(line)s: %(expected)s of %(strokes)s strokes. Made: %(points)s. "
        "Chance alone gives %(low)s to %(high)s.",
        promise.strokes,
    )
    if promise.only_points:
        text += " " + only_points_words()
    return text % {
        "when": speak(TOLD[told]),
        "line": speak(LINES[source]),
        "expected": say(Num(promise.expected, "number", 0)),
        "strokes": promise.strokes,
        "points": promise.points,
        "low": low,
        "high": high,
    }


def aside_words(aside: Aside) -> Iterator[str]:
    """Say how many promises are left out of every comparison, and why."""
    if aside.chosen:
        yield ngettext(
            "%(strokes)s stroke that was described afterwards is left aside: in its match not every stroke "
            "was described, and points are described more readily than misses.",
            "%(strokes)s strokes that were described afterwards are left aside: in their matches not every "
            "stroke was described, and points are described more readily than misses.",
            aside.chosen,
        ) % {"strokes": aside.chosen}
    if aside.older:
        yield ngettext(
            "%(strokes)s stroke that an older model promised is left aside: two models are never pooled.",
            "%(strokes)s strokes that an older model promised are left aside: two models are never pooled.",
            aside.older,
        ) % {"strokes": aside.older}


def only_points_words() -> str:
    """Return what strokes without a miss among them are worth."""
    return gettext("All of them are points: where only points are written down so, nothing is proved.")


def _by_family_words(promise: Promise, spread: float) -> str:
    """Return what strokes of which the family alone is known would give, and what they gave."""
    low, high = promise.central
    return ngettext(
        "Of %(strokes)s stroke the family is known and the position is not: an ordinary line of the family, "
        "played with a spread of %(spread)s, would give %(expected)s points. Made: %(points)s. Chance alone "
        "gives %(low)s to %(high)s. This is never added to promises of a position.",
        "Of %(strokes)s strokes the family is known and the position is not: an ordinary line of each family, "
        "played with a spread of %(spread)s, would give %(expected)s points. Made: %(points)s. Chance alone "
        "gives %(low)s to %(high)s. This is never added to promises of a position.",
        promise.strokes,
    ) % {
        "strokes": promise.strokes,
        "spread": say(Num(spread, "number", 2)),
        "expected": say(Num(promise.expected, "number", 0)),
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
