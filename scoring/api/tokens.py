"""A user's own tokens: named, expiring, shown once."""

from __future__ import annotations

from django.db import transaction
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.translation import gettext as _
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers, status
from rest_framework.response import Response

from scoring.access import Forbidden
from scoring.models import ApiToken

from .views import IdField, ScoringView, TextField


class TokenIn(serializers.Serializer):
    """A new token; without `expires` it holds until it is withdrawn."""

    uuid = serializers.UUIDField(required=False)
    name = TextField(max_length=80)
    expires = serializers.DateTimeField(required=False, allow_null=True)

    def validate_expires(self, value):
        if value is not None and value <= timezone.now():
            raise serializers.ValidationError(_("Send a moment that is still to come."))
        return value


class TokenOut(serializers.Serializer):
    """A token; its key is there only in the answer that creates it."""

    id = IdField(read_only=True)
    uuid = serializers.UUIDField(read_only=True)
    name = serializers.CharField(read_only=True)
    created_at = serializers.DateTimeField(read_only=True)
    expires = serializers.DateTimeField(read_only=True, allow_null=True)
    last_used_at = serializers.DateTimeField(read_only=True, allow_null=True)
    key = serializers.CharField(read_only=True, allow_null=True)


def show_token(token: ApiToken) -> dict:
    """Return a token; the key is known only to the request that created it."""
    return TokenOut(token).data | {"key": token.fresh_key}


class TokensView(ScoringView):
    """The tokens of the user who asks."""

    queryset = ApiToken.objects.none()
    serializer_class = TokenOut

    @extend_schema(operation_id="tokens_list", responses=TokenOut(many=True))
    def get(self, request):
        return self.page(ApiToken.objects.usable().filter(user=self.actor.user), show_token)

    @extend_schema(
        operation_id="tokens_create",
        request=TokenIn,
        responses={201: TokenOut, 200: OpenApiResponse(TokenOut, "Known by its uuid.")},
    )
    def post(self, request):
        if isinstance(request.auth, ApiToken):
            # A token that got lost must not be able to outlive its withdrawal.
            raise Forbidden
        return self.create_once(
            ApiToken, lambda found: found.user_id == request.user.pk, self._issue, show_token
        )

    def _issue(self) -> ApiToken:
        fields = self.read(TokenIn)
        token, _key = ApiToken.objects.issue(self.actor.user, **fields)
        return token


class TokenView(ScoringView):
    """One token of the user who asks."""

    serializer_class = TokenOut

    @extend_schema(operation_id="tokens_withdraw", responses={204: None})
    @transaction.atomic
    def delete(self, request, pk: int):
        token = get_object_or_404(ApiToken.objects.usable(), pk=pk, user=self.actor.user)
        token.revoked_at = timezone.now()
        token.save(update_fields=["revoked_at"])
        return Response(status=status.HTTP_204_NO_CONTENT)
