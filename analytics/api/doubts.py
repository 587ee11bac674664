"""Entries that can hardly be right, as JSON, for organisers."""

from __future__ import annotations

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers

from analytics.doubting import read_doubts, read_show
from analytics.pages.doubts import rows_of
from analytics.played.asked import read_asked
from scoring.api.paging import MOST, number_from, query_number
from scoring.api.views import ScoringView
from scoring.models import Club, Match

KINDS = (
    "run",
    "total",
    "twice",
    "two-tables",
    "too-fast",
    "innings",
    "limit",
    "distance",
    "no-innings",
    "high-run",
    "sum",
    "count",
    "longest",
    "after-end",
    "flags",
)


class DoubtOut(serializers.Serializer):
    """A question about a match, with its reason; `about`: the player it is about, null for the whole.

    `certain`: it cannot have been played so; else `chance`, where it can be told, says how rarely it is.
    `other`: the match it does not go with. `looked_at`: when an organiser said that it is right.
    """

    id = serializers.IntegerField()
    match = serializers.IntegerField()
    date = serializers.DateTimeField(allow_null=True)
    players = serializers.CharField()
    about = serializers.IntegerField(allow_null=True)
    kind = serializers.ChoiceField(KINDS)
    certain = serializers.BooleanField()
    chance = serializers.FloatField(allow_null=True)
    reason = serializers.CharField()
    other = serializers.IntegerField(allow_null=True)
    looked_at = serializers.DateTimeField(allow_null=True)
    looked_by = serializers.CharField(allow_null=True)


class DoubtsOut(serializers.Serializer):
    """The questions, latest match first: `count` of them, those from `offset` on.

    `looked`: matches of what is asked that were looked at; `unread`: matches of the club that went on
    since and are left for the next call.
    """

    looked = serializers.IntegerField()
    unread = serializers.IntegerField()
    since = serializers.DateField(allow_null=True)
    until = serializers.DateField(allow_null=True)
    count = serializers.IntegerField()
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
            OpenApiParameter("since", OpenApiTypes.DATE),
            OpenApiParameter("until", OpenApiTypes.DATE),
            OpenApiParameter("competition", OpenApiTypes.INT),
            OpenApiParameter(
                "show", OpenApiTypes.STR, enum=["open", "all"], description="By default the open ones."
            ),
            number_from("limit", 1, MOST),
            number_from("offset", 0, 10**9),
        ],
        responses=DoubtsOut,
    )
    def get(self, request):
        club = Club.objects.the_first()
        limit = query_number(request, "limit", MOST, 1, MOST) or MOST
        offset = query_number(request, "offset", 0, 0, 10**9) or 0
        answered = read_show(request.query_params)
        found = read_doubts(read_asked(request.query_params, club), club, answered)
        return self.answer(
            {
                "looked": found.looked,
                "unread": found.unread,
                "since": found.asked.since,
                "until": found.asked.until,
                "count": found.rows.count(),
                "doubts": rows_of(list(found.rows[offset : offset + limit])),
            }
        )
