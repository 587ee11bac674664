"""A player's report: the figures of the pages as JSON."""

from __future__ import annotations

from dataclasses import asdict
from fractions import Fraction
from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers

from analytics.played.asked import read_asked
from analytics.report import Report, access_report, read_report
from analytics.reports.common import Interval
from analytics.reports.families import Row, Unrecorded
from analytics.reports.permuting import Streak
from analytics.reports.promises import Promise
from analytics.reports.rates import Rate, rate
from scoring.api.views import ScoringView
from scoring.models import Club, Player
from scoring.pages.words import speak


class IntervalOut(serializers.Serializer):
    """Both ends, and the share of cases in which they hold the truth."""

    low = serializers.FloatField()
    high = serializers.FloatField()
    level = serializers.FloatField()


class RunOut(serializers.Serializer):
    """How many innings had a run of this length."""

    run = serializers.IntegerField()
    count = serializers.IntegerField()


class FamilyOut(serializers.Serializer):
    """A family: what was tried, what came of it, and Wilson's interval of 90 %.

    `success`, `low`, `high` are of the counts as they stand; where `rates_withheld` says so,
    points and misses were recorded too unevenly to believe them. `shrunken`: the rate drawn
    towards the player's level, with its interval. `predicted`: the mean of the predictions made
    before the outcome, null without any; they are about one line of the stroke
    (`predictions_line`), for `predicted_strokes` strokes, of which `predicted_points` scored.
    `log_odds`: how far success stands from what was predicted. `shown`: what may be said of so many.
    """

    family = serializers.CharField()
    attempts = serializers.IntegerField()
    share = serializers.FloatField()
    points = serializers.IntegerField()
    success = serializers.FloatField()
    low = serializers.FloatField()
    high = serializers.FloatField()
    shrunken = serializers.FloatField(allow_null=True)
    shrunken_interval = IntervalOut(allow_null=True)
    predicted = serializers.FloatField(allow_null=True)
    predicted_strokes = serializers.IntegerField()
    predicted_points = serializers.IntegerField()
    gained_per_100 = serializers.FloatField(allow_null=True)
    log_odds = serializers.FloatField(allow_null=True)
    shown = serializers.ChoiceField(["counts", "estimate", "words"])
    words = serializers.CharField(allow_null=True)


class UnrecordedOut(serializers.Serializer):
    """Strokes of which nobody said what was tried, those of innings written whole among them.

    The shares recorded of points and of misses are of strokes that were written one by one.
    """

    strokes = serializers.IntegerField()
    points = serializers.IntegerField()
    recorded_of_points = serializers.FloatField(allow_null=True)
    recorded_of_misses = serializers.FloatField(allow_null=True)


class PromiseOut(serializers.Serializer):
    """Points made beside points promised; promises of different kinds and lines are never summed.

    `family` and `ordinary`: strokes whose family is known and whose position is not, beside an
    ordinary line of it at the player's spread.

    `low`, `high`: the points that chance alone gives nine times in ten.
    """

    kind = serializers.ChoiceField(["blind", "same-time", "hindsight", "family"])
    source = serializers.ChoiceField(["declared", "best", "ordinary"])
    strokes = serializers.IntegerField()
    points = serializers.IntegerField()
    expected = serializers.FloatField()
    gained_per_100 = serializers.FloatField()
    low = serializers.IntegerField()
    high = serializers.IntegerField()
    p = serializers.FloatField()


class RateOut(serializers.Serializer):
    """Points of so many strokes; the interval is Wilson's, null without a stroke."""

    points = serializers.IntegerField()
    strokes = serializers.IntegerField()
    interval = IntervalOut(allow_null=True)


class StreakOut(serializers.Serializer):
    """Strokes after two own points in a row, against the same strokes of each match in other orders.

    `difference`: success there minus what other orders give; `low`, `high`: what chance alone leaves
    open about it; `p_high`: the chance of as much or more. Null where no stroke follows two points.
    """

    points = serializers.IntegerField()
    strokes = serializers.IntegerField()
    difference = serializers.FloatField(allow_null=True)
    low = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)
    p_high = serializers.FloatField(allow_null=True)


