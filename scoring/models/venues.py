"""The tables of a club."""

from __future__ import annotations

from django.db import models

from .base import Identified
from .club import Club


class PlayTable(Identified):
    """A billiard table of a club; `overrides` departs from the preset of its size."""

    club = models.ForeignKey(Club, models.CASCADE, related_name="tables")
    name = models.CharField(max_length=80)
    number = models.PositiveSmallIntegerField(null=True, blank=True)
    size = models.CharField(max_length=32, default="match")
    heated = models.BooleanField(default=True)
    overrides = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["number", "name", "pk"]

    def __str__(self) -> str:
        return self.name
