"""Asking for lines: a layout in, the ways to make the point out, the likeliest first. Nothing is stored."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _
from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.exceptions import Throttled

from analytics import searches
from analytics.tables import find_table
from scoring.models import Club
from scoring.regulations import find_discipline
from scoring.rules.contacts import BALLS, RAILS

from .fields import NumberField, TableField, YesNoField
from .limits import VisitorAim
from .shots import (
    ComputingView,
    DisciplineField,
    MetField,
    PathField,
    StrikeIn,
    StrokeIn,
    told_contact,
)

_LEAST, _MOST, _LINES, _USUAL = 0.2, 5, 20, 10


@extend_schema_field({"type": "number", "minimum": _LEAST, "maximum": _MOST, "default": 1.0})
class SpreadField(NumberField):
    """The scale of the execution error; 1.0 is the reference player, smaller is steadier."""

    default_error_messages = {
        "range": _("Send a spread from 0.2 to 5; 1 is the reference player, smaller is steadier."),
    }

    def to_internal_value(self, data):
        number = super().to_internal_value(data)
        if not _LEAST <= number <= _MOST:
            self.fail("range")
        return number


@extend_schema_field({"type": "integer", "minimum": 1, "maximum": _LINES, "default": _USUAL})
class LimitField(NumberField):
    """How many lines are wanted."""

    default_error_messages = {"range": _("Send how many lines you want: a whole number from 1 to 20.")}

    def to_internal_value(self, data):
        number = super().to_internal_value(data)
        if not 1 <= number <= _LINES or number != int(number):
            self.fail("range")
        return int(number)


class AimIn(StrokeIn):
    """A layout and who plays from it; `quick` asks for first lines from a small search."""

    discipline = DisciplineField()
    spread = SpreadField(default=1.0)
    limit = LimitField(default=_USUAL)
    table = TableField()
    quick = YesNoField(default=False)


@extend_schema_field({"type": "string", "enum": list(RAILS)})
class FirstRailField(serializers.Field):
    """The rail that is met first."""


class RailPlaceOut(serializers.Serializer):
    """Where the cue ball's way to its first rail crosses the nose, from its left or bottom end."""

    rail = FirstRailField()
    diamond = serializers.FloatField(min_value=0, max_value=8)


class PartsOut(serializers.Serializer):
    """A number for each part of a strike."""

    direction = serializers.FloatField()
    speed = serializers.FloatField()
    side = serializers.FloatField()
    height = serializers.FloatField()


@extend_schema_field({"type": "string", "enum": list(BALLS)})
class FirstBallField(serializers.Field):
    """The object ball that is met first."""


@extend_schema_field({"type": "string", "enum": ["left", "right"]})
class HitField(serializers.Field):
    """The side of the first ball that is met, as the cue ball comes to it."""


class LineOut(serializers.Serializer):
    """A way to make the point; success, luck, kiss and costs are shares of all strokes.

    `luck`, part of `success`, is made by another order of contacts than the plan's; `kiss` is
    spoilt by a meeting of balls. `costs`: what success would gain if that one error were half as
    large; `costs_stderr` its standard error. `thickness`: share of the first ball that is covered,
    1 is full; `fraction` the nearest in the trade's words. `contacts` end with the second ball.
    `path`: of the cue ball. `strokes`: fresh ones by which all of it was measured.
    """

    family = serializers.CharField()
    first_ball = FirstBallField()
    thickness = serializers.FloatField(min_value=0, max_value=1)
    fraction = serializers.CharField()
    hit = HitField()
    strike = StrikeIn()
    aim = RailPlaceOut(allow_null=True)
    success = serializers.FloatField(min_value=0, max_value=1)
    stderr = serializers.FloatField()
    luck = serializers.FloatField(min_value=0, max_value=1)
    kiss = serializers.FloatField(min_value=0, max_value=1)
    costs = PartsOut()
    costs_stderr = PartsOut()
    strokes = serializers.IntegerField()
    contacts = serializers.ListField(child=MetField())
    path = PathField()


class AimOut(serializers.Serializer):
    """Lines, the likeliest first.

    `execution_error`: the standard deviations at spread 1.0, in degrees, share of the speed and
    ball radii. `searched`: strokes played for the answer. `complete` is false for first lines and
    where the clock cut the search short.
    """

    lines = serializers.ListField(child=LineOut())
    spread = serializers.FloatField()
    execution_error = PartsOut()
    searched = serializers.IntegerField()
    complete = serializers.BooleanField()


class AimView(ComputingView):
    """Find lines."""

    serializer_class = AimOut
    throttle_classes = [VisitorAim]

    @extend_schema(
        operation_id="aim_create",
        request=AimIn,
        responses={
            200: AimOut,
            429: OpenApiResponse(description="Others are being searched for, or the limit is passed."),
            503: OpenApiResponse(description="The simulator cannot be loaded."),
        },
    )
    def post(self, request):
        asked = self.read(AimIn)
        discipline = find_discipline(Club.objects.the_first(), asked["discipline"])
        table = find_table(asked.get("table"))
        self.simulator()
        try:
            found = searches.search(
                asked["layout"],
                asked["cue_ball"],
                visitor=request.auth is None and not request.user.is_authenticated,
                quick=asked["quick"],
                spread=asked["spread"],
                limit=asked["limit"],
                table=table,
                discipline=discipline,
            )
        except searches.Busy as fault:
            raise Throttled(wait=fault.seconds) from None
        return self.answer(shown(found, asked["spread"]))


def shown(found, spread: float) -> dict[str, Any]:
    """Return what was found as JSON values."""
    from analytics.aim.lines.errors import PARTS, SIGMAS

    return {
        "lines": [_line(one) for one in found.lines],
        "spread": spread,
        "execution_error": dict(zip(PARTS, SIGMAS.tolist(), strict=True)),
        "searched": found.searched,
        "complete": found.complete,
    }


def _line(line) -> dict[str, Any]:
    strike, measured = line.strike, line.measured
    return {
        "family": line.group.family,
        "first_ball": line.group.first_ball,
        "thickness": line.thickness,
        "fraction": line.fraction,
        "hit": line.hit,
        "strike": {name: getattr(strike, name) for name in ("direction", "speed", "side", "height")},
        "aim": None if line.aim is None else {"rail": line.aim[0], "diamond": line.aim[1]},
        "success": measured.success,
        "stderr": measured.stderr,
        "luck": measured.luck,
        "kiss": measured.kiss,
        "costs": measured.costs,
        "costs_stderr": measured.costs_stderr,
        "strokes": measured.strokes,
        "contacts": [told_contact(one) for one in line.contacts],
        "path": [list(piece) for piece in line.path],
    }
