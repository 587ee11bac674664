"""Who calls the API: a token of a user, or the token of a table's device.

Session log-ins are read by the framework's own class, CSRF check included.
"""

from __future__ import annotations

import datetime

from django.contrib.auth.models import AnonymousUser
from django.utils import timezone
from django.utils.translation import gettext as _
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed

from scoring.linking import do_note_use
from scoring.models import ApiToken, Pen, TableLink, hash_secret

from .exceptions import Conflict

SAFE = ("GET", "HEAD", "OPTIONS")
# The last use of a token is noted this often, so that reading does not write each time.
NOTED = datetime.timedelta(hours=1)


class KeywordAuthentication(BaseAuthentication):
    """Read `Authorization: <keyword> <secret>`."""

    keyword = ""

    def secret(self, request) -> str | None:
        """Return the secret sent under this keyword, or None where another one was used."""
        parts = get_authorization_header(request).split()
        if not parts or parts[0].lower() != self.keyword.lower().encode():
            return None
        if len(parts) != 2 or not parts[1].isascii():
            raise AuthenticationFailed(_("Send one token after the word %(word)s.") % {"word": self.keyword})
        return parts[1].decode("ascii")

    def authenticate_header(self, request) -> str:
        return self.keyword


class TokenAuthentication(KeywordAuthentication):
    """A program that acts for a user."""

    keyword = "Token"

    def authenticate(self, request):
        key = self.secret(request)
        if key is None:
            return None
        token = ApiToken.objects.of_key(key)
        if token is None:
            raise AuthenticationFailed(_("This token is not known, was withdrawn, or has run out."))
        now = timezone.now()
        if token.last_used_at is None or now - token.last_used_at > NOTED:
            ApiToken.objects.filter(pk=token.pk).update(last_used_at=now)
        return token.user, token


class BearerAuthentication(KeywordAuthentication):
    """A device at a table: the holder of a pen, or of a table link."""

    keyword = "Bearer"

    def authenticate(self, request):
        secret = self.secret(request)
        if secret is None:
            return None
        device = Pen.objects.of_token(secret) or TableLink.objects.of_token(secret)
        if device is None:
            self._say_who_has_the_pen(request, secret)
            raise AuthenticationFailed(_("This link or pen is not known, was withdrawn, or has run out."))
        if isinstance(device, TableLink):
            do_note_use(device)
        return AnonymousUser(), device

    @staticmethod
    def _say_who_has_the_pen(request, secret: str) -> None:
        """Tell a device that wants to write, and whose pen was taken over, just that."""
        if request.method in SAFE:
            return
        lost = Pen.objects.filter(token_hash=hash_secret(secret)).first()
        if lost is not None and Pen.objects.held().filter(match=lost.match_id).exists():
            raise Conflict(
                "pen-elsewhere", _("Another device writes this match. Take the pen over to go on here.")
            )


class TokenScheme(OpenApiAuthenticationExtension):
    """How the schema shows a user's token."""

    target_class = TokenAuthentication
    name = "token"

    def get_security_definition(self, auto_schema):
        return {
            "type": "apiKey",
            "in": "header",
            "name": "Authorization",
            "description": "`Token <key>`, made by `manage.py create_token`.",
        }


class BearerScheme(OpenApiAuthenticationExtension):
    """How the schema shows the token of a device."""

    target_class = BearerAuthentication
    name = "bearer"

    def get_security_definition(self, auto_schema):
        return {"type": "http", "scheme": "bearer", "description": "The token of a pen or a table link."}
