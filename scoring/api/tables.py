"""The tables of the club through the API."""

from __future__ import annotations

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers

from scoring.models import Club, PlayTable

from .views import IdField, ScoringView, TextField


class TableIn(serializers.Serializer):
    """What may be said of a table."""

    uuid = serializers.UUIDField(required=False)
    name = TextField(max_length=80)
    number = serializers.IntegerField(min_value=1, max_value=999, required=False, allow_null=True)
    size = TextField(max_length=32, required=False)
    heated = serializers.BooleanField(required=False)


class TableOut(serializers.Serializer):
    """A table; `overrides` departs from the preset of its size."""

    id = IdField(read_only=True)
    uuid = serializers.UUIDField(read_only=True)
    name = serializers.CharField(read_only=True)
    number = serializers.IntegerField(read_only=True, allow_null=True)
    size = serializers.CharField(read_only=True)
    heated = serializers.BooleanField(read_only=True)
    overrides = serializers.DictField(read_only=True)


def show_table(table: PlayTable) -> dict:
    """Return a table as everybody may see it."""
    return TableOut(table).data


class TablesView(ScoringView):
    """The tables; an organiser adds them."""

    queryset = PlayTable.objects.all()
    serializer_class = TableOut

    @extend_schema(operation_id="tables_list", responses=TableOut(many=True))
    def get(self, request):
        return self.page(PlayTable.objects.all(), show_table)

    @extend_schema(
        operation_id="tables_create",
        request=TableIn,
        responses={201: TableOut, 200: OpenApiResponse(TableOut, "Known by its uuid.")},
    )
    def post(self, request):
        return self.create_once(PlayTable, lambda _found: True, self._add, show_table)

    def _add(self) -> PlayTable:
        return PlayTable.objects.create(club=Club.objects.the_first(), **self.read(TableIn))


class TableView(ScoringView):
    """One table."""

    serializer_class = TableOut

    @extend_schema(operation_id="tables_read", responses=TableOut)
    def get(self, request, pk: int):
        return self.answer(show_table(get_object_or_404(PlayTable, pk=pk)))

    @extend_schema(operation_id="tables_change", request=TableIn, responses=TableOut)
    def patch(self, request, pk: int):
        table = get_object_or_404(PlayTable, pk=pk)
        fields = self.read(TableIn, partial=True)
        fields.pop("uuid", None)
        for name, value in fields.items():
            setattr(table, name, value)
        table.save()
        return self.answer(show_table(table))
