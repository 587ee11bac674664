"""The day of a competition through the API: how it stands, the plan, and what an organiser does."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers

from scoring.access import NotVisible, access_competition
from scoring.day_plan import read_day
from scoring.day_shapes import Day, Line, Slot
from scoring.ledger import Author
from scoring.models import Competition
from scoring.running import ACTS, do_act

from .views import IdField, ObjectField, ScoringView


class ActIn(serializers.Serializer):
    """What is done; `fields` as the act takes them.

    call: match, table, referee, anyway (before the players have rested). take-back, hold, release, forward:
    match. assign: match, referee (left out: nobody). move: match, table, why. not-before: match, at (left
    out: any time). walkover: match, absent, why. tables-in-use: tables. table-out: table, why, from, until.
    table-back: table. referees: players. day-open, day-end: nothing.
    """

    uuid = serializers.UUIDField(required=False)
    act = serializers.ChoiceField(list(ACTS))
    fields_ = ObjectField(required=False)

    def get_fields(self):
        """Let the object be called `fields`, a name the framework has taken."""
        found = super().get_fields()
        found["fields"] = found.pop("fields_")
        return found


class WaitOut(serializers.Serializer):
    """Why a match cannot be called now: left, absent, held, not-before, playing, refereeing, called, rest."""

    code = serializers.CharField()
    player = IdField(allow_null=True)
    until = serializers.DateTimeField(allow_null=True)


class LateOut(serializers.Serializer):
    """What is late: not-begun, long or behind, with the minutes."""

    code = serializers.CharField()
    minutes = serializers.IntegerField()


class DayMatchOut(serializers.Serializer):
    """A match; `state`: its status, or called. `start`, `end`: as they are, else expected."""

    match = IdField()
    state = serializers.CharField()
    players = serializers.ListField(child=IdField())
    names = serializers.ListField(child=serializers.CharField())
    table = IdField(allow_null=True)
    referee = IdField(allow_null=True)
    minutes = serializers.IntegerField()
    start = serializers.DateTimeField(allow_null=True)
    end = serializers.DateTimeField(allow_null=True)
    waits = WaitOut(many=True)
    late = LateOut(many=True)
    provisional = serializers.BooleanField()


class SlotOut(serializers.Serializer):
    """A part of the plan; `match` null: who plays is not known yet. `tie`: its number, then."""

    match = IdField(allow_null=True)
    tie = serializers.IntegerField(allow_null=True)
    table = IdField(allow_null=True)
    referee = IdField(allow_null=True)
    start = serializers.DateTimeField()
    end = serializers.DateTimeField()
    locked = serializers.BooleanField()


class DayTableOut(serializers.Serializer):
    """A table of the day, and what is at it."""

    id = IdField()
    name = serializers.CharField()
    out_of_order = serializers.BooleanField()
    matches = serializers.ListField(child=IdField())


class DayOut(serializers.Serializer):
    """How a day stands. `calls`: what should be called now. `bound`: no plan ends before it."""

    now = serializers.DateTimeField()
    end = serializers.DateTimeField(allow_null=True)
    bound = serializers.DateTimeField(allow_null=True)
    tables = DayTableOut(many=True)
    matches = DayMatchOut(many=True)
    calls = SlotOut(many=True)
    plan = SlotOut(many=True)


class DayView(ScoringView):
    """The day of one competition."""

    serializer_class = DayOut
    pagination_class = None

    def _competition(self, pk: int, right: Any) -> Competition:
        found = Competition.objects.select_related("club").filter(pk=pk).first()
        if found is None:
            raise NotVisible
        access_competition(self.actor, found, right)
        return found

    @extend_schema(operation_id="competitions_day", responses=DayOut)
    def get(self, request, pk: int):
        return self.answer(self._show(read_day(self._competition(pk, "read"))))

    @extend_schema(operation_id="competitions_day_act", request=ActIn, responses=DayOut)
    def post(self, request, pk: int):
        found = self._competition(pk, "manage")
        told = self.read(ActIn)
        author = Author(user_id=self.actor.user.pk if self.actor.user is not None else None, organises=True)
        do_act(found, told["act"], told.get("fields", {}), author, told.get("uuid"))
        return self.answer(self._show(read_day(found)))

    def _show(self, day: Day) -> dict[str, Any]:
        return {
            "now": day.now,
            "end": day.end,
            "bound": day.bound,
            "tables": [
                {
                    "id": one.table.pk,
                    "name": one.table.name,
                    "out_of_order": one.out is not None,
                    "matches": [line.match.pk for line in one.lines],
                }
                for one in day.tables
            ],
            "matches": [self._match(line) for line in [*day.lines, *day.over]],
            "calls": [_slot(one) for one in day.calls],
            "plan": [_slot(one) for one in day.slots],
        }

    def _match(self, line: Line) -> dict[str, Any]:
        return {
            "match": line.match.pk,
            "state": line.state,
            "players": list(line.match.entrant_ids),
            "names": [one.shown_name(self.actor.names_open) for one in line.players],
            "table": line.table,
            "referee": None if line.referee is None else line.referee.pk,
            "minutes": line.minutes,
            "start": line.start,
            "end": line.end,
            "waits": [
                {"code": code, "player": None if player is None else player.pk, "until": until}
                for code, player, until in line.waits
            ],
            "late": [{"code": code, "minutes": minutes} for code, minutes in line.late],
            "provisional": line.protest,
        }


def _slot(one: Slot) -> dict[str, Any]:
    return {
        "match": one.what.match.pk if isinstance(one.what, Line) else None,
        "tie": None if isinstance(one.what, Line) else one.what.fixture.tie,
        "table": None if one.table is None else one.table.pk,
        "referee": None if one.referee is None else one.referee.pk,
        "start": one.start,
        "end": one.end,
        "locked": one.locked,
    }
