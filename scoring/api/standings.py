"""Standings of a competition, as JSON or CSV: confirmed matches only, compared exactly."""

from __future__ import annotations

import csv
import io
from typing import Any

from django.utils.translation import gettext as _
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.renderers import BaseRenderer, JSONRenderer

from scoring.access import Actor, NotVisible, access_competition
from scoring.models import Competition, Group
from scoring.prizes import Given, Prizes, read_prizes
from scoring.standing import CSV_HEAD, read_standings

from .paging import LARGEST_ID, query_number
from .schedule import as_text
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


class DeductionOut(serializers.Serializer):
    """Match points that an organiser took from a player, with the reason."""

    player = serializers.IntegerField()
    match_points = serializers.FloatField()
    why = serializers.CharField()


class StandingsOut(serializers.Serializer):
    """The rows, best first; `provisional` while matches are to come or disputed.

    `order`: the criteria, in order. `waiting`: players who share a rank until a lot is drawn, a list a
    rank. `deductions`: are taken off already.
    """

    rows = StandingOut(many=True)
    provisional = serializers.BooleanField()
    order = serializers.ListField(child=serializers.CharField())
    waiting = serializers.ListField(child=serializers.ListField(child=serializers.IntegerField()))
    deductions = DeductionOut(many=True)


class HolderOut(serializers.Serializer):
    """Who holds a prize, and by which match."""

    player = serializers.IntegerField()
    name = serializers.CharField()
    match = serializers.IntegerField()
    points = serializers.IntegerField()
    innings = serializers.IntegerField()


class PrizeOut(serializers.Serializer):
    """A prize: `value` is a text, an average as it is cut; null while nobody holds it."""

    name = serializers.CharField()
    least_innings = serializers.IntegerField()
    value = serializers.CharField(allow_null=True)
    working = serializers.CharField()
    holders = HolderOut(many=True)


class PrizesOut(serializers.Serializer):
    """The prizes of a competition."""

    prizes = PrizeOut(many=True)


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
            writer.writerow({name: as_text(row[name]) for name in CSV_HEAD})
        return out.getvalue()


class StandingsView(ScoringView):
    """The standings of one competition."""

    serializer_class = StandingsOut
    pagination_class = None
    renderer_classes = [JSONRenderer, CsvRenderer]

    @extend_schema(
        operation_id="competitions_standings",
        parameters=[
            OpenApiParameter("format", OpenApiTypes.STR, enum=["json", "csv"]),
            OpenApiParameter("group", OpenApiTypes.INT, description="The id of a group of the competition."),
        ],
        responses=StandingsOut,
    )
    def get(self, request, pk: int):
        competition = _readable(self.actor, pk)
        wanted = query_number(request, "group", None, 1, LARGEST_ID)
        group = None
        if wanted is not None:
            group = Group.objects.filter(stage__competition=competition, pk=wanted).first()
            if group is None:
                raise serializers.ValidationError({"group": _("This competition has no such group.")})
        found = read_standings(competition, group=group)
        return self.answer({"rows": found.to_json(self.actor), **found.beside()})


class PrizesView(ScoringView):
    """The prizes of one competition, as they stand."""

    serializer_class = PrizesOut
    pagination_class = None

    @extend_schema(operation_id="competitions_prizes", responses=PrizesOut)
    def get(self, request, pk: int):
        found = read_prizes(_readable(self.actor, pk))
        return self.answer({"prizes": [self._shown(one, found) for one in found.given]})

    def _shown(self, one: Given, found: Prizes) -> dict[str, Any]:
        return {
            "name": one.rule.name,
            "least_innings": one.rule.least_innings,
            "value": one.value,
            "working": one.prize.working.into(_),
            "holders": [
                {
                    "player": found.players[won.key].pk,
                    "name": found.players[won.key].shown_name(self.actor.names_open),
                    "match": won.match,
                    "points": won.points,
                    "innings": won.innings,
                }
                for won in one.prize.holders
            ],
        }


def _readable(actor: Actor, pk: int) -> Competition:
    competition = Competition.objects.select_related("club").filter(pk=pk).first()
    if competition is None:
        raise NotVisible
    access_competition(actor, competition, "read")
    return competition
