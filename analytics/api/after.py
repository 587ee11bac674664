"""What becomes of a line: where its executions stray, and what it leaves. Nothing is stored."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.exceptions import Throttled

from analytics import searches
from analytics.tables import find_table
from scoring.models import Club
from scoring.regulations import find_discipline

from .aim import FirstRailField, SpreadField
from .fields import PointField, TableField
from .limits import VisitorAim, VisitorShots
from .shots import ComputingView, DisciplineField, RestOut, StrikeIn, StrokeIn


class LineIn(StrokeIn):
    """A line of a layout, and the spread it is struck with."""

    strike = StrikeIn()
    discipline = DisciplineField()
    spread = SpreadField(default=1.0)
    table = TableField()


class StrayOut(serializers.Serializer):
    """What becomes of executions of a line, in diamonds.

    `ways`: of the cue ball, points, each way cut soon after it leaves the plan. `rail`: the plan's
    third, null where it meets fewer before the second ball; `arrivals`: where executions meet it as
    their third, from its left or bottom end. `rests`: where the cue ball ends; `made`: which of
    these made the point.
    """

    ways = serializers.ListField(child=serializers.ListField(child=PointField()))
    rail = FirstRailField(allow_null=True)
    arrivals = serializers.ListField(child=serializers.FloatField())
    rests = serializers.ListField(child=PointField())
    made = serializers.ListField(child=serializers.BooleanField())
    strokes = serializers.IntegerField()


class LeaveOut(serializers.Serializer):
    """Where the balls were left, and the success of the best line found from there."""

    layout = RestOut()
    success = serializers.FloatField(min_value=0, max_value=1)


class LeavesOut(serializers.Serializer):
    """What a line leaves: the success of the next position over the spread, from a light search.

    Null where the line hardly ever makes the point. `stderr` holds how the leaves differ.
    """

    success = serializers.FloatField(min_value=0, max_value=1, allow_null=True)
    stderr = serializers.FloatField(allow_null=True)
    leaves = serializers.ListField(child=LeaveOut())
    searched = serializers.IntegerField()
    complete = serializers.BooleanField()


class LineView(ComputingView):
    """A view that is asked about one line."""

    def line(self) -> tuple[dict[str, Any], dict[str, Any]]:
        """Return the layout with its strike, and what else the line depends on."""
        asked = self.read(LineIn)
        discipline = find_discipline(Club.objects.the_first(), asked["discipline"])
        table = find_table(asked.get("table"))
        strike = self.simulator().Strike(**asked["strike"])
        where = {"layout": asked["layout"], "cue_ball": asked["cue_ball"], "strike": strike}
        return where, {"spread": asked["spread"], "table": table, "discipline": discipline}


class StrayView(LineView):
    """Execute a line."""

    serializer_class = StrayOut
    throttle_classes = [VisitorShots]

    @extend_schema(
        operation_id="aim_stray_create",
        request=LineIn,
        responses={200: StrayOut, 503: OpenApiResponse(description="The simulator cannot be loaded.")},
    )
    def post(self, request):
        where, how = self.line()
        from analytics.aim.lines.straying import stray

        return self.answer(vars(stray(**where, **how)))


class LeavesView(LineView):
    """Ask what a line leaves."""

    serializer_class = LeavesOut
    throttle_classes = [VisitorAim]

    @extend_schema(
        operation_id="aim_leaves_create",
        request=LineIn,
        responses={
            200: LeavesOut,
            429: OpenApiResponse(description="Others are being searched for, or the limit is passed."),
            503: OpenApiResponse(description="The simulator cannot be loaded."),
        },
    )
    def post(self, request):
        where, how = self.line()
        visitor = request.auth is None and not request.user.is_authenticated
        try:
            found = searches.leaves(visitor=visitor, **where, **how)
        except searches.Busy as fault:
            raise Throttled(wait=fault.seconds) from None
        return self.answer(vars(found) | {"leaves": [vars(one) for one in found.leaves]})
