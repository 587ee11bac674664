"""The sections of two players: what happened, how strong both are, a match between them, fair distances."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from django.utils.translation import gettext, ngettext

from analytics import charts
from analytics.between import Between
from analytics.charts import AverageRow, Chart, DistanceRow, StrengthRow
from analytics.charts.chart import Cut, Num
from analytics.known import Known
from analytics.reports.common import OF_RATES
from analytics.reports.form import WINDOW, Moved
from analytics.reports.intervals import LEAST_INNINGS
from analytics.reports.story_words import of_hundred
from analytics.reports.wording import how_likely
from analytics.templatetags.charts import say
from scoring.pages.words import speak
from scoring.rules.said import said

from .reporting import Section

# Fewer dates than this and lines through time say nothing.
LEAST_DATES = 3


def sections_of(between: Between) -> Iterator[Section]:
    """Yield the sections of two players, their matches first."""
    yield met_section(between)
    yield strength_section(between)
    yield chance_section(between)
    yield distances_section(between)


# --- head to head ------------------------------------------------------------------


def met_section(between: Between) -> Section:
    """Return what happened between the two."""
    return Section("met", gettext("Head to head"), list(_met_words(between)))


def _met_words(between: Between) -> Iterator[str]:
    met = between.met
    if not met.meetings:
        yield gettext("No finished match between the two is open to you.")
        return
    first, second = met.totals
    if met.confirmed:
        text = ngettext(
            "Of one confirmed match %(first)s won %(won)s, %(second)s %(lost)s.",
            "Of %(matches)s confirmed matches %(first)s won %(won)s, %(second)s %(lost)s.",
            len(met.confirmed),
        )
        if met.drawn:
            text += " " + ngettext("One was drawn.", "%(drawn)s were drawn.", met.drawn)
        yield text % {
            "matches": len(met.confirmed),
            "first": between.names[0],
            "second": between.names[1],
            "won": first.won,
            "lost": second.won,
            "drawn": met.drawn,
        }
    if met.pending:
        yield ngettext(
            "One match waits to be confirmed and counts nowhere yet.",
            "%(matches)s matches wait to be confirmed and count nowhere yet.",
            met.pending,
        ) % {"matches": met.pending}


# --- strength ----------------------------------------------------------------------


def strength_section(between: Between) -> Section:
    """Return both averages with their intervals, strength now, and averages through time."""
    pairs = list(zip(between.known, between.names, strict=True))
    findings = [_average_words(between, known, name) for known, name in pairs]
    findings += [words for known, name in pairs if (words := _form_words(known, name))]
    drawn: list[Chart] = []
    if any(known.innings for known, _ in pairs):
        drawn.append(
            charts.averages_compared(
                [*_average_rows(between)],
                said("Player"),
                cut=Cut(between.decimals, between.rounding),
                title=said("Averages of both"),
                finding=said(
                    "%(first)s %(one)s, %(second)s %(two)s.",
                    first=between.names[0],
                    one=between.cut(between.known[0].points, between.known[0].innings) or "–",
                    second=between.names[1],
                    two=between.cut(between.known[1].points, between.known[1].innings) or "–",
                ),
                name="averages-of-both",
                counts=_counts(between),
            )
        )
        drawn.append(_strengths(between))
    through = _through_time(between)
    if through is not None:
        drawn.append(through)
    notes = [
        gettext(
            "Averages are points over innings of confirmed matches. Intervals are on points per miss, "
            "because an inning that the distance cut off is no miss; 95 in 100 of them hold the true one."
        )
    ]
    notes += [_open_words(known, name) for known, name in pairs if known.of != "all"]
    return Section("strength", gettext("Strength and form"), findings, drawn, notes)


def _open_words(known: Known, name: str) -> str:
    if known.of == "published":
        return gettext("Of %(name)s only published matches are open to you.") % {"name": name}
    return gettext("The report of %(name)s is not open: only the matches between the two count here.") % {
        "name": name
    }


def _counts(between: Between) -> Any:
    first, second = between.known
    return said(
        "%(innings)s innings of %(first)s, %(others)s of %(second)s",
        innings=first.innings,
        first=between.names[0],
        others=second.innings,
        second=between.names[1],
    )


def _average_words(between: Between, known: Known, name: str) -> str:
    if not known.innings:
        return gettext("Of %(name)s no match of what is asked is confirmed.") % {"name": name}
    return ngettext(
        "%(name)s averages %(average)s: %(points)s points in %(innings)s innings of one match.",
        "%(name)s averages %(average)s: %(points)s points in %(innings)s innings of %(matches)s matches.",
        known.matches,
    ) % {
        "name": name,
        "average": between.cut(known.points, known.innings),
        "points": known.points,
        "innings": known.innings,
        "matches": known.matches,
    }


def _form_words(known: Known, name: str) -> str:
    """Return how far form moves a player from match to match; nothing where it cannot be told."""
    if not known.enough or known.rating.form_sd <= 0.0:
        return ""
    return gettext("From match to match form moves the average of %(name)s by about %(percent)s %%.") % {
        "name": name,
        "percent": say(Num(known.rating.form_sd, "percent")),
    }


def _average_rows(between: Between) -> Iterator[AverageRow]:
    for known, name in zip(between.known, between.names, strict=True):
        estimate = known.form.estimate if known.form else None
        if estimate is None:
            continue
        ends = estimate.interval
        yield AverageRow(
            name,
            estimate.points,
            estimate.innings,
            estimate.average,
            ends.low if ends else None,
            ends.high if ends else None,
        )
    for total, name, other in zip(between.met.totals, between.names, between.names[::-1], strict=True):
        if total.innings:
            yield AverageRow(
                gettext("%(name)s against %(other)s") % {"name": name, "other": other},
                total.points,
                total.innings,
                total.average,
            )


def _strengths(between: Between) -> Chart:
    rows = []
    for known, name in zip(between.known, between.names, strict=True):
        ends = known.rating.interval if known.enough else None
        rows.append(
            StrengthRow(
                name,
                known.points,
                known.innings,
                known.rating.average if ends else None,
                ends.low if ends else None,
                ends.high if ends else None,
            )
        )
    told = [(row.label, row.strength) for row in rows if row.strength is not None]
    finding = None
    if len(told) == 2:
        finding = said(
            "%(first)s makes %(one)s points per miss now, %(second)s %(two)s.",
            first=told[0][0],
            one=Num(told[0][1], "number", 2),
            second=told[1][0],
            two=Num(told[1][1], "number", 2),
        )
    return charts.strengths(rows, finding=finding, counts=_counts(between), level_of=round(100 * OF_RATES))


def _through_time(between: Between) -> Chart | None:
    """Return the averages of the last ten matches of both, through time; None for too few."""
    moving = [known.form.moving if known.form else () for known in between.known]
    if any(len(own) < LEAST_DATES for own in moving):
        return None
    days = sorted({one.date for own in moving for one in own})
    lines = [(name, _on(days, own)) for name, own in zip(between.names, moving, strict=True)]
    cut = Cut(between.decimals, between.rounding)
    drawn = charts.averages_together(
        days,
        lines,
        window=WINDOW,
        cut=cut,
        title=said("Averages of the last ten matches"),
        finding=said(
            "Last: %(first)s %(one)s, %(second)s %(two)s.",
            first=between.names[0],
            one=Num.average(lines[0][1][-1], cut),
            second=between.names[1],
            two=Num.average(lines[1][1][-1], cut),
        ),
        counts=said(
            "%(matches)s matches of %(first)s, %(others)s of %(second)s",
            matches=len(moving[0]),
            first=between.names[0],
            others=len(moving[1]),
            second=between.names[1],
        ),
    )
    return replace(
        drawn, text=said("Points over innings in the last ten matches, or in all before the tenth.")
    )


def _on(days: Sequence[date], moving: Sequence[Moved]) -> list[Any]:
    """Return the average that held on each day; None before the first match."""
    latest = {one.date: one.average for one in moving}
    found: list[Any] = []
    for day in days:
        found.append(latest.get(day, found[-1] if found else None))
    return found


# --- a match between them ----------------------------------------------------------


def chance_section(between: Between) -> Section:
    """Return the chance to win under the format asked for, as a range."""
    findings = [] if between.chance is None else list(_chance_words(between))
    if not findings:
        findings = [_too_little(between)]
    notes = [
        gettext(
            "Who wins the lag is not known yet. The range comes from the averages alone; form of the day comes "
            "on top and is averaged out. Neither player is taken to play differently against this opponent."
        )
    ]
    return Section("chance", gettext("A match between them"), findings, (), notes)


def _too_little(between: Between) -> str:
    names = [name for known, name in zip(between.known, between.names, strict=True) if not known.enough]
    return gettext("Too early to tell: at least %(innings)s confirmed innings are needed of %(names)s.") % {
        "innings": LEAST_INNINGS,
        "names": gettext("%(first)s and %(second)s") % {"first": names[0], "second": names[1]}
        if len(names) > 1
        else names[0],
    }


def _chance_words(between: Between) -> Iterator[str]:
    told = between.chance
    if told is None:
        return
    yield gettext(
        "%(name)s is to win %(low)s to %(high)s of 100 such matches, about %(mean)s; a draw counts half."
    ) % {
        "name": between.names[0],
        "low": say(of_hundred(told.interval.low)),
        "high": say(of_hundred(told.interval.high)),
        "mean": say(of_hundred(told.mean)),
    }
    ahead = told.mean >= 0.5
    # A word is said of the whole range alone, never of its middle.
    word = how_likely(told.interval.low if ahead else 1.0 - told.interval.high)
    if word is not None:
        yield gettext("%(name)s is %(likely)s to win.") % {
            "name": between.names[0 if ahead else 1],
            "likely": speak(word),
        }
    else:
        yield gettext("Too early to call a winner.")
    yield gettext("Taken at their word, the averages would give %(plain)s of 100.") % {
        "plain": say(of_hundred(told.plug_in))
    }
    if told.chances.draw >= 0.005:
        yield gettext("About %(draws)s of 100 end in a draw.") % {
            "draws": say(Num(told.chances.draw, "percent"))
        }


# --- distances -----------------------------------------------------------------------


def distances_section(between: Between) -> Section:
    """Return the fair distance, beside what rules of thumb give."""
    findings: list[str] = []
    drawn: list[Chart] = []
    if not between.enough:
        findings.append(_too_little(between))
        return Section("distances", gettext("Fair distances"), findings)
    against = between.wanted.distance[1]
    fair = between.fair
    if fair is None:
        findings.append(
            gettext("No distance makes a match against %(against)s points of %(second)s even.")
            % {"against": against, "second": between.names[1]}
        )
    else:
        findings.append(
            gettext(
                "Against %(against)s points of %(second)s a match is nearest to even if %(first)s plays to "
                "%(fair)s; one point more or less moves the chance by about %(moves)s of 100."
            )
            % {
                "against": against,
                "second": between.names[1],
                "first": between.names[0],
                "fair": fair.distance,
                "moves": say(Num(abs(fair.chance - fair.one_more), "percent")),
            }
        )
    curve = between.curve
    drawn.append(
        charts.chance_by_distance(
            [at.distance for at in curve],
            [at.chance for at in curve],
            between.names,
            against=against,
            low=[at.low for at in curve],
            high=[at.high for at in curve],
            fair=fair.distance if fair else None,
            title=said("Chance by distance"),
            finding=_at_own(between),
            level_of=round(100 * OF_RATES),
        )
    )
    rows = [
        DistanceRow(
            speak(one.rule.name),
            one.rule.distance,
            one.forecast.mean,
            one.forecast.interval.low,
            one.forecast.interval.high,
            one.rule.fair.distance,
        )
        for one in between.by_rules
    ]
    if rows:
        drawn.append(charts.distances_compared(rows, between.names, level_of=round(100 * OF_RATES)))
    notes = [
        gettext(
            "A distance in proportion to the average is fair to within a few points in 100. What a rule adds, or a "
            "least distance, is paid by the weaker player. How badly the averages are known weighs more than any rule."
        )
    ]
    if not between.wanted.plain:
        notes.append(
            gettext("These are races to a distance alone, without sets and without a limit of innings.")
        )
    return Section("distances", gettext("Fair distances"), findings, drawn, notes)


def _at_own(between: Between) -> Any:
    """Return what the drawing says of the distances that are asked for."""
    own, against = between.wanted.distance
    at = next(at for at in between.curve if at.distance == own)
    return said(
        "To %(own)s against %(against)s %(name)s is to win about %(chance)s of 100.",
        own=own,
        against=against,
        name=between.names[0],
        chance=of_hundred(at.chance),
    )
