"""What writes without a log-in: pens, table links, and tokens of the API.

Only the SHA-256 of a token is stored; the token itself is shown once.
"""

from __future__ import annotations

import datetime

from django.conf import settings
from django.db import models
from django.utils import timezone

from .base import Identified, hash_secret, new_secret
from .competitions import Competition
from .matches import Match
from .venues import PlayTable

# A pen lapses this long after its last entry.
PEN_LAPSE = datetime.timedelta(hours=12)


class TableLinkQuerySet(models.QuerySet["TableLink"]):
    """Table links by their token."""

    def usable(self):
        """Return the links that still hold."""
        return self.filter(revoked_at__isnull=True, expires__gt=timezone.now())

    def of_token(self, token: str) -> TableLink | None:
        """Return the usable link of `token`, or None."""
        return self.usable().filter(token_hash=hash_secret(token)).first()


class TableLink(Identified):
    """A revocable link that lets a device score on one table of one competition."""

    table = models.ForeignKey(PlayTable, models.CASCADE, related_name="links")
    competition = models.ForeignKey(Competition, models.CASCADE, related_name="table_links")
    token_hash = models.CharField(max_length=64, unique=True)
    code_hash = models.CharField(max_length=64, db_index=True)
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    created_at = models.DateTimeField(default=timezone.now)
    expires = models.DateTimeField()
    last_used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    # Known only to the request that made the link.
    fresh_token: str | None = None
    fresh_code: str | None = None

    objects = models.Manager.from_queryset(TableLinkQuerySet)()


class PenQuerySet(models.QuerySet["Pen"]):
    """Pens by their token or match."""

    def held(self):
        """Return the pens that were neither given back nor lapsed."""
        return self.filter(ended_at__isnull=True, last_used_at__gt=timezone.now() - PEN_LAPSE)

    def of_token(self, token: str) -> Pen | None:
        """Return the held pen of `token`, or None."""
        return self.held().filter(token_hash=hash_secret(token)).first()


class Pen(Identified):
    """The one device that writes a match; ended pens stay as the authors of entries."""

    match = models.ForeignKey(Match, models.CASCADE, related_name="pens")
    device = models.CharField(max_length=80)
    token_hash = models.CharField(max_length=64, unique=True)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    link = models.ForeignKey(TableLink, models.SET_NULL, null=True, blank=True, related_name="pens")
    taken_at = models.DateTimeField(default=timezone.now)
    last_used_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)

    objects = models.Manager.from_queryset(PenQuerySet)()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["match"],
                condition=models.Q(ended_at__isnull=True),
                name="one_open_pen_a_match",
            )
        ]


class ApiTokenQuerySet(models.QuerySet["ApiToken"]):
    """Tokens of the API."""

    def usable(self):
        """Return the tokens that still hold."""
        return self.filter(revoked_at__isnull=True).filter(
            models.Q(expires__isnull=True) | models.Q(expires__gt=timezone.now())
        )

    def of_key(self, key: str) -> ApiToken | None:
        """Return the usable token of `key` with its user, or None."""
        return (
            self.usable()
            .filter(token_hash=hash_secret(key), user__is_active=True)
            .select_related("user")
            .first()
        )

    def issue(self, user, name: str, expires=None, **fields) -> tuple[ApiToken, str]:
        """Create a token of `user`; return the row and the key, which is not kept.

        The row remembers it as `fresh_key` for as long as this object lives.
        """
        key = new_secret()
        row = self.create(user=user, name=name, expires=expires, token_hash=hash_secret(key), **fields)
        row.fresh_key = key
        return row, key


class ApiToken(Identified):
    """A named token with which a program acts for a user."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="api_tokens")
    name = models.CharField(max_length=80)
    token_hash = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField(default=timezone.now)
    expires = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    fresh_key: str | None = None

    objects = models.Manager.from_queryset(ApiTokenQuerySet)()

    def __str__(self) -> str:
        return self.name
