"""Competitions through the API; unpublished ones are there for their own people only."""

from __future__ import annotations

from typing import Any, Literal

from django.db import transaction
from django.utils.translation import gettext as _
from django_filters import rest_framework as filters
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers

from scoring.access import NotVisible, access_competition, visible_competitions
from scoring.competing import do_write_competition
from scoring.ledger import Author
from scoring.models import Club, Competition, Rounding
from scoring.publishing import do_publish, do_show_exactly, do_unpublish, shown_parts
from scoring.rules.event.publication import PARTS
from scoring.rules.event.regulations import Regulations

from .views import IdField, ObjectField, RuleSetField, ScoringView, TextField


class CompetitionIn(serializers.Serializer):
    """What may be said of a competition; `format` and `rule_set` are defaults of its matches."""

    uuid = serializers.UUIDField(required=False)
    name = TextField(max_length=120)
    discipline = TextField(max_length=60)
    players_score = serializers.BooleanField(required=False)
    format = ObjectField(required=False)
    rule_set = RuleSetField(required=False)
    average_decimals = serializers.IntegerField(min_value=0, max_value=6, required=False, allow_null=True)
    average_rounding = serializers.ChoiceField(Rounding.choices, required=False, allow_null=True)
    starts_on = serializers.DateField(required=False, allow_null=True)
    ends_on = serializers.DateField(required=False, allow_null=True)
    regulations = ObjectField(required=False)

    def validate(self, attrs):
        now = {name: getattr(self.instance, name, None) for name in ("starts_on", "ends_on")} | attrs
        if now["starts_on"] and now["ends_on"] and now["ends_on"] < now["starts_on"]:
            raise serializers.ValidationError({"ends_on": _("It ends after it starts.")})
        return attrs


class CompetitionChange(CompetitionIn):
    """What may be changed of a competition."""

    published = serializers.BooleanField(required=False)
    parts = serializers.ListField(child=serializers.ChoiceField(PARTS), required=False)


class CompetitionOut(serializers.Serializer):
    """A competition."""

    id = IdField(read_only=True)
    uuid = serializers.UUIDField(read_only=True)
    name = serializers.CharField(read_only=True)
    discipline = serializers.CharField(read_only=True)
    published = serializers.BooleanField(read_only=True)
    parts = serializers.SerializerMethodField(help_text="What of it everybody may read.")
    closed_at = serializers.DateTimeField(read_only=True, allow_null=True)
    closing_fingerprint = serializers.CharField(read_only=True)
    players_score = serializers.BooleanField(read_only=True)
    format = serializers.DictField(read_only=True)
    rule_set = serializers.DictField(read_only=True)
    average_decimals = serializers.IntegerField(read_only=True, allow_null=True)
    average_rounding = serializers.CharField(read_only=True, allow_null=True)
    starts_on = serializers.DateField(read_only=True, allow_null=True)
    ends_on = serializers.DateField(read_only=True, allow_null=True)
    regulations = serializers.SerializerMethodField(help_text="Every setting, chosen or not.")

    def get_regulations(self, competition: Competition) -> dict[str, Any]:
        return Regulations.stored(competition.regulations).complete()

    def get_parts(self, competition: Competition) -> list[str]:
        return shown_parts(competition)


def show_competition(competition: Competition) -> dict:
    """Return a competition; who may see it sees all of it."""
    return CompetitionOut(competition).data


class CompetitionFilter(filters.FilterSet):
    """Narrow the list of competitions."""

    class Meta:
        model = Competition
        fields = ["discipline", "published"]


class CompetitionsView(ScoringView):
    """Competitions that the reader may see; an organiser of the club makes them."""

    queryset = Competition.objects.none()
    serializer_class = CompetitionOut
    filterset_class = CompetitionFilter
    newest_first = True

    @extend_schema(operation_id="competitions_list", responses=CompetitionOut(many=True))
    def get(self, request):
        return self.page(visible_competitions(self.actor), show_competition)

    @extend_schema(
        operation_id="competitions_create",
        request=CompetitionIn,
        responses={201: CompetitionOut, 200: OpenApiResponse(CompetitionOut, "Known by its uuid.")},
    )
    def post(self, request):
        return self.create_once(Competition, self._may_see, self._make, show_competition)

    def _may_see(self, competition: Competition) -> bool:
        try:
            access_competition(self.actor, competition, "read")
        except NotVisible:
            return False
        return True

    def _make(self) -> Competition:
        fields = self.read(CompetitionIn)
        fresh = Competition(club=Club.objects.the_first(), created_by=self.actor.user)
        return do_write_competition(fresh, fields)


class CompetitionView(ScoringView):
    """One competition."""

    serializer_class = CompetitionOut

    def _find(self, pk: int, right: Literal["read", "manage"]) -> Competition:
        competition = Competition.objects.select_related("club").filter(pk=pk).first()
        if competition is None:
            raise NotVisible
        access_competition(self.actor, competition, right)
        return competition

    @extend_schema(operation_id="competitions_read", responses=CompetitionOut)
    def get(self, request, pk: int):
        return self.answer(show_competition(self._find(pk, "read")))

    @extend_schema(operation_id="competitions_change", request=CompetitionChange, responses=CompetitionOut)
    def patch(self, request, pk: int):
        competition = self._find(pk, "manage")
        fields = self.read(CompetitionChange, instance=competition, partial=True)
        fields.pop("uuid", None)
        published, parts = fields.pop("published", None), fields.pop("parts", None)
        if published is not False and parts == []:
            raise serializers.ValidationError({"parts": [_("Name a part, or send published: false.")]})
        with transaction.atomic():
            if fields:
                do_write_competition(competition, fields)
            self._publish(competition, published, parts)
        return self.answer(show_competition(competition))

    def _publish(self, competition: Competition, published: bool | None, parts: list[str] | None) -> None:
        """`parts` alone, or with `published: true`, are all that is published; without them all are."""
        author = Author(user_id=self.actor.user.pk, organises=True)
        if published is False:
            do_unpublish(competition, author)
        elif parts:
            do_show_exactly(competition, author, parts)
        elif published:
            do_publish(competition, author)
