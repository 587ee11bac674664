"""One match through the API: its state, its innings, its pen."""

from __future__ import annotations

from django.utils.cache import patch_cache_control
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers, status
from rest_framework.response import Response

from scoring.access import NotVisible, access_match
from scoring.beside import names_beside, told_beside
from scoring.ledger import read_innings, read_state
from scoring.models import Match
from scoring.pens import do_give_back, do_take_pen, pen_of
from scoring.rules.match.entry import STROKES

from .states import ConflictOut, InningOut, StateOut
from .views import ScoringView, TextField


class MatchView(ScoringView):
    """Views of one match, which the actor must be allowed to see."""

    queryset = Match.objects.none()

    def match(self, right: str = "read") -> Match:
        """Return the match of the address, after its right was checked."""
        found = Match.objects.select_related("competition", "projection").filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise NotVisible
        access_match(self.actor, found, right)
        return found


class StateView(MatchView):
    """The state of a match."""

    serializer_class = StateOut

    @extend_schema(
        operation_id="matches_read",
        responses={200: StateOut, 304: OpenApiResponse(description="Nothing new since the ETag.")},
    )
    def get(self, request, pk: int):
        match = self.match()
        tag = f'"{match.pk}-{match.projection.seq}"'
        if tag in request.headers.get("If-None-Match", ""):
            answer = Response(status=status.HTTP_304_NOT_MODIFIED)
        else:
            answer = Response(read_state(match))
        answer["ETag"] = tag
        patch_cache_control(answer, private=True, no_cache=True)
        return answer


class InningsView(MatchView):
    """The innings of a match, in order of play."""

    serializer_class = InningOut

    @extend_schema(operation_id="matches_innings", responses=InningOut(many=True))
    def get(self, request, pk: int):
        match = self.match()
        innings = read_innings(match)
        strokes = [one for inning in innings for one in inning["strokes"]]
        beside = told_beside(match, {one["place"] for one in strokes if one["kind"] in STROKES})
        for one in strokes:
            # A whole inning is no stroke: there is nothing to tell beside it.
            one |= beside.get(one["place"], dict.fromkeys(names_beside()))
        return Response({"results": innings, "next": None})


class PenIn(serializers.Serializer):
    """Which device asks for the pen."""

    device = TextField(max_length=80)
    take_over = serializers.BooleanField(required=False, default=False)
    uuid = serializers.UUIDField(
        required=False, help_text="Asked again with the same one, the same pen answers with a new token."
    )


class PenOut(serializers.Serializer):
    """The token of the pen, for this match alone."""

    token = serializers.CharField()
    device = serializers.CharField()
    taken_at = serializers.DateTimeField()


class HeldOut(serializers.Serializer):
    """Who holds the pen, for those who may write."""

    held = serializers.BooleanField()
    mine = serializers.BooleanField()
    device = serializers.CharField(allow_null=True)
    last_used_at = serializers.DateTimeField(allow_null=True)


class PenView(MatchView):
    """The pen of a match: who may write the match may take it, and take it over."""

    serializer_class = PenOut

    @extend_schema(operation_id="matches_pen_read", responses=HeldOut)
    def get(self, request, pk: int):
        held = pen_of(self.match("write"))
        return Response(
            {
                "held": held is not None,
                "mine": held is not None and held == self.actor.pen,
                "device": None if held is None else held.device,
                "last_used_at": None if held is None else held.last_used_at,
            }
        )

    @extend_schema(
        operation_id="matches_pen_take",
        request=PenIn,
        responses={201: PenOut, 409: ConflictOut},
    )
    def post(self, request, pk: int):
        match = self.match("write")
        asked = self.read(PenIn)
        actor = self.actor
        held = actor.pen
        pen, token = do_take_pen(
            match.pk,
            asked["device"],
            # Who asks with a pen asks as whoever took it: so it ends where their way in ends.
            user_id=actor.user.pk if actor.user is not None else held.user_id if held is not None else None,
            link_id=actor.link_id,
            own=held.pk if held is not None else None,
            take_over=asked["take_over"],
            uuid=asked.get("uuid"),
        )
        answer = {"token": token, "device": pen.device, "taken_at": pen.taken_at}
        return Response(answer, status=status.HTTP_201_CREATED)

    @extend_schema(operation_id="matches_pen_give_back", request=None, responses={204: None})
    def delete(self, request, pk: int):
        do_give_back(self.match("write").pk)
        return Response(status=status.HTTP_204_NO_CONTENT)
