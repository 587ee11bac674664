"""A club's table as it was measured: what was read off the rails, and what was made of it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

from scoring.models import PlayTable
from scoring.models.base import Identified


class MeasuredSet(Identified):
    """One set of test strokes on a table: open while it is measured, then kept as it is.

    `readings`: by the code of a test stroke, a list of one or two numbers in the units that
    `analytics.aim.measured.strokes` gives. `result`: what the fit made of them, and the values
    of the table it started from (`analytics.measuring.result_of`); None while the set is open.
    `model`: which version of the fit. `in_use`: the table plays by it; at most one a table.
    """

    table = models.ForeignKey(PlayTable, models.CASCADE, related_name="measured_sets")
    measured_at = models.DateTimeField(default=timezone.now)
    measured_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    note = models.CharField(max_length=120, blank=True)
    readings = models.JSONField(default=dict, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    result = models.JSONField(null=True, blank=True)
    model = models.PositiveIntegerField(default=0)
    in_use = models.BooleanField(default=False)

    class Meta:
        ordering = ["-measured_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["table"], condition=models.Q(in_use=True), name="one_measured_set_in_use_a_table"
            ),
            models.UniqueConstraint(
                fields=["table"],
                condition=models.Q(finished_at__isnull=True),
                name="one_open_measured_set_a_table",
            ),
            models.CheckConstraint(
                condition=models.Q(in_use=False) | models.Q(finished_at__isnull=False),
                name="measured_set_in_use_is_finished",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.table} {self.measured_at:%Y-%m-%d}"
