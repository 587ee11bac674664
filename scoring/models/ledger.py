"""The append-only record. Rows are written by `scoring.ledger` alone."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

from .base import Identified
from .club import Club
from .competitions import Competition
from .devices import Pen, TableLink
from .matches import Match


class ImportBatch(Identified):
    """Rows and entries that were brought in from elsewhere, together.

    `made`: uuids of the rows it made, by model; what undoing takes back. `options`: the map of
    columns and how values were read. `digest`: of the file, so that it is known when it comes again.
    """

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    club = models.ForeignKey(Club, models.CASCADE, null=True, blank=True, related_name="import_batches")
    competition = models.ForeignKey(
        Competition, models.SET_NULL, null=True, blank=True, related_name="import_batches"
    )
    kind = models.CharField(max_length=20, blank=True)
    source = models.CharField(max_length=200)
    options = models.JSONField(default=dict, blank=True)
    made = models.JSONField(default=dict, blank=True)
    digest = models.CharField(max_length=64, blank=True, db_index=True)
    made_at = models.DateTimeField(default=timezone.now)
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.source


class Authored(models.Model):
    """Who wrote a row: a user, a table link, a pen, or an import batch."""

    author_user = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="+",
    )
    author_link = models.ForeignKey(TableLink, models.SET_NULL, null=True, blank=True, related_name="+")
    author_pen = models.ForeignKey(Pen, models.SET_NULL, null=True, blank=True, related_name="+")
    import_batch = models.ForeignKey(ImportBatch, models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        abstract = True


class LedgerEntry(Authored):
    """One row of a ledger.

    `data` holds the fields as they were sent, without free text; `stamps` what the server
    filled in. `device_time_text` is the device's clock as sent, `dated_at` the moment the
    entry counts for, `misdated` that the device's clock was not believed. `text_hash` is
    a salted hash of the free text, `fingerprint` proves the row and its predecessors.
    """

    # Unique in the database, not merely looked up: two retries at once store one row.
    uuid = models.UUIDField(unique=True, editable=False)
    seq = models.PositiveIntegerField()
    kind = models.CharField(max_length=20)
    data = models.JSONField(default=dict)
    stamps = models.JSONField(default=dict)
    device_time = models.DateTimeField(null=True, blank=True)
    device_time_text = models.CharField(max_length=64, blank=True)
    received_at = models.DateTimeField()
    dated_at = models.DateTimeField()
    misdated = models.BooleanField(default=False)
    offline = models.BooleanField(default=False)
    text_hash = models.CharField(max_length=64, blank=True)
    fingerprint = models.CharField(max_length=64, blank=True)

    class Meta:
        abstract = True

    @property
    def about_id(self) -> int:
        """The id of what the ledger is of."""
        raise TypeError(type(self))


class MatchEntry(LedgerEntry):
    """One row of a match's ledger; `place` is the first seq of its correction chain."""

    match = models.ForeignKey(Match, models.PROTECT, related_name="entries")
    place = models.PositiveIntegerField()

    class Meta:
        ordering = ["match", "seq"]
        constraints = [models.UniqueConstraint(fields=["match", "seq"], name="seq_once_a_match")]

    @property
    def about_id(self) -> int:
        """The id of the match whose ledger it stands in."""
        return self.match_id

    def __str__(self) -> str:
        return f"{self.match_id}/{self.seq} {self.kind}"


class EntryText(models.Model):
    """The free text of an entry; erased together with its salt."""

    entry = models.OneToOneField(MatchEntry, models.CASCADE, primary_key=True, related_name="text")
    salt = models.CharField(max_length=64)
    texts = models.JSONField(default=dict)


class RefusedEntry(Authored):
    """What was refused, and why; kept so that a quarrel can be looked up."""

    match = models.ForeignKey(Match, models.CASCADE, related_name="refused_entries")
    uuid = models.UUIDField(null=True, blank=True, db_index=True)
    kind = models.CharField(max_length=20, blank=True)
    contents = models.JSONField(default=dict)
    code = models.CharField(max_length=40)
    reason = models.TextField(blank=True)
    after = models.BigIntegerField(null=True, blank=True)
    received_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "refused entries"
