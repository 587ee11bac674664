"""Competitions and their parts: stages, groups, teams and encounters."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Identified
from .club import Club
from .players import Player


class Rounding(models.TextChoices):
    """How an average is cut for showing; ranking compares exact fractions."""

    TRUNCATE = "truncate", _("truncated")
    HALF_UP = "half-up", _("rounded, half up")


class Competition(Identified):
    """An event or a season; its format and rule set are the defaults of its matches."""

    club = models.ForeignKey(Club, models.CASCADE, related_name="competitions")
    name = models.CharField(max_length=120)
    discipline = models.CharField(max_length=60)
    published = models.BooleanField(default=False)
    players_score = models.BooleanField(default=False)
    format = models.JSONField(default=dict, blank=True)
    rule_set = models.JSONField(default=dict, blank=True)
    average_decimals = models.PositiveSmallIntegerField(null=True, blank=True)
    average_rounding = models.CharField(max_length=10, choices=Rounding.choices, null=True, blank=True)
    starts_on = models.DateField(null=True, blank=True)
    ends_on = models.DateField(null=True, blank=True)
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["-starts_on", "-pk"]
        indexes = [models.Index(fields=["published"])]

    def __str__(self) -> str:
        return self.name

    @property
    def format_defaults(self) -> dict:
        """What this competition says of a format; the rest is the discipline's."""
        cut = {
            "average_decimals": self.average_decimals,
            "average_rounding": self.average_rounding,
        }
        return self.format | {name: value for name, value in cut.items() if value is not None}


class Stage(Identified):
    """A part of a competition: groups, a knock-out, a season of encounters."""

    class Kind(models.TextChoices):
        GROUPS = "groups", _("groups")
        KNOCKOUT = "knockout", _("knock-out")
        LEAGUE = "league", _("league")

    competition = models.ForeignKey(Competition, models.CASCADE, related_name="stages")
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=10, choices=Kind.choices)
    order = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["order", "pk"]

    def __str__(self) -> str:
        return self.name


class Group(Identified):
    """A group or a round of a stage."""

    stage = models.ForeignKey(Stage, models.CASCADE, related_name="groups")
    name = models.CharField(max_length=80)
    order = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["order", "pk"]

    def __str__(self) -> str:
        return self.name


class Team(Identified):
    """A team of a competition."""

    competition = models.ForeignKey(Competition, models.CASCADE, related_name="teams")
    club = models.ForeignKey(Club, models.SET_NULL, null=True, blank=True, related_name="teams")
    name = models.CharField(max_length=120)
    players = models.ManyToManyField(Player, related_name="teams", blank=True)

    def __str__(self) -> str:
        return self.name


class Encounter(Identified):
    """Two teams meet; the matches of their boards refer to it."""

    group = models.ForeignKey(Group, models.CASCADE, related_name="encounters")
    home = models.ForeignKey(Team, models.PROTECT, related_name="home_encounters")
    away = models.ForeignKey(Team, models.PROTECT, related_name="away_encounters")
    round = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["round", "pk"]