class PartOut(serializers.Serializer):
    """The matches of one competition, opponent or table (an id), or of one distance."""

    key = serializers.IntegerField(allow_null=True)
    won = serializers.IntegerField()
    drawn = serializers.IntegerField()
    lost = serializers.IntegerField()
    matches = serializers.IntegerField()
    points = serializers.IntegerField()
    innings = serializers.IntegerField()
    average = serializers.CharField(allow_null=True)
    interval = IntervalOut(allow_null=True)


class ReportPartsOut(serializers.Serializer):
    """The same matches parted in four ways."""

    competition = PartOut(many=True)
    opponent = PartOut(many=True)
    distance = PartOut(many=True)
    table = PartOut(many=True)


class MovedOut(serializers.Serializer):
    """After one match: its points and innings, and the average of the last ten matches."""

    match = serializers.IntegerField()
    date = serializers.DateField()
    opponent = serializers.IntegerField()
    points = serializers.IntegerField()
    innings = serializers.IntegerField()
    average = serializers.CharField(allow_null=True)


class SharesOut(serializers.Serializer):
    """How many of the points, and of the misses, are on record."""

    points = serializers.IntegerField()
    of_points = serializers.IntegerField()
    misses = serializers.IntegerField()
    of_misses = serializers.IntegerField()


class ReportOut(serializers.Serializer):
    """Confirmed matches count in the averages; runs and families count every stroke that stands.

    `interval` is on points per miss, which an inning cut off by the distance is not.
    `high_run_at_least`: the distance cut the high run off.
    """

    player = serializers.IntegerField()
    discipline = serializers.CharField()
    asked = serializers.DictField(child=serializers.CharField())
    computed_at = serializers.DateTimeField()
    matches = serializers.IntegerField()
    won = serializers.IntegerField()
    drawn = serializers.IntegerField()
    lost = serializers.IntegerField()
    pending = serializers.IntegerField()
    points = serializers.IntegerField()
    innings = serializers.IntegerField()
    misses = serializers.IntegerField()
    general_average = serializers.CharField(allow_null=True)
    interval = IntervalOut(allow_null=True)
    best_average = serializers.CharField(allow_null=True)
    best_match = serializers.IntegerField(allow_null=True)
    high_run = serializers.IntegerField()
    high_run_at_least = serializers.BooleanField()
    runs = RunOut(many=True)
    expected_high_run = serializers.FloatField(allow_null=True)
    first_strokes = RateOut()
    after_a_point = RateOut()
    opening_strokes = RateOut()
    after_two_points = StreakOut(allow_null=True)
    families = FamilyOut(many=True)
    not_recorded = UnrecordedOut()
    rates_withheld = serializers.BooleanField()
    predictions_line = serializers.ChoiceField(["declared", "best"], allow_null=True)
    layouts_recorded = SharesOut()
    promises = PromiseOut(many=True)
    parts = ReportPartsOut()
    moving = MovedOut(many=True)


class ReportView(ScoringView):
    """What a player's matches tell: averages, runs, families and promises."""

    serializer_class = ReportOut
    queryset = Player.objects.none()
    pagination_class = None
    filterset_class = None

    @extend_schema(
        operation_id="players_report",
        parameters=[
            OpenApiParameter(
                "discipline", OpenApiTypes.STR, description="By default the one that was played most."
            ),
            OpenApiParameter("since", OpenApiTypes.DATE, description="The first day, included."),
            OpenApiParameter("until", OpenApiTypes.DATE, description="The last day, included."),
            OpenApiParameter("competition", OpenApiTypes.INT),
            OpenApiParameter("table", OpenApiTypes.INT),
            OpenApiParameter("opponent", OpenApiTypes.INT),
        ],
        responses=ReportOut,
    )
    def get(self, request, pk: int):
        player = get_object_or_404(Player, pk=pk)
        club = Club.objects.the_first()
        access_report(self.actor, player, read_asked({}, club))
        asked = access_report(self.actor, player, read_asked(request.query_params, club))
        return self.answer(show_report(read_report(player, asked, club)))


