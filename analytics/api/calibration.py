"""Calibration: what came of promises, of a player, a table, the club; the figures of the pages as JSON."""

from __future__ import annotations

from dataclasses import asdict, replace
from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers

from analytics.calibration import Calibration, of_club, of_player
from analytics.pages.calibration_sections import deserved
from analytics.played.asked import read_asked
from analytics.report import access_report, read_report
from analytics.reports.belief import Belief
from analytics.reports.recalibrating import Shows
from scoring.api.views import ScoringView
from scoring.models import Club, Player, PlayTable
from scoring.pages.words import speak

from .report import IntervalOut

SHOWN = {Shows.TOTALS: "totals", Shows.IN_THE_LARGE: "in-the-large", Shows.DIAGRAM: "diagram"}


class TenthOut(serializers.Serializer):
    """Strokes promised about `tenth` in 10; `low`, `high`: points that chance gives if promises hold."""

    tenth = serializers.IntegerField()
    strokes = serializers.IntegerField()
    points = serializers.IntegerField()
    expected = serializers.FloatField()
    low = serializers.IntegerField()
    high = serializers.IntegerField()


class EstimateOut(serializers.Serializer):
    """An estimate with its interval, in log-odds or as a slope."""

    value = serializers.FloatField()
    interval = IntervalOut()


class ScoreOut(serializers.Serializer):
    """score = miscalibration - discrimination + uncertainty; smaller is better.

    `chance`: the miscalibration that true promises show on average; `chance_most`: 95 in 100 show no
    more. `skill`: the share of the base rate's score that the promises save. Drawn `draws` times.
    """

    rule = serializers.ChoiceField(["brier", "log"])
    score = serializers.FloatField()
    miscalibration = serializers.FloatField()
    discrimination = serializers.FloatField()
    uncertainty = serializers.FloatField()
    skill = serializers.FloatField(allow_null=True)
    chance = serializers.FloatField()
    chance_most = serializers.FloatField()
    draws = serializers.IntegerField()
    seed = serializers.IntegerField()


class StepOut(serializers.Serializer):
    """A step of the isotonic line: promises from `start` to `end`, of which the share `rate` was made."""

    start = serializers.FloatField()
    end = serializers.FloatField()
    rate = serializers.FloatField()
    strokes = serializers.IntegerField()


class DiagramOut(serializers.Serializer):
    """The isotonic steps, the band `low` to `high` at promises `at`, and strokes by twentieths of promise."""

    steps = StepOut(many=True)
    at = serializers.ListField(child=serializers.FloatField())
    low = serializers.ListField(child=serializers.FloatField())
    high = serializers.ListField(child=serializers.FloatField())
    level = serializers.FloatField()
    strip = serializers.ListField(child=serializers.IntegerField())
    draws = serializers.IntegerField()
    seed = serializers.IntegerField()


class BeliefOut(serializers.Serializer):
    """What came of promises of one kind, about one line; no two are ever added up.

    `shown`: what so many strokes allow. Below 100 strokes everything but the counts is null; below
    400 slope and diagram. Where several players are behind the strokes the intervals come of drawing
    players anew, and `players` says how many; none is then narrower than chance alone makes it, and
    with few players they are somewhat too narrow. In practice, repeated positions share a promise:
    where it is off it is off each time, so the true interval is wider than the one told here.
    """

    kind = serializers.ChoiceField(["blind", "same-time", "hindsight"])
    source = serializers.ChoiceField(["declared", "best"])
    shown = serializers.ChoiceField(list(SHOWN.values()))
    verdict = serializers.ChoiceField(["few", "as_promised", "more", "fewer", "bold", "timid"])
    words = serializers.CharField()
    players = serializers.IntegerField()
    strokes = serializers.IntegerField()
    points = serializers.IntegerField()
    expected = serializers.FloatField()
    low = serializers.IntegerField()
    high = serializers.IntegerField()
    tenths = TenthOut(many=True)
    in_the_large = EstimateOut(allow_null=True)
    gained_per_100 = EstimateOut(allow_null=True)
    slope = EstimateOut(allow_null=True)
    intercept = serializers.FloatField(allow_null=True)
    scores = ScoreOut(many=True)
    diagram = DiagramOut(allow_null=True)


class CalibrationOut(serializers.Serializer):
    """`matches` and `practice` are two things; `practice` is null where it is not for the caller.

    `deserved`: whether the promises deserve belief, in words of the caller's language.
    """

    discipline = serializers.CharField()
    asked = serializers.DictField(child=serializers.CharField())
    computed_at = serializers.DateTimeField()
    players = serializers.IntegerField()
    deserved = serializers.ListField(child=serializers.CharField())
    matches = BeliefOut(many=True)
    practice = BeliefOut(many=True, allow_null=True)


