"""Standings of a competition, as JSON or CSV: confirmed matches only, compared exactly."""

from __future__ import annotations

import csv
import io
from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.renderers import BaseRenderer, JSONRenderer

from scoring.access import NotVisible, access_competition
from scoring.models import Competition
from scoring.standing import CSV_HEAD, read_standings

from .views import ScoringView


class StandingOut(serializers.Serializer):
    """A row: averages are texts, as the competition cuts them; null without innings.

    `separated_by`: the criterion that put the row before the next; null on the last, and between
    rows that share a rank.
    """

    rank = serializers.IntegerField()
    shared = serializers.BooleanField()
    player = serializers.IntegerField()
    name = serializers.CharField()
    played = serializers.IntegerField()
    match_points = serializers.FloatField()
    points = serializers.IntegerField()
    innings = serializers.IntegerField()
    average = serializers.CharField(allow_null=True)
    best_average = serializers.CharField(allow_null=True)
    high_run = serializers.IntegerField()
    separated_by = serializers.CharField(allow_null=True)


class StandingsOut(serializers.Serializer):
    """The rows, best first; `provisional` while matches are to come or disputed."""

    rows = StandingOut(many=True)
    provisional = serializers.BooleanField()


class CsvRenderer(BaseRenderer):
    """The rows as CSV, with the names of the JSON."""

    media_type = "text/csv"
    format = "csv"
    charset = "utf-8"

    def render(self, data: Any, accepted_media_type: Any = None, renderer_context: Any = None) -> str:
        if not isinstance(data, dict) or "rows" not in data:
            return "".join(f"{value}\n" for value in (data or {}).values())
        out = io.StringIO()
        writer = csv.DictWriter(out, CSV_HEAD, lineterminator="\r\n")
        writer.writeheader()
        for row in data["rows"]:
            writer.writerow({name: _text(row[name]) for name in CSV_HEAD})
        return out.getvalue()


def _text(value: Any) -> Any:
    if isinstance(value, bool):
        return "true" if value else "false"
    return "" if value is None else value


class StandingsView(ScoringView):
    """The standings of one competition."""

    serializer_class = StandingsOut
    pagination_class = None
    renderer_classes = [JSONRenderer, CsvRenderer]

    @extend_schema(
        operation_id="competitions_standings",
        parameters=[OpenApiParameter("format", OpenApiTypes.STR, enum=["json", "csv"])],
        responses=StandingsOut,
    )
    def get(self, request, pk: int):
        competition = Competition.objects.select_related("club").filter(pk=pk).first()
        if competition is None:
            raise NotVisible
        access_competition(self.actor, competition, "read")
        found = read_standings(competition)
        return self.answer({"rows": found.to_json(self.actor), "provisional": found.provisional})
