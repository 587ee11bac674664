"""Encounters of a season through the API."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext
from drf_spectacular.utils import extend_schema
from rest_framework import serializers

from scoring.conducting import read_state
from scoring.encounter_rights import find_league
from scoring.encounter_steps import STEPS, do_step
from scoring.encounter_view import find_encounter, show_encounter
from scoring.league_tables import late
from scoring.models import Encounter
from scoring.rules.event.season import rule_of

from .views import IdField, ObjectField, ScoringView, TextField


class EncounterBrief(serializers.Serializer):
    """An encounter as a list shows it."""

    id = serializers.IntegerField()
    division = serializers.IntegerField()
    round = serializers.IntegerField()
    home = serializers.DictField()
    away = serializers.DictField()
    status = serializers.CharField()
    scheduled_on = serializers.DateField(allow_null=True)
    due_on = serializers.DateField(allow_null=True)
    late = serializers.CharField(allow_null=True)


class EncounterOut(EncounterBrief):
    """An encounter: line-ups as the reader may see them, boards, points; `warnings` of a line-up just told.

    written: how much was written on the boards, to be sent with an answer as `expected`.
    """

    line_ups = serializers.DictField()
    boards = serializers.ListField(child=serializers.DictField())
    written = serializers.IntegerField(allow_null=True)
    match_points = serializers.DictField(allow_null=True)
    board_points = serializers.DictField(allow_null=True)
    awarded_to = serializers.IntegerField(allow_null=True)
    warnings = serializers.ListField(child=serializers.CharField(), required=False)
    looked = serializers.DictField(required=False)


class StepIn(serializers.Serializer):
    """A step of an encounter; which fields it takes depends on `verb`.

    expected: of `confirm` and `settle`, the `written` of the encounter that was looked at; 409 `stale` where
    a board was changed since.
    """

    verb = serializers.ChoiceField(list(STEPS))
    uuid = serializers.UUIDField(required=False)
    side = TextField(max_length=4, required=False)
    player = IdField(required=False)
    players = serializers.ListField(child=IdField(allow_null=True), required=False, max_length=20)
    on = serializers.DateField(required=False, allow_null=True)
    due = serializers.DateField(required=False)
    agree = serializers.BooleanField(required=False)
    board = serializers.IntegerField(min_value=1, max_value=20, required=False)
    boards = serializers.ListField(
        child=serializers.IntegerField(min_value=1, max_value=20), required=False, min_length=1, max_length=20
    )
    outcome = TextField(max_length=20, required=False)
    starter = TextField(max_length=4, required=False, allow_null=True)
    home = ObjectField(required=False)
    away = ObjectField(required=False)
    innings = ObjectField(required=False)
    why = TextField(max_length=500, required=False)
    decision = TextField(max_length=500, required=False)
    result = ObjectField(required=False, allow_null=True)
    expected = serializers.IntegerField(min_value=0, required=False, allow_null=True)
    to = TextField(max_length=4, required=False, allow_null=True)
    walkover = serializers.BooleanField(required=False)


class EncountersView(ScoringView):
    """The encounters of a competition, by round."""

    queryset = Encounter.objects.none()
    serializer_class = EncounterBrief

    @extend_schema(operation_id="encounters_list", responses=EncounterBrief(many=True))
    def get(self, request, pk: int):
        competition = find_league(self.actor, pk, "read", "schedule")
        state = read_state(competition)
        rule = rule_of(state)

        def show(one: Encounter) -> dict[str, Any]:
            known = state["encounters"][str(one.pk)]
            return {
                "id": one.pk,
                "division": known["division"],
                "round": one.round,
                "home": {"id": one.home_id, "name": one.home.name},
                "away": {"id": one.away_id, "name": one.away.name},
                "status": one.status,
                "scheduled_on": one.scheduled_on,
                "due_on": one.due_on,
                "late": late(one, known, rule),
            }

        rows = Encounter.objects.filter(group__stage__competition=competition).select_related("home", "away")
        return self.page(rows, show)


class EncounterView(ScoringView):
    """One encounter, and what captains and organisers do in it."""

    serializer_class = EncounterOut

    @extend_schema(operation_id="encounters_read", responses=EncounterOut)
    def get(self, request, pk: int):
        return self.answer(show_encounter(find_encounter(self.actor, pk), self.actor))

    @extend_schema(operation_id="encounters_step", request=StepIn, responses=EncounterOut)
    def post(self, request, pk: int):
        encounter = find_encounter(self.actor, pk, "write")
        told = self.read(StepIn)
        done = do_step(encounter, self.actor, told["verb"], told)
        if "warnings" in done:
            done["warnings"] = [one.into(gettext) for one in done["warnings"]]
        return self.answer(show_encounter(find_encounter(self.actor, pk), self.actor) | done)
