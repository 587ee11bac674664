"""The schedule and the results of a competition, as JSON or CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from typing import Any, ClassVar

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.renderers import BaseRenderer, JSONRenderer

from scoring.access import NotVisible, access_competition
from scoring.match_csv import FORMULA
from scoring.models import Competition
from scoring.programme import (
    RESULTS_HEAD,
    SCHEDULE_HEAD,
    read_results,
    read_schedule,
    results_rows,
    schedule_rows,
)

from .views import ScoringView

FORMAT = OpenApiParameter("format", OpenApiTypes.STR, enum=["json", "csv"])


class RowsCsvRenderer(BaseRenderer):
    """`rows` as CSV, with the names of the JSON; the view says in which order, by `csv_head`."""

    media_type = "text/csv"
    format = "csv"
    charset = "utf-8"

    def render(self, data: Any, accepted_media_type: Any = None, renderer_context: Any = None) -> str:
        if not isinstance(data, dict) or "rows" not in data:
            return "".join(f"{value}\n" for value in (data or {}).values())
        head = (renderer_context or {})["view"].csv_head
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\r\n")
        writer.writerow(head)
        writer.writerows([as_text(row[name]) for name in head] for row in data["rows"])
        return out.getvalue()


def as_text(value: Any) -> Any:
    """Return a value as a CSV holds it; a name that a spreadsheet would work out is quoted."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str) and value.startswith(FORMULA):
        return f"'{value}"
    return "" if value is None else value


class _RowOut(serializers.Serializer):
    match = serializers.IntegerField()
    uuid = serializers.UUIDField()
    table = serializers.CharField(allow_null=True)
    stage = serializers.CharField(allow_null=True)
    group = serializers.CharField(allow_null=True)
    tie = serializers.IntegerField(allow_null=True)
    player_a = serializers.IntegerField()
    name_a = serializers.CharField()
    player_b = serializers.IntegerField()
    name_b = serializers.CharField()


class ProgrammeRowOut(_RowOut):
    """A match in the order of time; `status` as in its state."""

    scheduled_at = serializers.DateTimeField(allow_null=True)
    status = serializers.CharField()


class PlayedRowOut(_RowOut):
    """A match that is over; `provisional` while it is not confirmed, or disputed.

    Figures are null where only the outcome is known; averages are texts, as the match cuts them.
    """

    ended_at = serializers.DateTimeField(allow_null=True)
    points_a = serializers.IntegerField(allow_null=True)
    innings_a = serializers.IntegerField(allow_null=True)
    high_run_a = serializers.IntegerField(allow_null=True)
    average_a = serializers.CharField(allow_null=True)
    sets_a = serializers.IntegerField(allow_null=True)
    distance_a = serializers.IntegerField(allow_null=True)
    points_b = serializers.IntegerField(allow_null=True)
    innings_b = serializers.IntegerField(allow_null=True)
    high_run_b = serializers.IntegerField(allow_null=True)
    average_b = serializers.CharField(allow_null=True)
    sets_b = serializers.IntegerField(allow_null=True)
    distance_b = serializers.IntegerField(allow_null=True)
    winner = serializers.IntegerField(allow_null=True)
    outcome = serializers.CharField()
    provisional = serializers.BooleanField()


class ProgrammeOut(serializers.Serializer):
    """Every match, in the order of time."""

    rows = ProgrammeRowOut(many=True)


class PlayedOut(serializers.Serializer):
    """The matches that are over, the last one first."""

    rows = PlayedRowOut(many=True)


class _RowsView(ScoringView):
    pagination_class = None
    renderer_classes = [JSONRenderer, RowsCsvRenderer]
    csv_head: ClassVar[Sequence[str]]
    part: ClassVar[str]

    def competition(self) -> Competition:
        found = Competition.objects.select_related("club").filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise NotVisible
        access_competition(self.actor, found, "read", self.part)
        return found


class ScheduleView(_RowsView):
    """The schedule of one competition."""

    serializer_class = ProgrammeOut
    csv_head = SCHEDULE_HEAD
    part = "schedule"

    @extend_schema(operation_id="competitions_schedule", parameters=[FORMAT], responses=ProgrammeOut)
    def get(self, request, pk: int):
        rows = schedule_rows(read_schedule(self.competition()), self.actor)
        return self.answer(ProgrammeOut({"rows": rows}).data)


class ResultsView(_RowsView):
    """The results of one competition."""

    serializer_class = PlayedOut
    csv_head = RESULTS_HEAD
    part = "results"

    @extend_schema(operation_id="competitions_results", parameters=[FORMAT], responses=PlayedOut)
    def get(self, request, pk: int):
        rows = results_rows(read_results(self.competition()), self.actor)
        return self.answer(PlayedOut({"rows": rows}).data)
