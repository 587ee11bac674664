"""The distances players play to, dated, and what a secretary is asked to approve."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from .base import Identified, today
from .club import Club
from .players import Player


class HandicapDistance(Identified):
    """The distance of a player in a discipline from a day on, until a later row takes over.

    `points` in `innings`: the average it was worked out from; `method`: the rule, as it was then.
    """

    club = models.ForeignKey(Club, models.CASCADE, related_name="handicap_distances")
    player = models.ForeignKey(Player, models.PROTECT, related_name="handicap_distances")
    discipline_code = models.CharField(max_length=60)
    distance = models.PositiveIntegerField()
    since = models.DateField(default=today)
    points = models.PositiveIntegerField(null=True, blank=True)
    innings = models.PositiveIntegerField(null=True, blank=True)
    method = models.JSONField(null=True, blank=True)
    why = models.CharField(max_length=300, blank=True)
    made_at = models.DateTimeField(default=timezone.now)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["player", "discipline_code", "-since", "-pk"]
        indexes = [models.Index(fields=["player", "discipline_code", "since"])]


class HandicapProposal(Identified):
    """A distance that follows from an average; it holds once a secretary approved it."""

    class Answer(models.TextChoices):
        OPEN = "open", _("open")
        APPROVED = "approved", _("approved")
        DECLINED = "declined", _("declined")
        REPLACED = "replaced", _("replaced by a later one")

    club = models.ForeignKey(Club, models.CASCADE, related_name="handicap_proposals")
    player = models.ForeignKey(Player, models.PROTECT, related_name="handicap_proposals")
    discipline_code = models.CharField(max_length=60)
    current = models.PositiveIntegerField(null=True, blank=True)
    distance = models.PositiveIntegerField()
    points = models.PositiveIntegerField(default=0)
    innings = models.PositiveIntegerField(default=0)
    method = models.JSONField(default=dict)
    upwards_only = models.BooleanField(default=False)
    answer = models.CharField(max_length=10, choices=Answer.choices, default=Answer.OPEN)
    why = models.CharField(max_length=300, blank=True)
    made_at = models.DateTimeField(default=timezone.now)
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    made = models.OneToOneField(
        HandicapDistance, models.SET_NULL, null=True, blank=True, related_name="proposal"
    )

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["player", "discipline_code"],
                condition=models.Q(answer="open"),
                name="one_open_proposal_of_a_player",
            )
        ]
