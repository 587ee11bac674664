"""Trying a stroke: a layout and a strike in, contacts, ruling and rest out. Nothing is stored."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_field
from rest_framework import serializers, status
from rest_framework.exceptions import APIException, ValidationError

from analytics import kernels
from analytics.tables import find_table
from scoring.api.rulings import RulingOut
from scoring.api.views import ScoringView, TextField
from scoring.models import Club, Colour
from scoring.regulations import find_discipline
from scoring.rules.contacts import BALLS, RAILS

from .fields import (
    DirectionField,
    ExactSerializer,
    OffsetField,
    PointField,
    SpeedField,
    TableField,
    YesNoField,
    dotted,
)
from .limits import VisitorShots

_PIECE = {"type": "array", "items": {"type": "number"}, "minItems": 7, "maxItems": 7}
_NOT_READY = _("No stroke can be tried on this server yet. Whoever looks after it runs warm_kernels.")


class LayoutIn(ExactSerializer):
    """Where the three balls lie, in diamonds."""

    white = PointField()
    yellow = PointField()
    red = PointField()


class StrikeIn(ExactSerializer):
    """How the cue ball leaves the tip."""

    direction = DirectionField()
    speed = SpeedField()
    side = OffsetField(default=0.0)
    height = OffsetField(default=0.0)


class StrokeIn(ExactSerializer):
    """The part of a question that every simulated stroke shares."""

    layout = LayoutIn()
    cue_ball = serializers.ChoiceField(
        Colour.choices,
        error_messages=dict.fromkeys(("required", "null", "invalid_choice"), _("Send white or yellow.")),
    )


class DisciplineField(TextField):
    """The code of a discipline; three-cushion unless another is sent."""

    def __init__(self, **how):
        refusals = dict.fromkeys(("null", "blank"), _("Send the code of a discipline, or leave it out."))
        super().__init__(max_length=60, default="three-cushion", error_messages=refusals, **how)


class ShotIn(StrokeIn):
    """A stroke to be tried; `paths` also asks for what is needed to draw it."""

    strike = StrikeIn()
    discipline = DisciplineField()
    table = TableField()
    paths = YesNoField(default=False)


@extend_schema_field(
    {
        "type": "object",
        "properties": {
            "t": {"type": "number", "description": "Seconds."},
            "ball": {"type": "string", "enum": list(BALLS)},
            "rail": {"type": "string", "enum": list(RAILS)},
            "tie": {"type": "boolean", "description": "At the same instant as the one before."},
            "at": {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2},
        },
        "required": ["t", "at"],
    }
)
class MetField(serializers.Field):
    """A contact of the cue ball: when, what, and where its centre was, in diamonds."""


@extend_schema_field({"type": "array", "items": _PIECE, "minItems": 1})
class PathField(serializers.Field):
    """Pieces [t, x, y, vx, vy, ax, ay] in seconds and diamonds.

    From t on, until the next piece's, the centre is at x + vx s + ax s^2 / 2, s = time - t.
    """


class RestOut(serializers.Serializer):
    """Where the balls lie at the end."""

    white = PointField()
    yellow = PointField()
    red = PointField()


class PathsOut(serializers.Serializer):
    """The way of each ball."""

    white = PathField()
    yellow = PathField()
    red = PathField()


class ShotOut(serializers.Serializer):
    """What became of a stroke; `complete` is false where the bound on events was met."""

    contacts = serializers.ListField(child=MetField())
    rest = RestOut()
    duration = serializers.FloatField()
    ruling = RulingOut()
    complete = serializers.BooleanField()
    paths = PathsOut(required=False)


class NotReady(APIException):
    """503: the simulator cannot be loaded here."""

    status_code = status.HTTP_503_SERVICE_UNAVAILABLE
    default_detail = _NOT_READY
    default_code = "not-ready"


class ComputingView(ScoringView):
    """A view that asks the simulator: names nested fields with dots, waits for no compiler at start-up."""

    pagination_class = None

    def read(self, serializer_class, **options) -> dict[str, Any]:
        try:
            return super().read(serializer_class, **options)
        except ValidationError as fault:
            raise ValidationError(dotted(fault.detail)) from None

    @staticmethod
    def simulator():
        """Return the module that plays strokes."""
        try:
            return kernels.load()
        except kernels.NotReady as fault:
            raise NotReady from fault


class ShotsView(ComputingView):
    """Try a stroke."""

    serializer_class = ShotOut
    throttle_classes = [VisitorShots]

    @extend_schema(
        operation_id="shots_create",
        request=ShotIn,
        responses={200: ShotOut, 503: OpenApiResponse(description="The simulator cannot be loaded.")},
    )
    def post(self, request):
        asked = self.read(ShotIn)
        discipline = find_discipline(Club.objects.the_first(), asked["discipline"])
        table = find_table(asked.get("table"))
        shots = self.simulator()
        strike = shots.Strike(**asked["strike"])
        shot = shots.play_stroke(asked["layout"], asked["cue_ball"], strike, table, discipline)
        return self.answer(shown(shot, asked["paths"]))


def shown(shot, with_paths: bool) -> dict[str, Any]:
    """Return a shot as JSON values."""
    told = {
        "contacts": [told_contact(one) for one in shot.contacts],
        "rest": {name: list(at) for name, at in shot.rest.items()},
        "duration": shot.duration,
        "ruling": shot.ruling.to_json(gettext),
        "complete": shot.complete,
    }
    if with_paths:
        told["paths"] = {name: [list(piece) for piece in path] for name, path in shot.paths.items()}
    return told


def told_contact(one) -> dict[str, Any]:
    """Return a contact as JSON values."""
    contact = one.contact
    what = {"ball": contact.ball} if contact.ball else {"rail": contact.rail}
    return {"t": one.t, **what, **({"tie": True} if contact.tie else {}), "at": list(one.at)}
