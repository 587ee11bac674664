"""Coaches and pupils: asking, agreeing, withdrawing, and what is set to try."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django_filters import rest_framework as filters
from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_field
from rest_framework import serializers

from scoring.access import Forbidden, NotVisible
from scoring.coaching import do_agree, do_ask, do_set, do_withdraw
from scoring.models import Assignment, Coaching, Player
from scoring.practice_rights import access_coaching, visible_assignments, visible_coachings

from .paging import LARGEST_ID
from .practice_fields import GoalSerializer, PlanField, PlanStepOut
from .states import ConflictOut
from .views import IdField, ScoringView, TextField


class CoachingIn(serializers.Serializer):
    """A player to ask."""

    uuid = serializers.UUIDField(required=False)
    player = IdField()

    def validate_player(self, pk):
        found = Player.objects.named().filter(pk=pk, merged_into__isnull=True).first()
        if found is None:
            raise serializers.ValidationError(_("There is no such player."))
        return found


@extend_schema_field({"type": "string", "enum": ["asked", "agreed", "withdrawn"]})
class StandingField(serializers.Field):
    """How a coaching stands."""


class CoachingOut(serializers.Serializer):
    """Who asked whom, and how it stands."""

    id = serializers.IntegerField()
    uuid = serializers.UUIDField()
    coach = serializers.CharField(help_text="A user name.")
    coach_name = serializers.CharField()
    player = serializers.IntegerField()
    player_name = serializers.CharField()
    status = StandingField()
    asked_at = serializers.DateTimeField()
    agreed_at = serializers.DateTimeField(allow_null=True)
    withdrawn_at = serializers.DateTimeField(allow_null=True)


def show_coaching(coaching: Coaching) -> dict[str, Any]:
    """Return a coaching as both sides see it."""
    coach = coaching.coach
    player = getattr(coach, "player", None)
    status = "withdrawn" if coaching.withdrawn_at else "agreed" if coaching.agreed_at else "asked"
    return {
        "id": coaching.pk,
        "uuid": str(coaching.uuid),
        "coach": coach.get_username(),
        "coach_name": player.full_name if player else coach.get_username(),
        "player": coaching.player_id,
        "player_name": coaching.player.full_name,
        "status": status,
        "asked_at": coaching.asked_at,
        "agreed_at": coaching.agreed_at,
        "withdrawn_at": coaching.withdrawn_at,
    }


NAMED = ("coach__player__name", "player__name")


class CoachingsView(ScoringView):
    """Who coaches the reader, and whom the reader coaches; a coach asks a player."""

    queryset = Coaching.objects.none()
    serializer_class = CoachingOut

    @extend_schema(operation_id="coaching_list", responses=CoachingOut(many=True))
    def get(self, request):
        return self.page(visible_coachings(self.actor).select_related(*NAMED), show_coaching)

    @extend_schema(
        operation_id="coaching_ask",
        request=CoachingIn,
        responses={
            201: CoachingOut,
            200: OpenApiResponse(CoachingOut, "Known by its uuid."),
            409: ConflictOut,
        },
    )
    def post(self, request):
        return self.create_once(
            Coaching, lambda found: found.coach_id == self.actor.user.pk, self._ask, show_coaching
        )

    def _ask(self) -> Coaching:
        asked = self.read(CoachingIn)
        return do_ask(self.actor.user, asked["player"], asked.get("uuid"))


class OneCoachingView(ScoringView):
    """A view of one coaching."""

    serializer_class = CoachingOut

    def coaching(self, pk: int, right) -> Coaching:
        """Return the coaching, once the actor may do this with it."""
        found = Coaching.objects.filter(pk=pk).first()
        if found is None:
            raise NotVisible
        access_coaching(self.actor, found, right)
        return found

    def shown(self, pk: int):
        """Answer the coaching as it stands now."""
        return self.answer(show_coaching(Coaching.objects.select_related(*NAMED).get(pk=pk)))


class AgreeView(OneCoachingView):
    """The player agrees."""

    @extend_schema(
        operation_id="coaching_agree", request=None, responses={200: CoachingOut, 409: ConflictOut}
    )
    def post(self, request, pk: int):
        do_agree(self.coaching(pk, "agree").pk)
        return self.shown(pk)


class WithdrawView(OneCoachingView):
    """Either side ends it; from then on the coach sees nothing."""

    @extend_schema(operation_id="coaching_withdraw", request=None, responses=CoachingOut)
    def post(self, request, pk: int):
        do_withdraw(self.coaching(pk, "withdraw").pk)
        return self.shown(pk)


# --- what is set -------------------------------------------------------------


class AssignmentIn(serializers.Serializer):
    """What a pupil is to try; a goal of its own, and one a position."""

    uuid = serializers.UUIDField(required=False)
    player = IdField()
    name = TextField(max_length=80)
    note = TextField(max_length=500, required=False, allow_blank=True)
    positions = PlanField()
    goal = GoalSerializer(required=False, allow_null=True)
    due_on = serializers.DateField(required=False, allow_null=True)

    def validate_goal(self, goal):
        return None if goal is None else dict(goal)

    def validate_positions(self, steps):
        if not steps:
            raise serializers.ValidationError(_("Send a position at least."))
        return steps


class AssignmentOut(serializers.Serializer):
    """What was set, by whom, for whom."""

    id = serializers.IntegerField()
    uuid = serializers.UUIDField()
    coaching = serializers.IntegerField()
    coach = serializers.CharField(help_text="A user name.")
    coach_name = serializers.CharField()
    player = serializers.IntegerField()
    player_name = serializers.CharField()
    name = serializers.CharField()
    note = serializers.CharField()
    positions = PlanStepOut(many=True)
    goal = GoalSerializer(allow_null=True)
    set_at = serializers.DateTimeField()
    due_on = serializers.DateField(allow_null=True)


def show_assignment(assignment: Assignment) -> dict[str, Any]:
    """Return what was set, as both sides see it."""
    between = show_coaching(assignment.coaching)
    return {
        "id": assignment.pk,
        "uuid": str(assignment.uuid),
        "coaching": assignment.coaching_id,
        **{name: between[name] for name in ("coach", "coach_name", "player", "player_name")},
        "name": assignment.name,
        "note": assignment.note,
        "positions": assignment.positions,
        "goal": assignment.goal,
        "set_at": assignment.set_at,
        "due_on": assignment.due_on,
    }


class AssignmentFilter(filters.FilterSet):
    """Narrow the list of what was set."""

    player = filters.NumberFilter(field_name="coaching__player_id", min_value=1, max_value=LARGEST_ID)

    class Meta:
        model = Assignment
        fields: list[str] = []


class AssignmentsView(ScoringView):
    """What was set for the reader, and what the reader set pupils; sessions that name it follow it up."""

    queryset = Assignment.objects.none()
    serializer_class = AssignmentOut
    filterset_class = AssignmentFilter
    newest_first = True

    @extend_schema(operation_id="assignments_list", responses=AssignmentOut(many=True))
    def get(self, request):
        related = [f"coaching__{name}" for name in NAMED]
        return self.page(visible_assignments(self.actor).select_related(*related), show_assignment)

    @extend_schema(
        operation_id="assignments_create",
        request=AssignmentIn,
        responses={
            201: AssignmentOut,
            200: OpenApiResponse(AssignmentOut, "Known by its uuid."),
            409: ConflictOut,
        },
    )
    def post(self, request):
        return self.create_once(
            Assignment,
            lambda found: found.coaching.coach_id == self.actor.user.pk,
            self._set,
            show_assignment,
        )

    def _set(self) -> Assignment:
        asked = self.read(AssignmentIn)
        open_one = Coaching.objects.filter(
            coach=self.actor.user, player=asked.pop("player"), withdrawn_at__isnull=True
        ).first()
        if open_one is None:
            raise Forbidden
        return do_set(open_one.pk, **asked)