def show_report(report: Report) -> dict[str, Any]:
    """Return a report as it is answered."""
    form, running, trying = report.form, report.running, report.trying
    whole, best = form.estimate, form.best
    return {
        "player": report.player.pk,
        "discipline": report.asked.discipline,
        "asked": report.asked.to_query(),
        "computed_at": report.computed_at,
        "matches": form.matches,
        "won": form.won,
        "drawn": form.drawn,
        "lost": form.lost,
        "pending": form.pending,
        "points": whole.points,
        "innings": whole.innings,
        "misses": whole.misses,
        "general_average": report.cut(whole.points, whole.innings),
        "interval": show_interval(whole.interval),
        "best_average": report.cut(best[0], best[1]) if best else None,
        "best_match": best[2] if best else None,
        "high_run": form.high_run,
        "high_run_at_least": form.high_run_open,
        "runs": [{"run": run, "count": count} for run, count in running.counts],
        "expected_high_run": running.expected_high,
        "first_strokes": show_rate(running.first),
        "after_a_point": show_rate(running.after_point),
        "opening_strokes": show_rate(running.opening),
        "after_two_points": _streak(report.streak),
        "families": [show_family(row) for row in trying.families.rows],
        "not_recorded": _unrecorded(trying.families.unrecorded, trying.whole),
        "rates_withheld": trying.families.withheld,
        "predictions_line": trying.line,
        "layouts_recorded": asdict(trying.layouts),
        "promises": [
            *(_promise(*key, row) for key, row in trying.promised.items()),
            *([_promise("family", "ordinary", trying.by_family)] if trying.by_family else []),
        ],
        "parts": {
            name: [
                {
                    "key": part.key,
                    "won": part.won,
                    "drawn": part.drawn,
                    "lost": part.lost,
                    "matches": part.estimate.matches,
                    "points": part.estimate.points,
                    "innings": part.estimate.innings,
                    "average": report.cut(part.estimate.points, part.estimate.innings),
                    "interval": show_interval(part.estimate.interval),
                }
                for part in parts
            ]
            for name, parts in form.parts.items()
        },
        "moving": [
            {
                "match": one.match,
                "date": one.date,
                "opponent": one.opponent,
                "points": one.points,
                "innings": one.innings,
                "average": _cut(report, one.average),
            }
            for one in form.moving
        ],
    }


def _cut(report: Report, average: Fraction | None) -> str | None:
    return None if average is None else report.cut(average.numerator, average.denominator)


def show_interval(interval: Interval | None) -> dict[str, float] | None:
    """Return an interval as it is answered."""
    return None if interval is None else asdict(interval)


def show_rate(of: Rate) -> dict[str, Any]:
    """Return a rate as it is answered."""
    return {"points": of.points, "strokes": of.strokes, "interval": show_interval(of.interval)}


def _streak(found: Streak | None) -> dict[str, Any] | None:
    if found is None:
        return None
    interval = found.interval
    return {
        "points": found.points,
        "strokes": found.strokes,
        "difference": found.difference,
        "low": interval.low if interval else None,
        "high": interval.high if interval else None,
        "p_high": found.p_high,
    }


def _unrecorded(strokes: Unrecorded, whole: tuple[int, int]) -> dict[str, Any]:
    return {
        "strokes": strokes.strokes + whole[0],
        "points": strokes.points + whole[1],
        "recorded_of_points": strokes.of_points,
        "recorded_of_misses": strokes.of_misses,
    }


def show_family(row: Row) -> dict[str, Any]:
    """Return a family as it is answered."""
    told, plain = row.promised, rate(row.points, row.attempts)
    return {
        "family": row.family,
        "attempts": row.attempts,
        "share": row.share,
        "points": row.points,
        "success": plain.success,
        "low": plain.interval.low if plain.interval else None,
        "high": plain.interval.high if plain.interval else None,
        "shrunken": row.shrunken.rate if row.shrunken else None,
        "shrunken_interval": show_interval(row.shrunken.interval) if row.shrunken else None,
        "predicted": told.expected / told.strokes if told else None,
        "predicted_strokes": told.strokes if told else 0,
        "predicted_points": told.points if told else 0,
        "gained_per_100": told.per_100 if told else None,
        "log_odds": row.drawn.mean if row.drawn else None,
        "shown": row.shown.value,
        "words": speak(row.words) if row.words else None,
    }


def _promise(kind: str, source: str, row: Promise) -> dict[str, Any]:
    low, high = row.central
    return {
        "kind": kind,
        "source": source,
        "strokes": row.strokes,
        "points": row.points,
        "expected": row.expected,
        "gained_per_100": row.per_100,
        "low": low,
        "high": high,
        "p": row.p_two,
    }
