"""What a club's strokes tell together, kept because it changes slowly and reads everybody's."""

from __future__ import annotations

from django.db import models
from django.utils import timezone


class ClubFigures(models.Model):
    """Of one discipline: the rates of all players by family, and how much form drifts.

    `families`: {names, players, points, attempts}, a row for each player's id; {grids}: the mean success of
    each family's predicted lines at every spread, None with few. `drift`: sd of the
    logarithm of a spread per square root of a week. `seen_at`: of the last entry that went into it.
    """

    discipline = models.CharField(max_length=60, unique=True)
    families = models.JSONField(default=dict)
    drift = models.FloatField(default=0.0)
    seen_at = models.DateTimeField(null=True)
    made_at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return self.discipline
