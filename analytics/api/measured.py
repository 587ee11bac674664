"""A table as it was measured, the latest set first: open to everybody, nothing private."""

from __future__ import annotations

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers

from analytics.models import MeasuredSet
from scoring.api.views import ScoringView
from scoring.models import PlayTable


class ValueOut(serializers.Serializer):
    """A fitted value with its interval of 90 %, and what it was before."""

    name = serializers.CharField()
    value = serializers.FloatField()
    low = serializers.FloatField()
    high = serializers.FloatField()
    before = serializers.FloatField()


class LeftOut(serializers.Serializer):
    """A reading, what the fitted table makes of it, and the difference, in diamonds or seconds."""

    code = serializers.CharField()
    read = serializers.FloatField()
    fitted = serializers.FloatField()
    left = serializers.FloatField()
    seconds = serializers.BooleanField()


class TrackOut(serializers.Serializer):
    """A track of the corner system: the arrival by the book, and where the ball came."""

    code = serializers.CharField()
    origin = serializers.FloatField()
    aim = serializers.FloatField()
    book = serializers.FloatField()
    own = serializers.FloatField()


class CorrectionOut(serializers.Serializer):
    """Own arrival = book + offset + slope (book - centre), from `low` to `high`; intervals of 90 %."""

    tracks = TrackOut(many=True)
    centre = serializers.FloatField()
    offset = serializers.FloatField()
    offset_low = serializers.FloatField()
    offset_high = serializers.FloatField()
    slope = serializers.FloatField()
    slope_low = serializers.FloatField(allow_null=True)
    slope_high = serializers.FloatField(allow_null=True)
    low = serializers.FloatField()
    high = serializers.FloatField()
    scatter = serializers.FloatField()


class MeasuredOut(serializers.Serializer):
    """A measured set; `readings` by the code of a stroke, `scatter` in diamonds."""

    uuid = serializers.UUIDField()
    measured_at = serializers.DateTimeField()
    note = serializers.CharField()
    in_use = serializers.BooleanField()
    model = serializers.IntegerField()
    readings = serializers.DictField(child=serializers.ListField(child=serializers.FloatField()))
    values = ValueOut(many=True)
    side = ValueOut()
    left = LeftOut(many=True)
    scatter = serializers.FloatField()
    correction = CorrectionOut(allow_null=True)


class MeasuredView(ScoringView):
    """The measured sets of a table."""

    queryset = MeasuredSet.objects.all()
    newest_first = True
    serializer_class = MeasuredOut

    @extend_schema(operation_id="tables_measured", responses=MeasuredOut(many=True))
    def get(self, request, pk: int):
        table = get_object_or_404(PlayTable, pk=pk)
        return self.page(MeasuredSet.objects.filter(table=table, finished_at__isnull=False), show_set)


def show_set(one: MeasuredSet) -> dict:
    """Return a finished set as everybody may see it."""
    result = one.result or {}
    shown = {
        name: getattr(one, name) for name in ("uuid", "measured_at", "note", "in_use", "model", "readings")
    }
    return dict(MeasuredOut(shown | result).data)
