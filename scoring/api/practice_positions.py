"""Positions to practise: the product's, the club's, and one's own."""

from __future__ import annotations

from typing import Any

from django.db.models import Q
from django.utils.translation import gettext as _
from django_filters import rest_framework as filters
from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_field
from rest_framework import serializers

from scoring.access import NotVisible
from scoring.coaching import do_add_position
from scoring.models import Club, Colour, PracticePosition
from scoring.positions import name_of, note_of
from scoring.practice_rights import access_position, access_sharing, visible_positions
from scoring.regulations import find_discipline
from scoring.rules.families import FAMILIES

from .practice_fields import LayoutField, LineField
from .views import ScoringView, TextField

WHOSE = ("product", "club", "own", "other")


class PositionChange(serializers.Serializer):
    """What the owner may change of a position; where the balls lie stays as it was written."""

    name = TextField(max_length=80, required=False)
    note = TextField(max_length=500, required=False, allow_blank=True)
    shared = serializers.BooleanField(required=False)


class PositionIn(PositionChange):
    """A position of one's own; `shared` gives it to the club."""

    uuid = serializers.UUIDField(required=False)
    name = TextField(max_length=80)
    layout = LayoutField()
    cue_ball = serializers.ChoiceField(Colour.choices, required=False)
    line = LineField(required=False, allow_null=True)
    discipline = TextField(max_length=60)
    family = serializers.ChoiceField(list(FAMILIES), required=False, allow_null=True)
    source = TextField(max_length=200, required=False, allow_blank=True)


@extend_schema_field({"type": "string", "enum": list(WHOSE)})
class WhoseField(serializers.Field):
    """Whose a position is, for whoever reads it."""


class PositionOut(serializers.Serializer):
    """A position; `of` says whose it is: the product's, the club's, one's own, or another's."""

    id = serializers.IntegerField()
    uuid = serializers.UUIDField()
    code = serializers.CharField(allow_null=True)
    name = serializers.CharField()
    layout = LayoutField()
    cue_ball = serializers.ChoiceField(Colour.choices)
    line = LineField(allow_null=True)
    discipline = serializers.CharField()
    family = serializers.CharField(allow_null=True)
    note = serializers.CharField()
    source = serializers.CharField()
    shared = serializers.BooleanField()
    of = WhoseField()


def show_position(position: PracticePosition, actor: Any) -> dict[str, Any]:
    """Return a position as `actor` sees it."""
    own = actor.user is not None and position.owner_id == actor.user.pk
    of = "product" if position.shipped else "own" if own else "club" if position.shared else "other"
    return {
        "id": position.pk,
        "uuid": str(position.uuid),
        "code": position.code,
        "name": name_of(position),
        "layout": position.layout,
        "cue_ball": position.cue_ball,
        "line": position.line,
        "discipline": position.discipline_code,
        "family": position.family,
        "note": note_of(position),
        "source": position.source,
        "shared": position.shared,
        "of": of,
    }


class PositionFilter(filters.FilterSet):
    """Narrow the list of positions."""

    discipline = filters.CharFilter(field_name="discipline_code", max_length=60)
    family = filters.CharFilter(max_length=24)
    of = filters.ChoiceFilter(method="by_owner", choices=[(one, one) for one in ("product", "club", "own")])

    class Meta:
        model = PracticePosition
        fields: list[str] = []

    def by_owner(self, queryset, _name, value):
        own = Q(owner=self.request.user)
        wanted = {"product": Q(shipped=True), "own": own, "club": Q(shared=True) & ~own}
        return queryset.filter(wanted[value])


class PositionsView(ScoringView):
    """The library of the product, the club's, what a coach set, and one's own."""

    queryset = PracticePosition.objects.none()
    serializer_class = PositionOut
    filterset_class = PositionFilter

    @extend_schema(operation_id="positions_list", responses=PositionOut(many=True))
    def get(self, request):
        return self.page(visible_positions(self.actor), lambda one: show_position(one, self.actor))

    @extend_schema(
        operation_id="positions_create",
        request=PositionIn,
        responses={201: PositionOut, 200: OpenApiResponse(PositionOut, "Known by its uuid.")},
    )
    def post(self, request):
        return self.create_once(
            PracticePosition,
            lambda found: found.owner_id == self.actor.user.pk,
            self._add,
            lambda one: show_position(one, self.actor),
        )

    def _add(self) -> PracticePosition:
        fields = self.read(PositionIn)
        if fields.get("shared"):
            access_sharing(self.actor)
        fields["discipline_code"] = find_discipline(Club.objects.the_first(), fields.pop("discipline")).code
        fields.setdefault("cue_ball", Colour.WHITE)
        return do_add_position(self.actor.user, **fields)


class PositionView(ScoringView):
    """One position."""

    serializer_class = PositionOut

    def _position(self, pk: int, right="read") -> PracticePosition:
        position = PracticePosition.objects.filter(pk=pk).first()
        if position is None:
            raise NotVisible
        access_position(self.actor, position, right)
        return position

    @extend_schema(operation_id="positions_read", responses=PositionOut)
    def get(self, request, pk: int):
        return self.answer(show_position(self._position(pk), self.actor))

    @extend_schema(operation_id="positions_change", request=PositionChange, responses=PositionOut)
    def patch(self, request, pk: int):
        position = self._position(pk, "write")
        for name in self.body():
            if name not in PositionChange().fields:
                raise serializers.ValidationError(
                    {name: [_("This stays as it was written. Add another position.")]}
                )
        fields = self.read(PositionChange, partial=True)
        if fields.get("shared"):
            access_sharing(self.actor)
        for name, value in fields.items():
            setattr(position, name, value)
        if fields:
            position.save(update_fields=list(fields))
        return self.answer(show_position(position, self.actor))
