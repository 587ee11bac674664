"""Practice sessions through the API: private to the player, and to coaches the player agreed to."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django_filters import rest_framework as filters
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers

from scoring.access import NotVisible
from scoring.models import Assignment, Club, Player, PlayTable, PracticeSession
from scoring.practice_rights import (
    access_new_session,
    access_session,
    visible_assignments,
    visible_sessions,
)
from scoring.practising import do_begin_session, do_change_session

from .paging import LARGEST_ID
from .practice_fields import GoalSerializer, PlanField, PlanStepOut
from .views import IdField, RuleSetField, ScoringView, TextField


class SessionFields(serializers.Serializer):
    """What may be said of a session, and changed later."""

    name = TextField(max_length=80, required=False, allow_blank=True)
    note = TextField(max_length=500, required=False, allow_blank=True)
    table = IdField(required=False, allow_null=True)
    goal = GoalSerializer(required=False, allow_null=True)
    positions = PlanField(required=False)

    def validate_table(self, pk):
        if pk is None:
            return None
        table = PlayTable.objects.filter(pk=pk).first()
        if table is None:
            raise serializers.ValidationError(_("There is no such table."))
        return table

    def validate_goal(self, goal):
        return None if goal is None else dict(goal)


class SessionIn(SessionFields):
    """A session to begin; `player` is one's own where it is left out."""

    uuid = serializers.UUIDField(required=False)
    player = IdField(required=False)
    discipline = TextField(max_length=60)
    rule_set = RuleSetField(required=False, allow_null=True)
    assignment = IdField(
        required=False, allow_null=True, help_text="What a coach set: its positions are the plan."
    )
    started_at = serializers.DateTimeField(required=False, allow_null=True)

    def validate_assignment(self, pk) -> Assignment | None:
        if pk is None:
            return None
        own = self.context["view"].actor.own_players
        found = visible_assignments(self.context["view"].actor)
        row = found.filter(pk=pk, coaching__player__in=own).first()
        if row is None:
            raise serializers.ValidationError(_("Nothing was set under this id."))
        return row


class SessionChange(SessionFields):
    """What may be changed of a session; `ended` false goes on with one that was ended."""

    ended = serializers.BooleanField(required=False)


class SessionOut(serializers.Serializer):
    """A session; `attempts` and `made` count what is not struck out, `seq` all its entries."""

    id = serializers.IntegerField()
    uuid = serializers.UUIDField()
    player = serializers.IntegerField()
    player_name = serializers.CharField()
    discipline = serializers.CharField()
    rule_set = serializers.CharField()
    name = serializers.CharField()
    note = serializers.CharField()
    table = serializers.IntegerField(allow_null=True)
    goal = GoalSerializer(allow_null=True)
    positions = PlanStepOut(many=True)
    assignment = serializers.IntegerField(allow_null=True)
    started_at = serializers.DateTimeField()
    ended_at = serializers.DateTimeField(allow_null=True)
    attempts = serializers.IntegerField()
    made = serializers.IntegerField()
    seq = serializers.IntegerField()


def show_session(session: PracticeSession) -> dict[str, Any]:
    """Return a session as its player and coaches see it."""
    return {
        "id": session.pk,
        "uuid": str(session.uuid),
        "player": session.player_id,
        "player_name": session.player.full_name,
        "discipline": session.discipline_code,
        "rule_set": session.rule_set["code"],
        "name": session.name,
        "note": session.note,
        "table": session.table_id,
        "goal": session.goal,
        "positions": session.positions,
        "assignment": session.assignment_id,
        "started_at": session.started_at,
        "ended_at": session.ended_at,
        "attempts": session.tried,
        "made": session.made,
        "seq": session.seq,
    }


class SessionFilter(filters.FilterSet):
    """Narrow the list of sessions."""

    player = filters.NumberFilter(field_name="player_id", min_value=1, max_value=LARGEST_ID)
    assignment = filters.NumberFilter(field_name="assignment_id", min_value=1, max_value=LARGEST_ID)
    discipline = filters.CharFilter(field_name="discipline_code", max_length=60)
    ended = filters.BooleanFilter(field_name="ended_at", lookup_expr="isnull", exclude=True)

    class Meta:
        model = PracticeSession
        fields: list[str] = []


class SessionsView(ScoringView):
    """The sessions of the reader, and of pupils who agreed."""

    queryset = PracticeSession.objects.none()
    serializer_class = SessionOut
    filterset_class = SessionFilter
    newest_first = True

    @extend_schema(operation_id="sessions_list", responses=SessionOut(many=True))
    def get(self, request):
        return self.page(visible_sessions(self.actor).select_related("player__name"), show_session)

    @extend_schema(
        operation_id="sessions_create",
        request=SessionIn,
        responses={201: SessionOut, 200: OpenApiResponse(SessionOut, "Known by its uuid.")},
    )
    def post(self, request):
        return self.create_once(
            PracticeSession,
            lambda found: found.player_id in self.actor.own_players,
            self._begin,
            show_session,
        )

    def _begin(self) -> PracticeSession:
        asked = self.read(SessionIn)
        player = self._player(asked.pop("player", None))
        access_new_session(self.actor, player)
        assignment = asked.get("assignment")
        if assignment is not None:
            if assignment.coaching.player_id != player.pk:
                raise serializers.ValidationError({"assignment": [_("Nothing was set under this id.")]})
            asked.setdefault("positions", assignment.positions)
            asked.setdefault("goal", assignment.goal)
            asked.setdefault("name", assignment.name)
        return do_begin_session(
            club=Club.objects.the_first(), player=player, created_by=self.actor.user, **asked
        )

    def _player(self, pk: int | None) -> Player:
        players = Player.objects.named().filter(merged_into__isnull=True)
        if pk is None:
            found, reason = players.filter(user=self.actor.user).first(), _("Send the player who practises.")
        else:
            found, reason = players.filter(pk=pk).first(), _("There is no such player.")
        if found is None:
            raise serializers.ValidationError({"player": [reason]})
        return found


class OneSessionView(ScoringView):
    """A view of one session."""

    queryset = PracticeSession.objects.none()

    def session(self, right="read") -> PracticeSession:
        """Return the session of the address, once the actor may have it."""
        rows = PracticeSession.objects.select_related("player__name")
        session = rows.filter(pk=self.kwargs["pk"]).first()
        if session is None:
            raise NotVisible
        access_session(self.actor, session, right)
        return session


class SessionView(OneSessionView):
    """One session."""

    serializer_class = SessionOut

    @extend_schema(operation_id="sessions_read", responses=SessionOut)
    def get(self, request, pk: int):
        return self.answer(show_session(self.session()))

    @extend_schema(operation_id="sessions_change", request=SessionChange, responses=SessionOut)
    def patch(self, request, pk: int):
        session = self.session("write")
        do_change_session(session.pk, **self.read(SessionChange, partial=True))
        return self.answer(show_session(self.session()))
