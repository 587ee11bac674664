"""Entries that can hardly be right, as JSON, for organisers."""

from __future__ import annotations

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers

from analytics.doubting import read_doubts
from analytics.pages.doubts import rows_of
from analytics.played.asked import read_asked
from scoring.api.views import ScoringView
from scoring.models import Club, Match


class DoubtOut(serializers.Serializer):
    """A question about a match, with its reason; `about`: the player it is about, null for the whole.

    `certain`: it cannot have been played so; else `chance`, where it can be told, says how rarely it is.
    """

    match = serializers.IntegerField()
    date = serializers.DateTimeField()
    players = serializers.CharField()
    about = serializers.IntegerField(allow_null=True)
    kind = serializers.CharField()
    certain = serializers.BooleanField()
    chance = serializers.FloatField(allow_null=True)
    reason = serializers.CharField()


class DoubtsOut(serializers.Serializer):
    """The questions, latest match first; `looked`: matches looked at, `unread`: left for the next call."""

    looked = serializers.IntegerField()
    unread = serializers.IntegerField()
    since = serializers.DateField(allow_null=True)
    until = serializers.DateField(allow_null=True)
    doubts = DoubtOut(many=True)


class DoubtsView(ScoringView):
    """What is to be asked about; nothing of it is dropped from any figure."""

    serializer_class = DoubtsOut
    queryset = Match.objects.none()
    pagination_class = None
    filterset_class = None

    @extend_schema(
        operation_id="doubts",
        parameters=[
            OpenApiParameter("discipline", OpenApiTypes.STR),
            OpenApiParameter("since", OpenApiTypes.DATE, description="By default 120 days ago."),
            OpenApiParameter("until", OpenApiTypes.DATE),
            OpenApiParameter("competition", OpenApiTypes.INT),
        ],
        responses=DoubtsOut,
    )
    def get(self, request):
        club = Club.objects.the_first()
        found = read_doubts(read_asked(request.query_params, club), club)
        return self.answer(
            {
                "looked": found.looked,
                "unread": found.unread,
                "since": found.asked.since,
                "until": found.asked.until,
                "doubts": rows_of(found),
            }
        )
