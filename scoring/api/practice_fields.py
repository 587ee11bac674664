"""The parts of practice that several calls take: goals, plans of positions, balls and lines."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from scoring.practice_rights import visible_positions
from scoring.practising import find_positions
from scoring.rules.lying import lawful_layout
from scoring.rules.match import fields as read
from scoring.rules.said import Malformed
from scoring.sent_attempts import id_or_uuid

from .entry_schema import FIELDS
from .views import IdField

MOST_POSITIONS = 100
POSITION_NAMED: dict[str, Any] = {
    "oneOf": [
        {"type": "integer", "minimum": 1, "maximum": read.MAX_ID},
        {"type": "string", "format": "uuid"},
    ],
    "description": "The id of a position, or the uuid it was made with.",
}


class ReadField(serializers.Field):
    """A field that the rules read."""

    reader: Any = None

    def to_internal_value(self, data):
        try:
            return self.reader(data, self.field_name)
        except Malformed as wrong:
            raise serializers.ValidationError(wrong.reason.into(_)) from None

    def to_representation(self, value):
        return value


@extend_schema_field(FIELDS["layout"])
class LayoutField(ReadField):
    """Where the three balls lie [diamonds]."""

    reader = staticmethod(lawful_layout)


@extend_schema_field(FIELDS["line"] | {"nullable": True})
class LineField(ReadField):
    """A strike."""

    reader = staticmethod(read.strike)


@extend_schema_field(POSITION_NAMED)
class PositionField(ReadField):
    """What names a position."""

    reader = staticmethod(id_or_uuid)


class GoalSerializer(serializers.Serializer):
    """What is aimed at: so many points made of so many attempts."""

    attempts = serializers.IntegerField(min_value=1, max_value=10_000)
    made = serializers.IntegerField(min_value=0, max_value=10_000)

    def validate(self, attrs):
        # A goal is told whole, also where the rest of a session is told in part.
        for name in ("attempts", "made"):
            if name not in attrs:
                raise serializers.ValidationError({name: self.fields[name].error_messages["required"]})
        if attrs["made"] > attrs["attempts"]:
            raise serializers.ValidationError({"made": _("No more points than attempts.")})
        return attrs


class PlanStepIn(serializers.Serializer):
    """One position of a plan."""

    position = PositionField()
    repetitions = serializers.IntegerField(min_value=1, max_value=1000, required=False, allow_null=True)
    goal = GoalSerializer(required=False, allow_null=True)


class PlanStepOut(serializers.Serializer):
    """One position of a plan, by its id."""

    position = IdField()
    repetitions = serializers.IntegerField(allow_null=True)
    goal = GoalSerializer(allow_null=True)


@extend_schema_field(
    {
        "type": "array",
        "maxItems": MOST_POSITIONS,
        "items": {
            "oneOf": [
                *POSITION_NAMED["oneOf"],
                {
                    "type": "object",
                    "required": ["position"],
                    "properties": {
                        "position": POSITION_NAMED,
                        "repetitions": {
                            "type": "integer",
                            "minimum": 1,
                            "maximum": 1000,
                            "nullable": True,
                        },
                        "goal": {
                            "type": "object",
                            "nullable": True,
                            "required": ["attempts", "made"],
                            "properties": {
                                "attempts": {"type": "integer", "minimum": 1, "maximum": 10000},
                                "made": {"type": "integer", "minimum": 0, "maximum": 10000},
                            },
                        },
                    },
                },
            ]
        },
    }
)
class PlanField(serializers.Field):
    """Positions to try, in order: what names each, or an object with repetitions and a goal."""

    def to_internal_value(self, data):
        if not isinstance(data, list) or len(data) > MOST_POSITIONS:
            raise serializers.ValidationError(
                _("Send a list of at most %(most)s positions.") % {"most": MOST_POSITIONS}
            )
        steps = [self._step(one) for one in data]
        usable = visible_positions(self.context["view"].actor)
        found = find_positions(usable, {step["position"] for step in steps})
        for step in steps:
            position = found.get(step["position"])
            if position is None:
                raise serializers.ValidationError(_("There is no such position."))
            step["position"] = position.pk
        return steps

    @staticmethod
    def _step(data: Any) -> dict[str, Any]:
        incoming = PlanStepIn(data=data if isinstance(data, dict) else {"position": data})
        incoming.is_valid(raise_exception=True)
        step = incoming.validated_data
        goal = step.get("goal")
        return {
            "position": step["position"],
            "repetitions": step.get("repetitions"),
            "goal": None if goal is None else dict(goal),
        }

    def to_representation(self, value):
        return value
