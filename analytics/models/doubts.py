"""What is too unlikely to pass without a question, and what an organiser said to it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

from scoring.models import Colour, Match, Player


class ScannedMatch(models.Model):
    """The cursor: at which seq a match was looked at, and what of it others are compared with.

    `runs`: a hash of all runs of both players, whoever has which colour; empty where none are known.
    `stays`: pairs [since, until], seconds since 1970, within which its strokes came one after another
    on a device; `since`, `until`: the first and the last of these.
    """

    match = models.OneToOneField(Match, models.CASCADE, primary_key=True, related_name="scanned")
    seq = models.PositiveIntegerField()
    runs = models.CharField(max_length=64, blank=True, db_index=True)
    stays = models.JSONField(default=list)
    since = models.DateTimeField(null=True, db_index=True)
    until = models.DateTimeField(null=True)


class Doubt(models.Model):
    """A question about a match, as it stood at a seq of its ledger.

    `about`: tells two questions of one kind apart: a colour, or another match. `seq`: since when the
    match says what is doubted; a later change of it asks anew. `colour`: whose part of the sheet it
    is about, `player` who, `other` the match it does not go with. `chance`: how rarely it is so by
    chance; None where it is certain, or cannot be told. `reason`: {template, params} of a sentence.
    `places`: of the strokes it is about.
    """

    match = models.ForeignKey(Match, models.CASCADE, related_name="doubts")
    kind = models.CharField(max_length=16)
    about = models.CharField(max_length=48, blank=True)
    seq = models.PositiveIntegerField()
    certain = models.BooleanField(default=False)
    chance = models.FloatField(null=True)
    colour = models.CharField(max_length=6, choices=Colour.choices, null=True)
    player = models.ForeignKey(Player, models.CASCADE, null=True, related_name="+")
    other = models.ForeignKey(Match, models.CASCADE, null=True, related_name="doubts_beside")
    reason = models.JSONField()
    places = models.JSONField(default=list)
    found_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["match", "kind", "about"], name="doubted_once_a_match_and_kind")
        ]

    def __str__(self) -> str:
        return f"{self.match_id} {self.kind} {self.about}".strip()


class LookedAt(models.Model):
    """An organiser looked at a doubt and says that it is right as it is written.

    It holds for what was doubted at that seq: a later change asks again.
    """

    match = models.ForeignKey(Match, models.CASCADE, related_name="doubts_looked_at")
    kind = models.CharField(max_length=16)
    about = models.CharField(max_length=48, blank=True)
    seq = models.PositiveIntegerField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["match", "kind", "about", "seq"], name="doubt_looked_at_once_a_seq"
            )
        ]
