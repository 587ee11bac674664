"""Draws through the API: drawing a competition, and what anybody needs to repeat a draw."""

from __future__ import annotations

from typing import Any, Literal

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers, status
from rest_framework.response import Response

from scoring.access import NotVisible, access_competition
from scoring.conducting import read_state
from scoring.drawing import Asked, do_draw
from scoring.ledger import Author
from scoring.models import Competition
from scoring.rules.event.drawn import byes
from scoring.rules.event.draws import KNOCKOUT, ROUND_ROBIN, WAYS, players_of
from scoring.rules.groups import AFTER_DRAW, ORDERS_OF_FOUR
from scoring.stages import StageNow, read_stages, rounds_of

from .paging import LARGEST_ID, query_number
from .states import ConflictOut
from .views import IdField, ObjectField, ScoringView, TextField


class CompetitionView(ScoringView):
    """Views about one competition, which the actor must be allowed to see."""

    queryset = Competition.objects.none()
    pagination_class = None

    def competition(self, right: Literal["read", "manage"] = "read", part: str | None = None) -> Competition:
        """Return the competition of the address, after its right was checked."""
        found = Competition.objects.select_related("club").filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise NotVisible
        access_competition(self.actor, found, right, part)
        return found

    def author(self) -> Author:
        """Return who writes, as the ledger keeps it."""
        return Author(user_id=self.actor.user.pk if self.actor.user is not None else None, organises=True)


class DrawIn(serializers.Serializer):
    """What a draw is asked with; `players` in the order of seeds.

    `groups` or `group_size` makes a round robin one of groups. `stage`: the id of one to draw (again), null for a
    new one; left out, the latest of this kind is drawn again.
    """

    uuid = serializers.UUIDField(required=False)
    kind = serializers.ChoiceField([ROUND_ROBIN, KNOCKOUT])
    players = serializers.ListField(child=IdField(), min_length=2, max_length=1000)
    format = ObjectField(required=False, allow_null=True)
    stage = IdField(required=False, allow_null=True)
    name = TextField(required=False, max_length=80)
    way = serializers.ChoiceField(WAYS, required=False)
    seed = TextField(required=False, max_length=200)
    groups = serializers.IntegerField(min_value=1, max_value=500, required=False)
    group_size = serializers.IntegerField(min_value=2, max_value=100, required=False)
    double = serializers.BooleanField(required=False)
    third_place = serializers.BooleanField(required=False, allow_null=True)
    clubs_apart = serializers.BooleanField(required=False)
    groups_apart = serializers.BooleanField(required=False)
    after_draw = serializers.ChoiceField(AFTER_DRAW, required=False)
    order_of_four = serializers.ChoiceField(ORDERS_OF_FOUR, required=False)


class FixtureOut(serializers.Serializer):
    """A match that is drawn or will be; `players` null where nobody is known yet."""

    tie = serializers.IntegerField()
    group = serializers.IntegerField(help_text="From 1, in the order of the groups.")
    round = serializers.IntegerField()
    players = serializers.ListField(child=serializers.IntegerField(allow_null=True))
    match = serializers.IntegerField(allow_null=True)
    state = serializers.CharField()
    winner = serializers.IntegerField(allow_null=True)
    drawn = serializers.BooleanField()
    extra = serializers.BooleanField(help_text="drawn, and extra innings are to be played")
    third = serializers.BooleanField()
    held = serializers.BooleanField()


class DrawOut(serializers.Serializer):
    """A stage as it was drawn and as it stands, with all that is needed to repeat the draw.

    Before anything is drawn `stage` is null, and only `rounds`, `fixtures` and `stages` stand beside it.
    """

    stage = serializers.IntegerField(allow_null=True)
    uuid = serializers.UUIDField()
    name = serializers.CharField()
    kind = serializers.CharField()
    way = serializers.CharField()
    seed = serializers.CharField()
    numbers = serializers.DictField(
        child=serializers.IntegerField(),
        help_text="The number of each entry that was drawn: the player's id.",
    )
    given = serializers.ListField(child=serializers.CharField())
    order = serializers.ListField(child=serializers.CharField())
    groups = serializers.ListField(child=serializers.ListField(child=serializers.CharField()))
    clubs = serializers.ListField(child=serializers.ListField(child=serializers.CharField()))
    byes = serializers.ListField(child=serializers.CharField())
    double = serializers.BooleanField()
    third_place = serializers.BooleanField()
    after_draw = serializers.CharField()
    order_of_four = serializers.CharField()
    format = serializers.DictField()
    locked = serializers.BooleanField()
    held = serializers.ListField(child=serializers.IntegerField())
    rounds = serializers.ListField(
        child=serializers.ListField(
            child=serializers.ListField(child=serializers.IntegerField(allow_null=True))
        )
    )
    fixtures = FixtureOut(many=True)
    stages = serializers.ListField(child=serializers.IntegerField())


