"""What every creatable object shares."""

from __future__ import annotations

import datetime
import hashlib
import secrets
import uuid

from django.db import models
from django.utils import timezone


def today() -> datetime.date:
    """Return the current day; a named function, so that migrations can refer to it."""
    return timezone.localdate()


def new_secret() -> str:
    """Return a fresh token of 256 random bits, fit for a URL."""
    return secrets.token_urlsafe(32)


def hash_secret(secret: str) -> str:
    """Return what is stored of a token: its SHA-256, 64 hex digits."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()


class Identified(models.Model):
    """An object with a uuid of its own, so that a device can create it while offline."""

    uuid = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)

    class Meta:
        abstract = True


class DatedQuerySet(models.QuerySet):
    """Rows that hold from a day to a day, both included."""

    def on(self, day: datetime.date):
        """Return the rows that hold on `day`."""
        return self.filter(since__lte=day).filter(models.Q(until__isnull=True) | models.Q(until__gte=day))


class Dated(models.Model):
    """Something that holds from `since` to `until`, both included; no `until`: still."""

    since = models.DateField(default=today)
    until = models.DateField(null=True, blank=True)

    class Meta:
        abstract = True
