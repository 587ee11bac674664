"""The sections of the season's page: what was played, how averages lie, families, how long matches last."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext, ngettext

from analytics import charts
from analytics.charts import Chart, Column, RateRow
from analytics.charts.chart import Num, chart
from analytics.reports.intervals import LEAST_INNINGS
from analytics.reports.season import CLASS, LONGEST, SHORTEST
from analytics.reports.wording import Shown
from analytics.season import AT_ONCE, ClubSeason
from analytics.templatetags.charts import say
from scoring.access import Actor
from scoring.pages.words import family_name, speak
from scoring.rules.said import said

from .reporting import Section


def sections_of(found: ClubSeason, actor: Actor) -> Iterator[Section]:
    """Yield the sections of a season that has a match."""
    if not found.season.players:
        return
    yield _played_section(found)
    yield _averages_section(found, actor)
    yield _families_section(found)
    yield _lengths_section(found)


def _played_section(found: ClubSeason) -> Section:
    season = found.season
    notes = [gettext("Averages, points and innings are of confirmed matches that count.")]
    drawn = [_weeks(found)] if season.matches else []
    return Section("played", gettext("What was played"), list(_played_findings(found)), drawn, notes)


def _weeks(found: ClubSeason) -> Chart:
    season = found.season
    busiest = max(season.a_week)
    return charts.matches_a_week(
        season.weeks,
        season.a_week,
        finding=ngettext(
            "At most one match in a week.",
            "At most %(most)s matches in a week, first in that of %(day)s.",
            busiest,
        )
        % {"most": busiest, "day": say(Num(season.weeks[season.a_week.index(busiest)], "date"))},
        counts=_matches(season.matches),
    )


def _matches(many: int) -> str:
    return ngettext("one match", "%(n)s matches", many) % {"n": say(Num(many))}


def _played_findings(found: ClubSeason) -> Iterator[str]:
    season = found.season
    yield ngettext("One match is over.", "%(n)s matches are over.", season.matches) % {"n": season.matches}
    waiting = season.matches - season.confirmed
    if waiting:
        yield ngettext(
            "One of them waits to be confirmed and counts in no average yet.",
            "%(n)s of them wait to be confirmed and count in no average yet.",
            waiting,
        ) % {"n": waiting}
    if season.under_way:
        yield ngettext("One more is under way.", "%(n)s more are under way.", season.under_way) % {
            "n": season.under_way
        }
    yield ngettext("One player took part.", "%(n)s players took part.", season.players) % {
        "n": season.players
    }
    if season.innings:
        yield gettext("%(points)s points in %(innings)s innings: together an average of %(average)s.") % {
            "points": say(Num(season.points)),
            "innings": say(Num(season.innings)),
            "average": found.game.cut(season.points, season.innings),
        }
    if season.strokes:
        yield ngettext(
            "%(strokes)s stroke was written down by itself.",
            "%(strokes)s strokes were written down one by one.",
            season.strokes,
        ) % {"strokes": say(Num(season.strokes))}


def _averages_section(found: ClubSeason, actor: Actor) -> Section:
    season = found.season
    if not season.averages:
        words = gettext("No player has %(least)s innings of confirmed matches yet.") % {
            "least": LEAST_INNINGS
        }
        return Section("averages", gettext("Averages of the players"), [words])
    own = next((season.averages[pk] for pk in sorted(actor.own_players) if pk in season.averages), None)
    ranked = sorted(season.averages.values(), key=lambda one: one[0] / one[1])
    notes = []
    if season.few:
        notes.append(
            ngettext(
                "One player with fewer than %(least)s innings is left out.",
                "%(n)s players with fewer than %(least)s innings are left out.",
                season.few,
            )
            % {"n": season.few, "least": LEAST_INNINGS}
        )
    drawn = charts.averages_of_players(
        season.edges,
        season.classes,
        own=own[0] / own[1] if own else None,
        title=said("General averages"),
        finding=said(
            "They lie from %(low)s to %(high)s.",
            low=found.game.cut(*ranked[0]),
            high=found.game.cut(*ranked[-1]),
        ),
        counts=ngettext("one player", "%(n)s players", len(ranked)) % {"n": len(ranked)},
    )
    return Section("averages", gettext("Averages of the players"), (), [drawn], notes)


def _families_section(found: ClubSeason) -> Section:
    families = found.season.families
    recorded = sum(row.attempts for row in families.rows)
    title = gettext("What everybody tries")
    notes = [speak(families.words)] if families.words else []
    if found.unread:
        notes.append(
            ngettext(
                "The strokes of one match are not counted here yet; they are at the next look.",
                "The strokes of %(n)s matches are not counted here yet; %(more)s more are at each look.",
                found.unread,
            )
            % {"n": found.unread, "more": AT_ONCE}
        )
    if not recorded:
        return Section(
            "families", title, [gettext("Of no stroke was it recorded what was tried.")], (), notes
        )
    findings = [
        ngettext(
            "Of one stroke it is recorded what was tried.",
            "Of %(n)s strokes it is recorded what was tried.",
            recorded,
        )
        % {"n": say(Num(recorded))}
    ]
    rows = [
        RateRow(
            family_name(row.family),
            row.attempts,
            row.points,
            *(
                (row.raw, row.wilson.low, row.wilson.high)
                if row.wilson and row.shown is not Shown.COUNTS
                else ()
            ),
        )
        for row in families.rows
    ]
    most = families.rows[0]
    drawn = charts.rates_compared(
        rows,
        said("Family tried"),
        name="families",
        title=said("Families, of all players"),
        finding=said(
            "Tried most: %(family)s, %(points)s of %(strokes)s made.",
            family=family_name(most.family),
            points=most.points,
            strokes=most.attempts,
        ),
        counts=ngettext("one stroke with a family", "%(n)s strokes with a family", recorded)
        % {"n": say(Num(recorded))},
        text=said("Counts only where a family was tried too seldom for a rate."),
    )
    if families.unrecorded.strokes:
        notes.append(
            ngettext(
                "Of one more stroke nobody said what was tried.",
                "Of %(n)s more strokes nobody said what was tried.",
                families.unrecorded.strokes,
            )
            % {"n": say(Num(families.unrecorded.strokes))}
        )
    return Section("families", title, findings, [drawn], notes)


def _lengths_section(found: ClubSeason) -> Section:
    title, known = gettext("How long matches last"), found.season.lengths
    if known is None:
        words = gettext("Of no match does the clock tell how long it lasted.")
        return Section("lengths", title, [words])
    notes = []
    if known.left_out:
        notes.append(
            ngettext(
                "One match is left out: its clock shows under %(shortest)s minutes or over %(longest)s hours.",
                "%(n)s matches are left out: their clocks show under %(shortest)s minutes or over %(longest)s hours.",
                known.left_out,
            )
            % {"n": known.left_out, "shortest": round(SHORTEST), "longest": round(LONGEST / 60)}
        )
    drawn = charts.match_lengths(
        known.first,
        known.classes,
        width=CLASS,
        median=known.median,
        title=said("Minutes a match"),
        counts=_matches(known.matches),
        finding=said(
            "Half of the matches last %(median)s minutes or less, eight in ten between %(low)s and %(high)s; "
            "half of them need %(innings)s innings or fewer.",
            median=Num(known.median),
            low=Num(known.low),
            high=Num(known.high),
            innings=Num(known.innings),
        ),
    )
    return Section("lengths", title, (), [drawn], notes)


# --- lists, which are tables and no drawings -------------------------------------


def high_runs_listed(found: ClubSeason) -> Chart:
    """Return the longest runs as a table for CSV."""
    return _listed(
        "high-runs",
        said("High runs"),
        [Column("high_run", said("High run"), "count")],
        [(found.names[one.player], one.date, one.match, one.high_run) for one in found.season.high_runs],
    )


def averages_listed(found: ClubSeason) -> Chart:
    """Return the best averages of one match as a table for CSV."""
    return _listed(
        "best-averages",
        said("Best averages of one match"),
        [
            Column("points", said("Points"), "count"),
            Column("innings", said("Innings"), "count"),
            Column("average", said("Average")),
        ],
        [
            (
                found.names[one.player],
                one.date,
                one.match,
                one.points,
                one.innings,
                found.game.cut(one.points, one.innings),
            )
            for one in found.season.best_averages
        ],
    )


def _listed(name: str, title: object, more: list[Column], rows: list[tuple]) -> Chart:
    first = [
        Column("player", said("Player")),
        Column("date", said("Date"), "date"),
        Column("match", said("Match"), "count"),
    ]
    return chart(
        name, title=title, finding="", counts="", figure={}, text="", columns=[*first, *more], rows=rows
    )
