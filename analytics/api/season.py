"""The club's season: the figures of its page as JSON."""

from __future__ import annotations

from dataclasses import asdict
from itertools import pairwise
from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers

from analytics.played.asked import read_asked
from analytics.reports.season import CLASS, Best, Lengths
from analytics.reports.wording import Shown
from analytics.season import ClubSeason, read_club_season
from scoring.api.views import ScoringView
from scoring.models import Club, Match


class WeekOut(serializers.Serializer):
    """The matches of a week that begins on this day."""

    week = serializers.DateField()
    matches = serializers.IntegerField()


class AverageClassOut(serializers.Serializer):
    """Players whose general average lies from `low` up to, not including, `high`."""

    low = serializers.FloatField()
    high = serializers.FloatField()
    players = serializers.IntegerField()


class BestOut(serializers.Serializer):
    """A player's side of a match; the name as the player agreed."""

    player = serializers.IntegerField()
    name = serializers.CharField()
    match = serializers.IntegerField()
    date = serializers.DateField()
    points = serializers.IntegerField()
    innings = serializers.IntegerField()
    high_run = serializers.IntegerField()
    average = serializers.CharField(allow_null=True)


class SeasonFamilyOut(serializers.Serializer):
    """A family as everybody tried it; the rate with Wilson's interval of 90 %, null under 20 strokes."""

    family = serializers.CharField()
    attempts = serializers.IntegerField()
    points = serializers.IntegerField()
    success = serializers.FloatField(allow_null=True)
    low = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)


class LengthClassOut(serializers.Serializer):
    """Matches that lasted from `low` up to, not including, `high` minutes."""

    low = serializers.IntegerField()
    high = serializers.IntegerField()
    matches = serializers.IntegerField()


class LengthsOut(serializers.Serializer):
    """How long matches lasted [min]: the median, and between which eight in ten lie.

    `left_out`: matches whose clock shows under 5 minutes or over 12 hours.
    """

    matches = serializers.IntegerField()
    left_out = serializers.IntegerField()
    median = serializers.FloatField()
    low = serializers.FloatField()
    high = serializers.FloatField()
    innings = serializers.FloatField()
    classes = LengthClassOut(many=True)


class SeasonOut(serializers.Serializer):
    """A season; of published competitions only (`published_only`) but for organisers.

    Points, innings, averages and high runs are of confirmed matches. `too_few_innings`: players
    left out of the averages. `strokes_not_read`: matches whose strokes are not counted yet.
    `rates_withheld`: points and misses were recorded too unevenly to believe rates.
    """

    discipline = serializers.CharField()
    asked = serializers.DictField(child=serializers.CharField())
    published_only = serializers.BooleanField()
    computed_at = serializers.DateTimeField()
    matches = serializers.IntegerField()
    confirmed = serializers.IntegerField()
    under_way = serializers.IntegerField()
    players = serializers.IntegerField()
    points = serializers.IntegerField()
    innings = serializers.IntegerField()
    average = serializers.CharField(allow_null=True)
    high_run = serializers.IntegerField()
    strokes = serializers.IntegerField()
    strokes_not_read = serializers.IntegerField()
    weeks = WeekOut(many=True)
    averages = AverageClassOut(many=True)
    too_few_innings = serializers.IntegerField()
    high_runs = BestOut(many=True)
    best_averages = BestOut(many=True)
    families = SeasonFamilyOut(many=True)
    families_not_recorded = serializers.IntegerField()
    rates_withheld = serializers.BooleanField()
    lengths = LengthsOut(allow_null=True)


class SeasonView(ScoringView):
    """What everybody played: weeks, averages, high runs, families, how long matches last."""

    serializer_class = SeasonOut
    queryset = Match.objects.none()
    pagination_class = None
    filterset_class = None

    @extend_schema(
        operation_id="season",
        parameters=[
            OpenApiParameter(
                "discipline", OpenApiTypes.STR, description="By default the one that was played most."
            ),
            OpenApiParameter("since", OpenApiTypes.DATE, description="The first day, included."),
            OpenApiParameter("until", OpenApiTypes.DATE, description="The last day, included."),
            OpenApiParameter("competition", OpenApiTypes.INT),
        ],
        responses=SeasonOut,
    )
    def get(self, request):
        club = Club.objects.the_first()
        return self.answer(_shown(read_club_season(self.actor, read_asked(request.query_params, club), club)))


def _shown(found: ClubSeason) -> dict[str, Any]:
    season = found.season
    return {
        "discipline": found.game.code,
        "asked": found.asked.to_query(),
        "published_only": found.asked.published_only,
        "computed_at": found.computed_at,
        "matches": season.matches,
        "confirmed": season.confirmed,
        "under_way": season.under_way,
        "players": season.players,
        "points": season.points,
        "innings": season.innings,
        "average": found.game.cut(season.points, season.innings),
        "high_run": season.high_run,
        "strokes": season.strokes,
        "strokes_not_read": found.unread,
        "weeks": [
            {"week": week, "matches": many} for week, many in zip(season.weeks, season.a_week, strict=True)
        ],
        "averages": [
            {"low": low, "high": high, "players": players}
            for (low, high), players in zip(pairwise(season.edges), season.classes, strict=True)
        ],
        "too_few_innings": season.few,
        "high_runs": [_best(found, one) for one in season.high_runs],
        "best_averages": [_best(found, one) for one in season.best_averages],
        "families": [
            {
                "family": row.family,
                "attempts": row.attempts,
                "points": row.points,
                "success": row.raw if row.shown is not Shown.COUNTS else None,
                "low": row.wilson.low if row.wilson and row.shown is not Shown.COUNTS else None,
                "high": row.wilson.high if row.wilson and row.shown is not Shown.COUNTS else None,
            }
            for row in season.families.rows
        ],
        "families_not_recorded": season.families.unrecorded.strokes,
        "rates_withheld": season.families.withheld,
        "lengths": _lengths(season.lengths) if season.lengths else None,
    }


def _best(found: ClubSeason, one: Best) -> dict[str, Any]:
    return {
        **asdict(one),
        "name": found.names[one.player],
        "average": found.game.cut(one.points, one.innings),
    }


def _lengths(known: Lengths) -> dict[str, Any]:
    return {
        "matches": known.matches,
        "left_out": known.left_out,
        "median": known.median,
        "low": known.low,
        "high": known.high,
        "innings": known.innings,
        "classes": [
            {"low": known.first + CLASS * at, "high": known.first + CLASS * (at + 1), "matches": many}
            for at, many in enumerate(known.classes)
        ],
    }