class DrawReadOut(DrawOut):
    """A drawn stage; before anything is drawn `stage` is null, the lists are empty, the rest is left out."""

    ALWAYS = frozenset({"stage", "rounds", "fixtures", "stages"})

    def get_fields(self):
        fields = super().get_fields()
        for name, one in fields.items():
            one.required = name in self.ALWAYS
        fields["stage"].allow_null = True
        return fields


SHOWN = (
    "uuid", "way", "seed", "given", "order", "groups", "clubs", "double", "third_place", "after_draw",
    "order_of_four", "format",
)  # fmt: skip


def show_draw(now: StageNow, players: dict[str, int], stages: list[int]) -> dict[str, Any]:
    """Return a drawn stage."""
    draw = now.told["draw"]
    order = draw["order"]
    return {name: draw[name] for name in SHOWN} | {
        "stage": now.stage.pk,
        "name": now.stage.name,
        "kind": now.kind,
        "numbers": {number: players[number] for number in order},
        "byes": [order[seed - 1] for seed in byes(len(order))] if now.kind == KNOCKOUT else [],
        "locked": now.locked,
        "held": list(now.resolved.held) if now.resolved else [],
        "rounds": rounds_of(now),
        "fixtures": [
            {
                "tie": one.tie,
                "group": place,
                "round": one.round,
                "players": list(one.sides),
                "match": one.match.pk if one.match else None,
                "state": one.state,
                "winner": one.winner,
                "drawn": one.drawn,
                "extra": one.extra,
                "third": one.third,
                "held": one.held,
            }
            for place, group in enumerate(now.groups, 1)
            for one in group.fixtures
        ],
        "stages": stages,
    }


class DrawView(CompetitionView):
    """The draw of a competition."""

    serializer_class = DrawOut

    @extend_schema(
        operation_id="competitions_draw_read",
        parameters=[OpenApiParameter("stage", OpenApiTypes.INT, description="Left out: the latest draw.")],
        responses=DrawReadOut,
    )
    def get(self, request, pk: int):
        competition = self.competition("read", "bracket")
        asked = query_number(request, "stage", 0, 0, LARGEST_ID)
        state = read_state(competition)
        drawn = [one for one in read_stages(competition, state) if one.draw is not None]
        found = [one for one in drawn if asked in (0, one.stage.pk)]
        if asked and not found:
            raise NotVisible
        if not found:
            return self.answer({"stage": None, "rounds": [], "fixtures": [], "stages": []})
        return self.answer(show_draw(found[-1], players_of(state), [one.stage.pk for one in drawn]))

    @extend_schema(
        operation_id="competitions_draw",
        request=DrawIn,
        responses={
            201: DrawOut,
            200: OpenApiResponse(DrawOut, "Known by its uuid."),
            409: ConflictOut,
        },
    )
    def post(self, request, pk: int):
        competition = self.competition("manage")
        sent = self.read(DrawIn)
        uuid = sent.pop("uuid", None)
        apart = "clubs" if sent.pop("clubs_apart", False) else ""
        apart = "groups" if sent.pop("groups_apart", False) else apart
        redraw = "stage" not in sent
        sent["format"] = sent.get("format") or {}
        drawn = do_draw(competition, Asked(**sent, apart=apart, latest=redraw), self.author(), uuid=uuid)
        state = read_state(competition)
        stages = [int(key) for key, one in state["stages"].items() if one["draw"] is not None]
        answer = show_draw(drawn.stage, players_of(state), stages)
        return Response(answer, status=status.HTTP_200_OK if drawn.known else status.HTTP_201_CREATED)