_DAYS = [
    OpenApiParameter("since", OpenApiTypes.DATE, description="The first day, included."),
    OpenApiParameter("until", OpenApiTypes.DATE, description="The last day, included."),
    OpenApiParameter("competition", OpenApiTypes.INT),
]
_OF_MANY = OpenApiParameter(
    "discipline", OpenApiTypes.STR, description="By default the one with the most predictions."
)


class _CalibrationView(ScoringView):
    serializer_class = CalibrationOut
    queryset = Player.objects.none()
    pagination_class = None
    filterset_class = None


class PlayerCalibrationView(_CalibrationView):
    """What came of the promises of a player's strokes."""

    @extend_schema(
        operation_id="players_calibration",
        parameters=[
            OpenApiParameter(
                "discipline", OpenApiTypes.STR, description="By default the one that was played most."
            ),
            *_DAYS,
            OpenApiParameter("table", OpenApiTypes.INT),
            OpenApiParameter("opponent", OpenApiTypes.INT),
        ],
        responses=CalibrationOut,
    )
    def get(self, request, pk: int):
        player = get_object_or_404(Player, pk=pk)
        club = Club.objects.the_first()
        access_report(self.actor, player, read_asked({}, club))
        asked = access_report(self.actor, player, read_asked(request.query_params, club))
        return self.answer(show_calibration(of_player(read_report(player, asked, club), self.actor)))


class TableCalibrationView(_CalibrationView):
    """What came of the promises of all strokes at a table."""

    @extend_schema(operation_id="tables_calibration", parameters=[_OF_MANY, *_DAYS], responses=CalibrationOut)
    def get(self, request, pk: int):
        table = get_object_or_404(PlayTable, pk=pk)
        club = Club.objects.the_first()
        asked = replace(read_asked(request.query_params, club), table=table.pk)
        return self.answer(show_calibration(of_club(asked, club)[0]))


class ClubCalibrationView(_CalibrationView):
    """What came of the promises of all strokes of the club."""

    @extend_schema(
        operation_id="calibration",
        parameters=[_OF_MANY, *_DAYS, OpenApiParameter("table", OpenApiTypes.INT)],
        responses=CalibrationOut,
    )
    def get(self, request):
        club = Club.objects.the_first()
        return self.answer(show_calibration(of_club(read_asked(request.query_params, club), club)[0]))


def show_calibration(found: Calibration) -> dict[str, Any]:
    """Return a calibration as it is answered."""
    return {
        "discipline": found.asked.discipline,
        "asked": found.asked.to_query(),
        "computed_at": found.computed_at,
        "players": found.players,
        "deserved": deserved(found),
        "matches": [_belief(one) for one in found.matches],
        "practice": None if found.practice is None else [_belief(one) for one in found.practice],
    }


def _belief(one: Belief) -> dict[str, Any]:
    low, high = one.promise.central
    large = _estimate(one.large.shift, one.large.interval) if one.large else None
    gained = slope = None
    if one.club is not None:
        large = _estimate(one.club.shift, one.club.of_shift)
        gained = _estimate(one.club.gained, one.club.of_gained)
    if one.both is not None:
        slope = _estimate(one.both.slope, one.of_slope or one.both.of_slope)
    return {
        "kind": one.kind,
        "source": one.line,
        "shown": SHOWN[one.shown],
        "verdict": one.found.name.lower(),
        "words": speak(one.words),
        "players": one.players,
        "strokes": one.strokes,
        "points": one.promise.points,
        "expected": one.promise.expected,
        "low": low,
        "high": high,
        "tenths": [
            {
                "tenth": tenth,
                "strokes": row.strokes,
                "points": row.points,
                "expected": row.expected,
                "low": row.central[0],
                "high": row.central[1],
            }
            for tenth, row in one.tenths.items()
        ],
        "in_the_large": large,
        "gained_per_100": gained,
        "slope": slope,
        "intercept": one.both.intercept if one.both else None,
        "scores": _scores(one),
        "diagram": None if one.diagram is None else asdict(one.diagram),
    }


def _scores(one: Belief) -> list[dict[str, Any]]:
    if one.scores is None or one.chance is None:
        return []
    return [
        {
            "rule": rule,
            "score": found.score,
            "miscalibration": found.mcb,
            "discrimination": found.dsc,
            "uncertainty": found.unc,
            "skill": found.skill,
            "chance": one.chance[rule].mean,
            "chance_most": one.chance[rule].most,
            "draws": one.chance[rule].draws,
            "seed": one.chance[rule].seed,
        }
        for rule, found in one.scores.items()
    ]


def _estimate(value: float, interval: Any) -> dict[str, Any]:
    return {"value": value, "interval": asdict(interval)}
