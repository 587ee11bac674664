"""A coach's pupils: the figures of their page as JSON."""

from __future__ import annotations

from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers

from analytics.coach import Coached, Next, Pupil, Task, read_coached
from analytics.game import Game
from analytics.played.asked import read_asked
from analytics.reports.intervals import Estimate
from scoring.api.views import ScoringView
from scoring.models import Club, Coaching, PracticeSession

from .report import IntervalOut, show_interval


class PupilAverageOut(serializers.Serializer):
    """Confirmed matches: the official average, and an interval on points per miss, null under ten innings."""

    matches = serializers.IntegerField()
    points = serializers.IntegerField()
    innings = serializers.IntegerField()
    average = serializers.CharField(allow_null=True)
    interval = IntervalOut(allow_null=True)


class PupilChangeOut(serializers.Serializer):
    """Points per miss of the last matches over those before; `clear`: the interval leaves out no change."""

    ratio = serializers.FloatField()
    interval = IntervalOut()
    clear = serializers.BooleanField()


class PupilSessionOut(serializers.Serializer):
    """A session of a pupil."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    started_at = serializers.DateTimeField()
    ended_at = serializers.DateTimeField(allow_null=True)
    tried = serializers.IntegerField()
    made = serializers.IntegerField()


class PupilPractisedOut(serializers.Serializer):
    """All that was practised, of every discipline, and the latest sessions."""

    sessions = serializers.IntegerField()
    tried = serializers.IntegerField()
    made = serializers.IntegerField()
    latest = PupilSessionOut(many=True)


class PupilWorthOut(serializers.Serializer):
    """A family: the gain in average, and in what share of draws it is the best choice."""

    family = serializers.CharField()
    gain = serializers.FloatField()
    interval = IntervalOut()
    best = serializers.FloatField()


class PupilNextOut(serializers.Serializer):
    """What to practise next; `named` is null where it is not clear."""

    recorded = serializers.IntegerField()
    named = serializers.CharField(allow_null=True)
    contenders = serializers.ListField(child=serializers.CharField())
    worth = PupilWorthOut(many=True)


class PupilTaskOut(serializers.Serializer):
    """What was set; `reached` is null where it has no goal."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    set_at = serializers.DateTimeField()
    due_on = serializers.DateField(allow_null=True)
    reached = serializers.BooleanField(allow_null=True)
    sessions = PupilSessionOut(many=True)


class PupilOut(serializers.Serializer):
    """A pupil who agreed. `last`: the last ten matches; `before`: all before them."""

    player = serializers.IntegerField()
    name = serializers.CharField()
    coaching = serializers.IntegerField()
    agreed_at = serializers.DateTimeField()
    matches = serializers.IntegerField()
    pending = serializers.IntegerField()
    points = serializers.IntegerField()
    innings = serializers.IntegerField()
    average = serializers.CharField(allow_null=True)
    last = PupilAverageOut()
    before = PupilAverageOut()
    change = PupilChangeOut(allow_null=True)
    practised = PupilPractisedOut()
    next = PupilNextOut()
    tasks = PupilTaskOut(many=True)


class CoachedOut(serializers.Serializer):
    """Every pupil who agreed to the reader, by name."""

    discipline = serializers.CharField()
    asked = serializers.DictField(child=serializers.CharField())
    computed_at = serializers.DateTimeField()
    pupils = PupilOut(many=True)


class CoachView(ScoringView):
    """A coach's pupils: lately and before, practice, what is next, what was set."""

    serializer_class = CoachedOut
    queryset = Coaching.objects.none()
    pagination_class = None
    filterset_class = None

    @extend_schema(
        operation_id="coach_pupils",
        parameters=[
            OpenApiParameter(
                "discipline", OpenApiTypes.STR, description="By default the one that was played most."
            ),
            OpenApiParameter("since", OpenApiTypes.DATE, description="The first day, included."),
            OpenApiParameter("until", OpenApiTypes.DATE, description="The last day, included."),
        ],
        responses=CoachedOut,
    )
    def get(self, request):
        club = Club.objects.the_first()
        return self.answer(_shown(read_coached(self.actor, read_asked(request.query_params, club), club)))


def _shown(found: Coached) -> dict[str, Any]:
    return {
        "discipline": found.game.code,
        "asked": found.asked.to_query(),
        "computed_at": found.computed_at,
        "pupils": [_pupil(one, found.game) for one in found.pupils],
    }


def _pupil(pupil: Pupil, game: Game) -> dict[str, Any]:
    lately = pupil.lately
    changed = lately.ratio is not None and lately.interval is not None
    return {
        "player": pupil.player.pk,
        "name": pupil.player.full_name,
        "coaching": pupil.coaching.pk,
        "agreed_at": pupil.coaching.agreed_at,
        "matches": pupil.matches,
        "pending": pupil.pending,
        "points": pupil.points,
        "innings": pupil.innings,
        "average": game.cut(pupil.points, pupil.innings),
        "last": _average(lately.last, game),
        "before": _average(lately.before, game),
        "change": {
            "ratio": lately.ratio,
            "interval": show_interval(lately.interval),
            "clear": lately.clear,
        }
        if changed
        else None,
        "practised": {
            "sessions": pupil.practised.sessions,
            "tried": pupil.practised.tried,
            "made": pupil.practised.made,
            "latest": [_session(one) for one in pupil.practised.latest],
        },
        "next": _next(pupil.next),
        "tasks": [_task(one) for one in pupil.tasks],
    }


def _average(known: Estimate, game: Game) -> dict[str, Any]:
    return {
        "matches": known.matches,
        "points": known.points,
        "innings": known.innings,
        "average": game.cut(known.points, known.innings),
        "interval": show_interval(known.interval),
    }


def _session(one: PracticeSession) -> dict[str, Any]:
    return {name: getattr(one, name) for name in ("name", "started_at", "ended_at", "tried", "made")} | {
        "id": one.pk
    }


def _next(known: Next) -> dict[str, Any]:
    advice = known.advice
    return {
        "recorded": known.recorded,
        "named": advice.named if advice else None,
        "contenders": list(advice.contenders) if advice else [],
        "worth": [
            {"family": one.name, "gain": one.gain, "interval": show_interval(one.interval), "best": one.best}
            for one in (advice.worth if advice else ())
        ],
    }


def _task(one: Task) -> dict[str, Any]:
    return {
        "id": one.task.pk,
        "name": one.task.name,
        "set_at": one.task.set_at,
        "due_on": one.task.due_on,
        "reached": one.reached,
        "sessions": [_session(session) for session in one.sessions],
    }
