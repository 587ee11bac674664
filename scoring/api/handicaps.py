"""Handicaps through the API: distances that hold, what a rule proposes, and what becomes of it."""

from __future__ import annotations

from typing import Any

from django.utils import timezone
from django.utils.translation import gettext
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers

from scoring.handicapping import (
    LEAST_INNINGS,
    LONGEST,
    Request,
    do_answer,
    do_propose,
    do_set_distance,
    open_proposals,
    working_of,
)
from scoring.models import Club, HandicapDistance, HandicapProposal, Player
from scoring.regulations import find_discipline
from scoring.rules.handicaps import METHODS

from .views import IdField, ScoringView, TextField


class DistanceIn(serializers.Serializer):
    """A distance set by hand; `since`: the day from which it holds, today where left out."""

    uuid = serializers.UUIDField(required=False)
    player = IdField()
    discipline = TextField(max_length=60)
    distance = serializers.IntegerField(min_value=1, max_value=LONGEST)
    since = serializers.DateField(required=False)
    why = TextField(max_length=300, required=False, allow_blank=True)


class DistanceOut(serializers.Serializer):
    """A distance; it holds until a later row of the player in the discipline."""

    id = IdField()
    uuid = serializers.UUIDField()
    player = IdField(source="player_id")
    discipline = serializers.CharField(source="discipline_code")
    distance = serializers.IntegerField()
    since = serializers.DateField()
    points = serializers.IntegerField(allow_null=True)
    innings = serializers.IntegerField(allow_null=True)
    method = serializers.SerializerMethodField()
    why = serializers.CharField()

    def get_method(self, row: HandicapDistance) -> str | None:
        """Return the code of the rule, null for one set by hand."""
        return row.method["code"] if row.method else None


class ProposeIn(serializers.Serializer):
    """A rule and the matches it goes by. `source`: the discipline of averages, or of distances."""

    discipline = TextField(max_length=60)
    method = serializers.ChoiceField(sorted(METHODS))
    source = TextField(max_length=60, required=False)
    since = serializers.DateField(required=False, allow_null=True)
    upwards_only = serializers.BooleanField(required=False)
    least_innings = serializers.IntegerField(min_value=0, max_value=10_000, required=False)


class ProposalOut(serializers.Serializer):
    """What a rule proposes, with its working; `current` null: the player has no distance yet."""

    id = IdField()
    player = IdField(source="player_id")
    discipline = serializers.CharField(source="discipline_code")
    current = serializers.IntegerField(allow_null=True)
    distance = serializers.IntegerField()
    points = serializers.IntegerField()
    innings = serializers.IntegerField()
    method = serializers.SerializerMethodField()
    working = serializers.SerializerMethodField()
    answer = serializers.CharField()

    def get_method(self, row: HandicapProposal) -> str:
        """Return the code of the rule."""
        return row.method["code"]

    def get_working(self, row: HandicapProposal) -> list[str]:
        """Return the working, a line each."""
        return [line.into(gettext) for line in working_of(row).working]


class ProposalsOut(serializers.Serializer):
    """What waits for a secretary."""

    proposals = ProposalOut(many=True)


class AnswerIn(serializers.Serializer):
    """Which proposals are approved, from which day on, or declined."""

    proposals = serializers.ListField(child=IdField(), min_length=1, max_length=1000)
    approve = serializers.BooleanField()
    since = serializers.DateField(required=False)
    why = TextField(max_length=300, required=False, allow_blank=True)


def show_distance(row: HandicapDistance) -> dict[str, Any]:
    return DistanceOut(row).data


class HandicapsView(ScoringView):
    """Every distance that was ever set, latest first; an organiser of the club sets one by hand."""

    queryset = HandicapDistance.objects.none()
    serializer_class = DistanceOut
    newest_first = True

    @extend_schema(
        operation_id="handicaps_list",
        parameters=[
            OpenApiParameter("player", OpenApiTypes.INT),
            OpenApiParameter("discipline", OpenApiTypes.STR),
        ],
        responses=DistanceOut(many=True),
    )
    def get(self, request):
        rows = HandicapDistance.objects.all()
        player, discipline = (request.query_params.get(name) for name in ("player", "discipline"))
        if player is not None:
            if not player.isascii() or not player.isdecimal() or len(player) > 18:
                raise serializers.ValidationError({"player": [gettext("Send the id of a player.")]})
            rows = rows.filter(player=int(player))
        if discipline is not None:
            rows = rows.filter(discipline_code=discipline.replace("\x00", ""))
        return self.page(rows, show_distance)

    @extend_schema(
        operation_id="handicaps_create",
        request=DistanceIn,
        responses={201: DistanceOut, 200: OpenApiResponse(DistanceOut, "Known by its uuid.")},
    )
    def post(self, request):
        return self.create_once(HandicapDistance, lambda row: True, self._make, show_distance)

    def _make(self) -> HandicapDistance:
        given = self.read(DistanceIn)
        club = Club.objects.the_first()
        game = find_discipline(club, given["discipline"])
        player = Player.objects.filter(pk=given["player"], merged_into__isnull=True).first()
        if player is None:
            raise serializers.ValidationError({"player": [gettext("There is no such player.")]})
        return do_set_distance(
            club,
            player,
            game.code,
            given["distance"],
            since=given.get("since") or timezone.localdate(),
            user=self.actor.user,
            why=given.get("why", ""),
            uuid=given.get("uuid"),
        )


class ProposalsView(ScoringView):
    """What rules propose. A new list replaces what was not answered of the discipline."""

    serializer_class = ProposalsOut
    pagination_class = None

    @extend_schema(
        operation_id="handicap_proposals_list",
        parameters=[OpenApiParameter("discipline", OpenApiTypes.STR)],
        responses=ProposalsOut,
    )
    def get(self, request):
        return self.answer(self._shown(request.query_params.get("discipline")))

    @extend_schema(operation_id="handicap_proposals_create", request=ProposeIn, responses=ProposalsOut)
    def post(self, request):
        given = self.read(ProposeIn)
        club = Club.objects.the_first()
        code = find_discipline(club, given["discipline"]).code
        source = find_discipline(club, given["source"]).code if "source" in given else code
        asked = Request(
            discipline=code,
            method=METHODS[given["method"]],
            source=source,
            since=given.get("since"),
            upwards_only=given.get("upwards_only", False),
            least_innings=given.get("least_innings", LEAST_INNINGS),
        )
        do_propose(club, asked, timezone.localdate())
        return self.answer(self._shown(code))

    def _shown(self, discipline: str | None) -> dict[str, Any]:
        named = None if discipline is None else discipline.replace("\x00", "")
        rows = open_proposals(Club.objects.the_first(), named)
        return {"proposals": ProposalOut(rows, many=True).data}


class ProposalsAnswerView(ScoringView):
    """Approving or declining proposals: all that are named, or none."""

    serializer_class = ProposalsOut
    pagination_class = None

    @extend_schema(operation_id="handicap_proposals_answer", request=AnswerIn, responses=ProposalsOut)
    def post(self, request):
        given = self.read(AnswerIn)
        rows = do_answer(
            Club.objects.the_first(),
            given["proposals"],
            approve=given["approve"],
            since=given.get("since") or timezone.localdate(),
            user=self.actor.user,
            why=given.get("why", ""),
        )
        return self.answer({"proposals": ProposalOut(rows, many=True).data})
