"""Players through the API."""

from __future__ import annotations

from django.contrib.auth import get_user_model
from django.db import IntegrityError, transaction
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _
from django_filters import rest_framework as filters
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers

from scoring.access import (
    Actor,
    access_new_player,
    access_player,
    named_players,
    reads_player,
)
from scoring.models import ExternalNumber, Player

from .views import IdField, ScoringView, TextField


class ExternalNumberSerializer(serializers.Serializer):
    """A number under which a federation or a league knows the player."""

    issuer = TextField(max_length=60)
    number = TextField(max_length=60)


class PlayerIn(serializers.Serializer):
    """What may be said of a player: `name`, or `given` and `family`."""

    uuid = serializers.UUIDField(required=False)
    name = TextField(max_length=160, required=False)
    given = TextField(max_length=80, required=False, allow_blank=True)
    family = TextField(max_length=80, required=False)
    guest = serializers.BooleanField(required=False)
    published = serializers.BooleanField(required=False)
    consent = serializers.ChoiceField(Player.Consent.choices, required=False)
    report_open = serializers.BooleanField(required=False)
    user = TextField(max_length=150, required=False, allow_null=True, help_text="A user name.")
    external_numbers = ExternalNumberSerializer(many=True, required=False, max_length=20)  # type: ignore[call-arg]

    def validate_user(self, value):
        if value is None:
            return None
        user = get_user_model().objects.filter(username=value).first()
        if user is None:
            raise serializers.ValidationError(_("No user has this name."))
        if Player.objects.filter(user=user).exclude(pk=getattr(self.instance, "pk", None)).exists():
            raise serializers.ValidationError(_("This user is linked to another player."))
        return user

    def validate_external_numbers(self, rows):
        seen = set()
        for row in rows:
            key = row["issuer"], row["number"]
            taken = ExternalNumber.objects.filter(**row).exclude(player=self.instance)
            if key in seen or taken.exists():
                raise serializers.ValidationError(
                    _("A number belongs to one player only, and is given once.")
                )
            seen.add(key)
        return rows

    def validate(self, attrs):
        name = attrs.pop("name", None)
        if name is not None and not {"given", "family"} & attrs.keys():
            given, _space, family = name.rpartition(" ")
            for part, text in (("given", given.strip()), ("family", family)):
                if len(text) > 80:
                    raise serializers.ValidationError(
                        {"name": _("Send given and family apart, 80 characters each.")}
                    )
                attrs[part] = text
        if self.instance is None and not attrs.get("family"):
            raise serializers.ValidationError({"name": _("Send a name.")})
        return attrs


class PlayerOut(serializers.Serializer):
    """A player as a reader sees it; what is not for the reader's eyes is null or empty."""

    id = IdField(read_only=True)
    uuid = serializers.UUIDField(read_only=True)
    name = serializers.CharField(read_only=True)
    given = serializers.CharField(read_only=True, allow_null=True)
    family = serializers.CharField(read_only=True, allow_null=True)
    guest = serializers.BooleanField(read_only=True)
    published = serializers.BooleanField(read_only=True)
    report_open = serializers.BooleanField(read_only=True)
    consent = serializers.ChoiceField(Player.Consent.choices, read_only=True, allow_null=True)
    user = serializers.CharField(read_only=True, allow_null=True)
    external_numbers = ExternalNumberSerializer(many=True, read_only=True)


def show_player(player: Player, actor: Actor) -> dict:
    """Return a player as `actor` may see it."""
    name = player.name_or_none if actor.names_open else None
    private = reads_player(actor, player)
    numbers = player.external_numbers.all() if private else []
    return {
        "id": player.pk,
        "uuid": str(player.uuid),
        "name": player.shown_name(actor.names_open),
        "given": name.given if name else None,
        "family": name.family if name else None,
        "guest": player.guest,
        "published": player.published,
        "report_open": player.report_open,
        "consent": player.consent if private else None,
        "user": player.user.get_username() if private and player.user else None,
        "external_numbers": [{"issuer": one.issuer, "number": one.number} for one in numbers],
    }


def do_write_player(player: Player, fields: dict) -> Player:
    """Write the given fields of a player, its name and its numbers."""
    fields = dict(fields)
    given, family = fields.pop("given", None), fields.pop("family", None)
    numbers = fields.pop("external_numbers", None)
    for column, value in fields.items():
        setattr(player, column, value)
    try:
        with transaction.atomic():
            player.save()
            if given is not None or family is not None:
                name = player.name_or_none
                player.write_name(
                    (name.given if name else "") if given is None else given,
                    (name.family if name else "") if family is None else family,
                )
            if numbers is not None:
                player.external_numbers.all().delete()
                ExternalNumber.objects.bulk_create(ExternalNumber(player=player, **row) for row in numbers)
    except IntegrityError:
        if Player.objects.filter(uuid=player.uuid).exclude(pk=player.pk).exists():
            raise
        # Checked before, but somebody was quicker.
        raise serializers.ValidationError(
            {"user": [_("The user or a number belongs to another player.")]}
        ) from None
    return player


class PlayerFilter(filters.FilterSet):
    """Narrow the list of players."""

    search = filters.CharFilter(method="by_name", max_length=80, label="words of the name")

    class Meta:
        model = Player
        fields = ["guest"]

    def by_name(self, queryset, _name, value):
        actor = self.request.parser_context["view"].actor
        if not actor.names_open:
            # A search must not find what the answer would not show.
            queryset = queryset.filter(consent=Player.Consent.FULL)
        return queryset.matching(value)


class PlayersView(ScoringView):
    """Players whose names the reader may see; an organiser enrols them."""

    queryset = Player.objects.none()
    serializer_class = PlayerOut
    filterset_class = PlayerFilter

    @extend_schema(operation_id="players_list", responses=PlayerOut(many=True))
    def get(self, request):
        players = (
            named_players(self.actor).select_related("name", "user").prefetch_related("external_numbers")
        )
        return self.page(players, lambda player: show_player(player, self.actor))

    @extend_schema(
        operation_id="players_create",
        request=PlayerIn,
        responses={201: PlayerOut, 200: OpenApiResponse(PlayerOut, "Known by its uuid.")},
    )
    def post(self, request):
        return self.create_once(
            Player, lambda _found: True, self._enrol, lambda player: show_player(player, self.actor)
        )

    def _enrol(self) -> Player:
        fields = self.read(PlayerIn)
        access_new_player(self.actor, fields)
        return do_write_player(Player(created_by=self.actor.user), fields)


class PlayerView(ScoringView):
    """One player."""

    serializer_class = PlayerOut
    filterset_class = None

    @extend_schema(operation_id="players_read", responses=PlayerOut)
    def get(self, request, pk: int):
        return self.answer(show_player(get_object_or_404(Player.objects.named(), pk=pk), self.actor))

    @extend_schema(operation_id="players_change", request=PlayerIn, responses=PlayerOut)
    def patch(self, request, pk: int):
        player = get_object_or_404(Player.objects.named(), pk=pk)
        access_player(self.actor, player, set(self.body()))
        fields = self.read(PlayerIn, instance=player, partial=True)
        fields.pop("uuid", None)
        return self.answer(show_player(do_write_player(player, fields), self.actor))
