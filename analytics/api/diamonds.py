"""Asking a diamond system: two numbers or the balls in, the sum, its steps and warnings out.

Nothing is stored, and nothing is simulated.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.exceptions import ValidationError

from analytics.aim.diamonds.geometry import CORNERS, LENGTH
from analytics.aim.diamonds.question import MARK_OFFSET, MOST_OFFSET, OUTER, RADIUS, READINGS, Question
from analytics.aim.diamonds.systems import SYSTEMS, answer
from analytics.measuring import own_number
from analytics.tables import find_set_in_use, find_table
from scoring.api.views import ScoringView
from scoring.rules.contacts import RAILS

from .fields import ExactSerializer, NumberField, PointField, TableField, YesNoField, dotted
from .limits import VisitorDiamonds

_PLACE = {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}


class NameField(serializers.Field):
    """A name that the systems judge, so that their own sentence says which there are."""

    def to_internal_value(self, data):
        return data


@extend_schema_field({"type": "string", "enum": list(SYSTEMS)})
class SystemField(NameField):
    """A diamond system."""


@extend_schema_field({"type": "string", "enum": list(CORNERS), "nullable": True})
class CornerField(NameField):
    """The corner near which the cue ball starts."""


@extend_schema_field({"type": "string", "enum": list(RAILS), "nullable": True})
class FirstRailField(NameField):
    """The rail that the cue ball meets first."""


@extend_schema_field({"type": "string", "enum": list(READINGS)})
class ReadingField(NameField):
    """Whether lines run through the marks, to the nose opposite them, or by the rail."""


@extend_schema_field({"type": "string", "enum": list(OUTER)})
class OuterField(NameField):
    """Which school numbers the places outside the core."""


@extend_schema_field({"type": "number", "nullable": True})
class DiamondField(NumberField):
    """A number of the system."""


@extend_schema_field({"type": "number", "minimum": 0, "maximum": MOST_OFFSET})
class MarkOffsetField(NumberField):
    """How far behind the nose the marks lie, in diamonds."""


@extend_schema_field(_PLACE | {"nullable": True})
class PlaceField(serializers.Field):
    """A place on a nose line or a frame, in diamonds; null where the path has none."""


@extend_schema_field(
    {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2, "nullable": True}
)
class WindowField(serializers.Field):
    """The lowest and the highest arrival that still hit."""


class BallsIn(ExactSerializer):
    """The balls that stand for numbers: the cue ball for the origin, the ball for the arrival."""

    cue_ball = PointField(required=False, allow_null=True)
    ball = PointField(required=False, allow_null=True)


class DiamondsIn(ExactSerializer):
    """Two of the three numbers, or balls that stand for them, and how to read the marks."""

    system = SystemField()
    origin = DiamondField(required=False, allow_null=True)
    aim = DiamondField(required=False, allow_null=True)
    arrival = DiamondField(required=False, allow_null=True)
    layout = BallsIn(required=False, allow_null=True)
    corner = CornerField(required=False, allow_null=True)
    first_rail = FirstRailField(required=False, allow_null=True)
    reading = ReadingField(default="through")
    mark_offset = MarkOffsetField(default=MARK_OFFSET)
    outer = OuterField(default="linear")
    correct = YesNoField(default=False)
    table = TableField()


class PointsOut(serializers.Serializer):
    """Places on the nose lines; those that only some systems know may be absent."""

    origin = PlaceField()
    aim = PlaceField()
    arrival = PlaceField()
    second = PlaceField(required=False)
    fourth = PlaceField(required=False)
    contact = PlaceField(required=False)


class MarksOut(serializers.Serializer):
    """Places on the frame abreast of the points."""

    origin = PlaceField(required=False)
    aim = PlaceField()
    arrival = PlaceField(required=False)


class OwnOut(serializers.Serializer):
    """A measured table's own numbers: where the book's aim comes, with its interval of 90 %, and the
    aim that comes to the book's arrival; when that was measured, and under which note."""

    arrival = serializers.FloatField()
    low = serializers.FloatField()
    high = serializers.FloatField()
    aim = serializers.FloatField(allow_null=True)
    measured_at = serializers.DateTimeField()
    note = serializers.CharField()


class DiamondsOut(serializers.Serializer):
    """What the system answers; numbers are whole diamonds, Sid's aim tens a diamond.

    `status` says of each step whether it was published (S) or derived (D). `line` joins the two
    places that the aim line runs through. `track` is the arrival wanted before the correction;
    `mirror` where a ball without side would come by plane mirrors, in diamonds from the far end.
    `own` stands beside the corner's numbers where the table asked about was measured.
    """

    system = serializers.CharField()
    origin = serializers.FloatField(allow_null=True)
    aim = serializers.FloatField(allow_null=True)
    arrival = serializers.FloatField(allow_null=True)
    steps = serializers.ListField(child=serializers.CharField())
    status = serializers.ListField(child=serializers.CharField())
    stroke = serializers.CharField()
    points = PointsOut()
    marks = MarksOut()
    line = serializers.ListField(child=PlaceField(), min_length=2, max_length=2)
    window = WindowField()
    track = serializers.FloatField(allow_null=True)
    mirror = serializers.FloatField(allow_null=True)
    warnings = serializers.ListField(child=serializers.CharField())
    own = OwnOut(allow_null=True)


class DiamondsView(ScoringView):
    """Do the arithmetic of the diamonds."""

    serializer_class = DiamondsOut
    pagination_class = None
    throttle_classes = [VisitorDiamonds]

    @extend_schema(operation_id="diamonds_create", request=DiamondsIn, responses={200: DiamondsOut})
    def post(self, request):
        try:
            asked = self.read(DiamondsIn)
        except ValidationError as fault:
            raise ValidationError(dotted(fault.detail)) from None
        layout = asked.pop("layout", None) or {}
        table = asked.pop("table", None)
        found = answer(Question(**asked, **layout, radius=_radius(table)))
        own = own_number(find_set_in_use(table), found, asked["reading"])
        return self.answer(found.to_json(gettext) | {"own": None if own is None else OwnOut(own).data})


def _radius(table: Any) -> float:
    """Return a ball's radius in diamonds of the table asked about. Raises Malformed."""
    if table is None:
        return RADIUS
    found = find_table(table)
    return found.radius / (found.table_length / LENGTH)
