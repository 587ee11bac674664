"""Two players: the figures of their page as JSON."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers

from analytics.between import At, Between, ByRule, Meeting, Total, read_between, read_pair, usual_between
from analytics.known import Known, access_both
from analytics.played.asked import Asked, read_asked
from analytics.reports.fairness import FairDistance
from analytics.wanted import MOST_INNINGS, MOST_SETS, read_wanted
from scoring.api.views import ScoringView
from scoring.models import Club, ColourProjection, Player
from scoring.pages.words import speak

from .report import IntervalOut
from .story import ChanceOut, KnownOut, show_chance, show_known


class StrengthOut(KnownOut):
    """What confirmed matches tell of a player; averages are texts, as the discipline cuts them.

    `interval` is on points per miss, of all these matches alike; `strength` is points per miss with
    older matches weighing less. `form_sd`: of the logarithm of the average, from match to match. Null
    below ten innings.
    """

    average = serializers.CharField(allow_null=True)
    interval = IntervalOut(allow_null=True)
    strength = serializers.FloatField(allow_null=True)
    strength_interval = IntervalOut(allow_null=True)
    form_sd = serializers.FloatField(allow_null=True)


class TotalOut(serializers.Serializer):
    """What one of the two made in their confirmed matches."""

    won = serializers.IntegerField()
    points = serializers.IntegerField()
    innings = serializers.IntegerField()
    average = serializers.CharField(allow_null=True)
    high_run = serializers.IntegerField()


class MeetingOut(serializers.Serializer):
    """A finished match of the two; pairs stand in the order of the address."""

    match = serializers.IntegerField()
    status = serializers.ChoiceField(["over", "confirmed"])
    started_at = serializers.DateTimeField(allow_null=True)
    outcome = serializers.ChoiceField(ColourProjection.Outcome.values, help_text="Of the first player.")
    score = serializers.ListField(child=serializers.IntegerField())
    points = serializers.ListField(child=serializers.IntegerField())
    innings = serializers.ListField(child=serializers.IntegerField())
    distance = serializers.ListField(child=serializers.IntegerField(allow_null=True))


class FormatOut(serializers.Serializer):
    """The format that the chance is of."""

    distance = serializers.ListField(child=serializers.IntegerField())
    equalizing = serializers.BooleanField()
    innings_limit = serializers.IntegerField(allow_null=True)
    sets_to_win = serializers.IntegerField(allow_null=True)


class FairOut(serializers.Serializer):
    """A fair distance, its owner's chance there, and with a point more or less."""

    distance = serializers.IntegerField()
    chance = serializers.FloatField()
    one_more = serializers.FloatField()
    one_less = serializers.FloatField(allow_null=True)


class AtOut(serializers.Serializer):
    """The first player's chance at one distance of the first, the second's standing."""

    distance = serializers.IntegerField()
    chance = serializers.FloatField()
    low = serializers.FloatField()
    high = serializers.FloatField()


class ByRuleOut(serializers.Serializer):
    """The distances that a rule of thumb gives, and the first player's chance under them.

    `fair_second`: the second player's fair distance against the first one's under the rule.
    """

    code = serializers.CharField()
    name = serializers.CharField()
    source = serializers.CharField()
    distance = serializers.ListField(child=serializers.IntegerField())
    chance = ChanceOut()
    fair_second = FairOut()


class AgainstOut(serializers.Serializer):
    """Two players in the order of the address.

    `meetings` are the finished matches that the caller may read, `totals` and `drawn` those of them
    that are confirmed. `chance`, `fair_first`, `by_distance` and `by_rule` are of the first player,
    a draw as half and the lag open; `fair_first` and `by_distance` stand against the second
    player's distance in a plain race. Null or empty below ten innings of either.
    """

    discipline = serializers.CharField()
    asked = serializers.DictField(child=serializers.CharField())
    computed_at = serializers.DateTimeField()
    players = StrengthOut(many=True)
    meetings = MeetingOut(many=True)
    totals = TotalOut(many=True)
    drawn = serializers.IntegerField()
    format = FormatOut()
    chance = ChanceOut(allow_null=True)
    fair_first = FairOut(allow_null=True)
    by_distance = AtOut(many=True)
    by_rule = ByRuleOut(many=True)


