"""Predictions that are kept, and how far the ledger has been followed for them."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from scoring.models import Colour, Match, PlayTable, PracticeSession


class PredictionQuerySet(models.QuerySet["Prediction"]):
    """Predictions; none of them is ever written anew."""

    def update(self, **_values: Any) -> int:
        raise TypeError("a prediction never changes")


class Prediction(models.Model):
    """How likely a stroke was to make the point, as it was worked out then.

    It is about a stroke of a match (`match` and `place`, the first seq of its correction chain)
    or about an attempt at practice (`attempt_uuid`). `told_seq`: the entry by which all that it
    was made from was known. `line`: the strike that was played, [direction, speed, side, height]
    by name. `parameters`: of the table, as they held then. `hits`: points made of `strokes` at
    each spread of `analytics.aim.predicting.SPREADS`; `grid`: success at each. `model`,
    `kernels`: which version of the sums, and of the compiled simulator.
    """

    class Kind(models.TextChoices):
        """When layout and line were told. The three are never pooled."""

        BLIND = "blind", _("blind")
        SAME_TIME = "same-time", _("same time")
        HINDSIGHT = "hindsight", _("hindsight")

    class Source(models.TextChoices):
        """Which line: strokes of the two are never summed together."""

        DECLARED = "declared", _("declared line")
        BEST = "best", _("best line")

    match = models.ForeignKey(Match, models.PROTECT, null=True, blank=True, related_name="predictions")
    place = models.PositiveIntegerField(null=True, blank=True)
    attempt_uuid = models.UUIDField(null=True, blank=True)
    told_seq = models.PositiveIntegerField(null=True, blank=True)
    kind = models.CharField(max_length=10, choices=Kind.choices)
    source = models.CharField(max_length=10, choices=Source.choices)
    layout = models.JSONField()
    cue_ball = models.CharField(max_length=6, choices=Colour.choices)
    line = models.JSONField()
    discipline = models.CharField(max_length=60)
    table = models.ForeignKey(PlayTable, models.SET_NULL, null=True, blank=True, related_name="+")
    parameters = models.JSONField()
    spread = models.FloatField()
    success = models.FloatField()
    stderr = models.FloatField()
    hits = models.JSONField()
    grid = models.JSONField()
    strokes = models.PositiveIntegerField()
    model = models.PositiveIntegerField()
    kernels = models.CharField(max_length=16)
    made_at = models.DateTimeField(default=timezone.now)

    objects = models.Manager.from_queryset(PredictionQuerySet)()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["match", "place", "kind"], name="prediction_once_a_stroke_and_kind"
            ),
            models.UniqueConstraint(
                fields=["attempt_uuid", "kind"], name="prediction_once_an_attempt_and_kind"
            ),
            models.CheckConstraint(
                condition=models.Q(match__isnull=False, place__isnull=False, attempt_uuid__isnull=True)
                | models.Q(match__isnull=True, place__isnull=True, attempt_uuid__isnull=False),
                name="prediction_of_a_stroke_or_an_attempt",
            ),
        ]

    def __str__(self) -> str:
        about = self.attempt_uuid or f"{self.match_id}/{self.place}"
        return f"{about} {self.kind} {self.success:.2f}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Store it once. Raises TypeError for one that is stored already."""
        if not self._state.adding:
            raise TypeError("a prediction never changes")
        super().save(*args, **kwargs)


class FollowedMatch(models.Model):
    """The cursor: up to which seq a match has been looked at for strokes to predict.

    `kept`: how many predictions of it were kept so far; who keeps one counts it in the same
    transaction, so that whatever was read before can tell that it is behind.

    One a match, because a match's seqs are without gaps and in the order of writing, which keys
    over all matches are not where several write at once.
    """

    match = models.OneToOneField(Match, models.CASCADE, primary_key=True, related_name="predictions_followed")
    seq = models.PositiveIntegerField(default=0)
    kept = models.PositiveIntegerField(default=0)


class FollowedSession(models.Model):
    """The cursor of a practice session: up to which seq its attempts have been looked at."""

    session = models.OneToOneField(
        PracticeSession, models.CASCADE, primary_key=True, related_name="predictions_followed"
    )
    seq = models.PositiveIntegerField(default=0)


class PredictionDesk(models.Model):
    """The one row that says whether strokes are being predicted, by whom, and how far it is.

    `stopped`: an organiser said so. `claim`: of whoever predicts now; it lapses some time after
    `beat_at`. `done` of `total` strokes since all was last predicted, `left_out` of them without
    a prediction. `begun_at`, `begun_done`: when the claim was taken and what was done by then.
    `asked_at`: when a worker was last asked to predict. `worker_seen_at`: a worker looked here.
    """

    stopped = models.BooleanField(default=False)
    claim = models.UUIDField(null=True, blank=True)
    beat_at = models.DateTimeField(null=True, blank=True)
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    left_out = models.PositiveIntegerField(default=0)
    begun_at = models.DateTimeField(null=True, blank=True)
    begun_done = models.PositiveIntegerField(default=0)
    asked_at = models.DateTimeField(null=True, blank=True)
    worker_seen_at = models.DateTimeField(null=True, blank=True)
