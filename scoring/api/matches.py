"""Matches through the API: the list, and arranging one."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django_filters import rest_framework as filters
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers

from scoring.access import access_new_match, reads_match, visible_competitions, visible_matches
from scoring.arrange import do_arrange_match
from scoring.ledger import read_state
from scoring.models import Club, Match, MatchProjection, Player, PlayTable

from .states import MatchOut
from .views import IdField, ObjectField, RuleSetField, ScoringView, TextField


class MatchIn(serializers.Serializer):
    """A match to arrange; what is left out takes the competition's, then the discipline's default."""

    uuid = serializers.UUIDField(required=False)
    players = serializers.ListField(child=IdField(), min_length=2, max_length=2)
    discipline = TextField(max_length=60, required=False)
    competition = IdField(required=False, allow_null=True)
    table = IdField(required=False, allow_null=True)
    rule_set = RuleSetField(required=False, allow_null=True)
    format = ObjectField(required=False, allow_null=True)
    scheduled_at = serializers.DateTimeField(required=False, allow_null=True)

    def validate_players(self, ids):
        if ids[0] == ids[1]:
            raise serializers.ValidationError(_("Two different players are needed."))
        found = Player.objects.filter(merged_into__isnull=True).in_bulk(ids)
        if len(found) < 2:
            raise serializers.ValidationError(_("There is no such player."))
        return [found[pk] for pk in ids]

    def validate_table(self, pk):
        return self._one(PlayTable.objects.all(), pk, _("There is no such table."))

    def validate_competition(self, pk):
        # One that the reader may not know of is answered like one that is not there.
        seen = visible_competitions(self.context["view"].actor).select_related("club")
        return self._one(seen, pk, _("There is no such competition."))

    @staticmethod
    def _one(rows, pk, reason):
        if pk is None:
            return None
        row = rows.filter(pk=pk).first()
        if row is None:
            raise serializers.ValidationError(reason)
        return row

    def validate(self, attrs):
        if attrs.get("competition") is None and "discipline" not in attrs:
            raise serializers.ValidationError(
                {"discipline": _("Send a discipline, or a competition that has one.")}
            )
        return attrs


def show_match(match: Match) -> dict:
    """Return a match: its state, and what never changes beside it."""
    return read_state(match) | {
        "uuid": str(match.uuid),
        "scheduled_at": match.scheduled_at,
        "created_at": match.created_at,
    }


class MatchFilter(filters.FilterSet):
    """Narrow the list of matches."""

    player = filters.NumberFilter(method="by_player", min_value=1, max_value=2**63 - 1)
    competition = filters.NumberFilter(field_name="competition_id", min_value=1, max_value=2**63 - 1)
    table = filters.NumberFilter(field_name="table_id", min_value=1, max_value=2**63 - 1)
    discipline = filters.CharFilter(field_name="discipline_code", max_length=60)
    status = filters.ChoiceFilter(field_name="projection__status", choices=MatchProjection.Status.choices)

    class Meta:
        model = Match
        fields: list[str] = []

    def by_player(self, queryset, _name, value):
        return queryset.of_player(int(value))


class MatchesView(ScoringView):
    """Matches that the reader may see; organisers, referees and players arrange them."""

    queryset = Match.objects.none()
    serializer_class = MatchOut
    filterset_class = MatchFilter
    newest_first = True

    @extend_schema(operation_id="matches_list", responses=MatchOut(many=True))
    def get(self, request):
        return self.page(visible_matches(self.actor).shown(), show_match)

    @extend_schema(
        operation_id="matches_create",
        request=MatchIn,
        responses={201: MatchOut, 200: OpenApiResponse(MatchOut, "Known by its uuid.")},
    )
    def post(self, request):
        return self.create_once(
            Match, lambda found: reads_match(self.actor, found), self._arrange, show_match
        )

    def _arrange(self) -> Match:
        asked = self.read(MatchIn)
        competition = asked.get("competition")
        club = competition.club if competition is not None else Club.objects.the_first()
        players = tuple(asked.pop("players"))
        access_new_match(self.actor, club, competition, [player.pk for player in players])
        return do_arrange_match(club=club, players=players, created_by=self.actor.user, **asked)