class AgainstView(ScoringView):
    """Two players: head-to-head, strength, and the chance of a match between them."""

    serializer_class = AgainstOut
    queryset = Player.objects.none()
    pagination_class = None
    filterset_class = None

    @extend_schema(
        operation_id="players_against",
        parameters=[
            OpenApiParameter(
                "discipline", OpenApiTypes.STR, description="By default the one that both played most."
            ),
            OpenApiParameter("since", OpenApiTypes.DATE, description="The first day, included."),
            OpenApiParameter("until", OpenApiTypes.DATE, description="The last day, included."),
            OpenApiParameter(
                "distance",
                OpenApiTypes.STR,
                description="Both distances, as 30,25; by default the discipline's.",
            ),
            OpenApiParameter("equalizing", OpenApiTypes.STR, enum=["yes", "no"]),
            OpenApiParameter(
                "innings_limit", OpenApiTypes.INT, description=f"1 to {MOST_INNINGS}; empty: none."
            ),
            OpenApiParameter("sets_to_win", OpenApiTypes.INT, description=f"1 to {MOST_SETS}; empty: none."),
        ],
        responses=AgainstOut,
    )
    def get(self, request, pk: int, other: int):
        one, two = read_pair(pk, other)
        club = Club.objects.the_first()
        access_both(self.actor, one, two, Asked())
        asked = read_asked(request.query_params, club)
        asked = Asked(asked.discipline, asked.since, asked.until)
        usual = usual_between(one, two, asked, club)
        wanted = read_wanted(dict(request.query_params.lists()), usual)
        return self.answer(show_between(read_between(self.actor, one, two, asked, wanted, club)))


def show_between(between: Between) -> dict[str, Any]:
    """Return two players as they are answered."""
    wanted, chance, fair = between.wanted, between.chance, between.fair
    return {
        "discipline": between.discipline,
        "asked": between.asked.to_query(),
        "computed_at": between.computed_at,
        "players": [_strength(between, known) for known in between.known],
        "meetings": [_meeting(one) for one in between.met.meetings],
        "totals": [_total(between, total) for total in between.met.totals],
        "drawn": between.met.drawn,
        "format": {
            "distance": list(wanted.distance),
            "equalizing": wanted.equalizing,
            "innings_limit": wanted.innings_limit,
            "sets_to_win": wanted.sets_to_win,
        },
        "chance": show_chance(chance) if chance else None,
        "fair_first": _fair(fair) if fair else None,
        "by_distance": [_at(at) for at in between.curve],
        "by_rule": [_by_rule(one) for one in between.by_rules],
    }


def _strength(between: Between, known: Known) -> dict[str, Any]:
    interval = known.form.estimate.interval if known.form else None
    return {
        **show_known(known),
        "average": between.cut(known.points, known.innings),
        "interval": asdict(interval) if interval else None,
        "strength": known.rating.average if known.enough else None,
        "strength_interval": asdict(known.rating.interval) if known.enough else None,
        "form_sd": known.rating.form_sd if known.enough else None,
    }


def _meeting(one: Meeting) -> dict[str, Any]:
    both = one.first, one.second
    return {
        "match": one.match.pk,
        "status": one.match.projection.status,
        "started_at": one.match.projection.started_at,
        "outcome": one.first.outcome,
        "score": [each.score for each in both],
        "points": [each.points for each in both],
        "innings": [each.innings for each in both],
        "distance": [each.distance for each in both],
    }


def _total(between: Between, total: Total) -> dict[str, Any]:
    return {**asdict(total), "average": between.cut(total.points, total.innings)}


def _fair(fair: FairDistance) -> dict[str, Any]:
    return asdict(fair)


def _at(at: At) -> dict[str, Any]:
    return asdict(at)


def _by_rule(one: ByRule) -> dict[str, Any]:
    return {
        "code": one.rule.code,
        "name": speak(one.rule.name),
        "source": speak(one.rule.source),
        "distance": list(one.rule.distance),
        "chance": show_chance(one.forecast),
        "fair_second": _fair(one.rule.fair),
    }
