"""Fields of questions about layouts, strikes and tables: JSON numbers, and nothing besides what is asked."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from drf_spectacular.extensions import OpenApiSerializerFieldExtension
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from analytics.tables import shown_name
from scoring.api.paging import LARGEST_ID

_POINT = {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}
TURNS = 10


def number_of(value: Any) -> float | None:
    """Return a finite JSON number as a float; None for text, true, false and what is too large."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if isfinite(number) else None


class NumberField(serializers.Field):
    """A finite JSON number, never text that looks like one; its bounds are judged further in."""

    default_error_messages = {
        "required": gettext_lazy("Send a number."),
        "null": gettext_lazy("Send a number."),
        "type": gettext_lazy("Send a number."),
    }

    def to_internal_value(self, data):
        number = number_of(data)
        if number is None:
            self.fail("type")
        return number

    def to_representation(self, value):
        return value


@extend_schema_field(
    {"type": "number", "minimum": -360 * TURNS, "maximum": 360 * TURNS, "description": "Degrees."}
)
class DirectionField(NumberField):
    """Degrees, 0 towards the right rail, counter-clockwise."""

    default_error_messages = {
        "required": gettext_lazy("Send degrees: 0 towards the right rail, 90 towards the top rail."),
        "range": gettext_lazy("Send degrees: 0 towards the right rail, up to 360."),
    }

    def to_internal_value(self, data):
        number = super().to_internal_value(data)
        if abs(number) > 360 * TURNS:
            self.fail("range")
        return number


@extend_schema_field(
    {"type": "number", "minimum": 0, "exclusiveMinimum": True, "maximum": 12, "description": "m/s."}
)
class SpeedField(NumberField):
    """Speed of the cue ball as it leaves the tip."""


@extend_schema_field({"type": "number", "minimum": -0.5, "maximum": 0.5, "description": "Ball radii."})
class OffsetField(NumberField):
    """How far off the centre the tip meets the ball."""


@extend_schema_field(_POINT | {"description": "[x, y] in diamonds: x from 0 to 4, y from 0 to 8."})
class PointField(serializers.Field):
    """A ball's centre in diamonds."""

    default_error_messages = {
        "required": gettext_lazy("Say where this ball lies: send [x, y] in diamonds."),
        "null": gettext_lazy("Say where this ball lies: send [x, y] in diamonds."),
        "type": gettext_lazy("Send [x, y] in diamonds: two numbers."),
    }

    def to_internal_value(self, data):
        if not isinstance(data, list) or len(data) != 2:
            self.fail("type")
        point = tuple(number_of(part) for part in data)
        if None in point:
            self.fail("type")
        return point


@extend_schema_field({"type": "boolean"})
class YesNoField(serializers.Field):
    """JSON true or false."""

    default_error_messages = {
        "null": gettext_lazy("Send true or false."),
        "type": gettext_lazy("Send true or false."),
    }

    def to_internal_value(self, data):
        if not isinstance(data, bool):
            self.fail("type")
        return data


class TableField(serializers.Field):
    """A table: the id of one, or `{id, overrides}`; `analytics.tables` reads it."""

    def __init__(self) -> None:
        super().__init__(required=False, allow_null=True)

    def to_internal_value(self, data):
        return data


class TableFieldSchema(OpenApiSerializerFieldExtension):
    """Describes a table with the names and bounds of its parameters, read when the schema is asked for."""

    target_class = TableField

    def map_serializer_field(self, auto_schema, direction):
        from dataclasses import fields

        from analytics.table.parameters import TableParameters

        number = {"type": "integer", "minimum": 1, "maximum": LARGEST_ID}
        overrides = {
            one.name: {
                "type": "number",
                "minimum": one.metadata["low"],
                "maximum": one.metadata["high"],
                "description": one.metadata["unit"],
            }
            for one in fields(TableParameters)
        }
        named = {"type": "object", "properties": overrides, "additionalProperties": False}
        both = {
            "type": "object",
            "properties": {"id": number | {"nullable": True}, "overrides": named},
            "additionalProperties": False,
        }
        return {"oneOf": [number, both], "nullable": True}


class ExactSerializer(serializers.Serializer):
    """An object that holds what is asked and nothing else: a misspelt name is told, not passed over."""

    default_error_messages = {
        "required": gettext_lazy("This is needed: send an object."),
        "null": gettext_lazy("This is needed: send an object."),
        "invalid": gettext_lazy("Send an object."),
    }

    def to_internal_value(self, data):
        if isinstance(data, Mapping):
            reason = _("Leave this out; known here are: %(names)s.") % {"names": ", ".join(self.fields)}
            surplus = {shown_name(name): [reason] for name in data if name not in self.fields}
            if surplus:
                raise serializers.ValidationError(surplus)
        return super().to_internal_value(data)


def dotted(detail: Any, before: str = "") -> dict[str, list]:
    """Return the refusals of nested objects by one name each: `strike.speed`."""
    if not isinstance(detail, Mapping):
        return {before or "non_field_errors": detail}
    found: dict[str, list] = {}
    for name, part in detail.items():
        inner = before if name == "non_field_errors" else f"{before}.{name}".lstrip(".")
        found |= dotted(part, inner)
    return found
