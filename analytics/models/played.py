"""What was played, packed a match and colour, so that a report reads one row instead of each stroke."""

from __future__ import annotations

from django.db import models

from scoring.models import Colour, Match


class PackedMatch(models.Model):
    """The strokes of one colour of a match as records, at a moment of the ledger.

    `seq`: of the match when it was packed; `kept`: how many predictions were kept of it then;
    `shape`: of the records. Where any of the three went on, the row is packed anew when it is read.
    """

    match = models.ForeignKey(Match, models.CASCADE, related_name="packed")
    colour = models.CharField(max_length=6, choices=Colour.choices)
    seq = models.PositiveIntegerField()
    kept = models.PositiveIntegerField()
    shape = models.CharField(max_length=16)
    strokes = models.BinaryField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["match", "colour"], name="packed_once_a_colour")]
