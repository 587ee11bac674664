"""Players' spreads as they were fitted to recorded strokes, through time."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from scoring.models import Player


class SpreadFit(models.Model):
    """How a player's execution error was fitted in one discipline.

    `points`: what was known after each match, the earliest first: `at` (when the match ended, ISO),
    `match`, `strokes`, `median`, `mode`, `low`, `high` (90 %), `layout_sd`, `at_edge`, `settled`.
    `behind`: strokes or predictions came or changed since; it is fitted anew in the background.
    Nothing in it is a source: it can be worked out again from the ledger and the kept predictions.
    """

    player = models.ForeignKey(Player, models.CASCADE, related_name="spread_fits")
    discipline = models.CharField(max_length=60)
    points = models.JSONField(default=list)
    behind = models.BooleanField(default=True, db_index=True)
    made_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["player", "discipline"], name="spread_once_a_player")]

    def __str__(self) -> str:
        return f"{self.player} {self.discipline}"
