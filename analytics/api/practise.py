"""What to practise next, as JSON."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers

from analytics.played.asked import read_asked
from analytics.practice_advice import read_practise
from analytics.report import access_report, read_report
from analytics.reports.practising import Advice, Session
from scoring.api.views import ScoringView
from scoring.models import Club, Player
from scoring.practice_rights import coaches_player

from .report import IntervalOut


class WorthOut(serializers.Serializer):
    """What one family, or position, would add to the average; `best`: in how many of all draws it adds most.

    `reach`: what is within reach was taken from the player's own predictions (`hands`) or from
    the club's players of a like average (`club`).
    """

    name = serializers.CharField()
    success = serializers.FloatField()
    within_reach = serializers.FloatField()
    reach = serializers.ChoiceField(["hands", "club"], allow_null=True)
    gain = serializers.FloatField()
    interval = IntervalOut()
    best = serializers.FloatField()


class ProposedBlockOut(serializers.Serializer):
    """A part of the proposed session; `today`: the chance to reach the goal as things stand."""

    family = serializers.CharField()
    strokes = serializers.IntegerField()
    goal = serializers.IntegerField()
    today = serializers.FloatField()


class PractiseOut(serializers.Serializer):
    """What to practise next. `named`: the family to practise, null where none is clear; then `contenders`."""

    player = serializers.IntegerField()
    discipline = serializers.CharField()
    strokes = serializers.IntegerField()
    families = WorthOut(many=True)
    named = serializers.CharField(allow_null=True)
    contenders = serializers.ListField(child=serializers.CharField())
    left_out = serializers.ListField(child=serializers.CharField())
    seed = serializers.IntegerField()
    session = ProposedBlockOut(many=True)
    positions = WorthOut(many=True)


class PractiseView(ScoringView):
    """What a player had best practise next, with a session of it."""

    serializer_class = PractiseOut
    queryset = Player.objects.none()
    pagination_class = None
    filterset_class = None

    @extend_schema(
        operation_id="players_practise",
        parameters=[
            OpenApiParameter("discipline", OpenApiTypes.STR),
            OpenApiParameter("since", OpenApiTypes.DATE),
            OpenApiParameter("until", OpenApiTypes.DATE),
            OpenApiParameter("competition", OpenApiTypes.INT),
            OpenApiParameter("table", OpenApiTypes.INT),
            OpenApiParameter("opponent", OpenApiTypes.INT),
            OpenApiParameter("seed", OpenApiTypes.INT, description="Of the proposed session, 0 by default."),
        ],
        responses=PractiseOut,
    )
    def get(self, request, pk: int):
        player = get_object_or_404(Player, pk=pk)
        club = Club.objects.the_first()
        access_report(self.actor, player, read_asked({}, club))
        report = read_report(
            player, access_report(self.actor, player, read_asked(request.query_params, club)), club
        )
        practice = player.pk in self.actor.own_players or coaches_player(self.actor, player)
        seed = _seed(request.query_params.get("seed", "0"))
        found = read_practise(report, seed, practice)
        return self.answer(
            {
                "player": player.pk,
                "discipline": report.asked.discipline,
                "strokes": found.strokes,
                "families": _worth(found.advice, found.reach),
                "named": found.advice.named if found.advice else None,
                "contenders": list(found.advice.contenders) if found.advice else [],
                "left_out": list(found.left_out),
                "seed": seed,
                "session": _blocks(found.session),
                "positions": _worth(found.of_positions, {}),
            }
        )


def _seed(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 11):
        raise serializers.ValidationError({"seed": _("Send a whole number, 0 or more.")})
    return int(text)


def _worth(advice: Advice | None, reach: Any) -> list[dict[str, Any]]:
    return [
        {
            "name": one.name,
            "success": one.success,
            "within_reach": one.attainable,
            "reach": reach.get(one.name),
            "gain": one.gain,
            "interval": {"low": one.interval.low, "high": one.interval.high, "level": one.interval.level},
            "best": one.best,
        }
        for one in (advice.worth if advice else ())
    ]


def _blocks(session: Session | None) -> list[dict[str, Any]]:
    return [
        {"family": one.name, "strokes": one.repetitions, "goal": one.goal, "today": one.today}
        for one in (session.blocks if session else ())
    ]
