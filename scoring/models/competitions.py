"""Competitions and their parts: stages, groups, teams and encounters."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Dated, Identified
from .club import Club
from .players import Player


class Rounding(models.TextChoices):
    """How an average is cut for showing; ranking compares exact fractions."""

    TRUNCATE = "truncate", _("truncated")
    HALF_UP = "half-up", _("rounded, half up")


class Competition(Identified):
    """An event or a season; its format and rule set are the defaults of its matches.

    `regulations`: how it is ranked, pointed, handicapped and run, where it departs from the defaults.
    `follows`: the season before. `closed_at`, `closing_fingerprint`: since when it is frozen, and
    over which ledgers; both empty while it is open. `withheld`: the parts that outsiders do not see
    while it is published, with spaces between, so that a list of matches asks for them at no cost.
    """

    club = models.ForeignKey(Club, models.CASCADE, related_name="competitions")
    name = models.CharField(max_length=120)
    discipline = models.CharField(max_length=60)
    published = models.BooleanField(default=False)
    withheld = models.CharField(max_length=80, blank=True)
    players_score = models.BooleanField(default=False)
    format = models.JSONField(default=dict, blank=True)
    rule_set = models.JSONField(default=dict, blank=True)
    average_decimals = models.PositiveSmallIntegerField(null=True, blank=True)
    average_rounding = models.CharField(max_length=10, choices=Rounding.choices, null=True, blank=True)
    starts_on = models.DateField(null=True, blank=True)
    ends_on = models.DateField(null=True, blank=True)
    regulations = models.JSONField(default=dict, blank=True)
    follows = models.ForeignKey("self", models.SET_NULL, null=True, blank=True, related_name="followed_by")
    closed_at = models.DateTimeField(null=True, blank=True)
    closing_fingerprint = models.CharField(max_length=64, blank=True)
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["-starts_on", "-pk"]
        indexes = [models.Index(fields=["published"])]

    def __str__(self) -> str:
        return self.name

    def shows(self, part: str) -> bool:
        """Whether outsiders read this part, one of `scoring.rules.event.publication.PARTS`."""
        return self.published and part not in self.withheld.split()

    @property
    def format_defaults(self) -> dict:
        """What this competition says of a format; the rest is the discipline's."""
        cut = {
            "average_decimals": self.average_decimals,
            "average_rounding": self.average_rounding,
        }
        return self.format | {name: value for name, value in cut.items() if value is not None}


class Stage(Identified):
    """A part of a competition, with the format of its matches where it has one of its own.

    `regulations`: what its draw was asked with and what its matches are; read by `scoring.rules.event`.
    """

    class Kind(models.TextChoices):
        ROUND_ROBIN = "round-robin", _("round robin")
        GROUPS = "groups", _("groups")
        KNOCKOUT = "knockout", _("knock-out")
        SERIES = "series", _("free series")
        LEAGUE = "league", _("league of teams")

    competition = models.ForeignKey(Competition, models.CASCADE, related_name="stages")
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=12, choices=Kind.choices)
    order = models.PositiveSmallIntegerField(default=0)
    regulations = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["order", "pk"]

    def __str__(self) -> str:
        return self.name


class Group(Identified):
    """A group of a stage; a knock-out, a round robin of all and a season have one."""

    stage = models.ForeignKey(Stage, models.CASCADE, related_name="groups")
    name = models.CharField(max_length=80)
    order = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["order", "pk"]

    def __str__(self) -> str:
        return self.name


class Team(Identified):
    """A team of a competition; its captain enters line-ups and sheets."""

    competition = models.ForeignKey(Competition, models.CASCADE, related_name="teams")
    club = models.ForeignKey(Club, models.SET_NULL, null=True, blank=True, related_name="teams")
    name = models.CharField(max_length=120)
    captain = models.ForeignKey(Player, models.SET_NULL, null=True, blank=True, related_name="captain_of")

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name


class SquadMember(Identified, Dated):
    """A player of a team; `points` in `innings` is the average by which boards are ordered.

    `substitute`: belongs to no board, and comes in under the limits of the league.
    """

    team = models.ForeignKey(Team, models.CASCADE, related_name="squad")
    player = models.ForeignKey(Player, models.PROTECT, related_name="squads")
    points = models.PositiveIntegerField(null=True, blank=True)
    innings = models.PositiveIntegerField(null=True, blank=True)
    distance = models.PositiveIntegerField(null=True, blank=True)
    substitute = models.BooleanField(default=False)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["team", "player"],
                condition=models.Q(until__isnull=True),
                name="player_once_in_a_squad",
            )
        ]


class Encounter(Identified):
    """Two teams meet; the matches of their boards refer to it.

    Line-ups are lists, board 1 first, and are shown to the other side once both are in.
    `due_on`: the last day it may be played on, later after a postponement.
    """

    class Status(models.TextChoices):
        PLANNED = "planned", _("planned")
        LINED_UP = "lined-up", _("line-ups are in")
        ENTERED = "entered", _("entered by the home side")
        CONFIRMED = "confirmed", _("confirmed")
        DISPUTED = "disputed", _("disputed")
        AWARDED = "awarded", _("awarded")
        ANNULLED = "annulled", _("annulled")

    group = models.ForeignKey(Group, models.CASCADE, related_name="encounters")
    home = models.ForeignKey(Team, models.PROTECT, related_name="home_encounters")
    away = models.ForeignKey(Team, models.PROTECT, related_name="away_encounters")
    round = models.PositiveSmallIntegerField(default=1)
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.PLANNED)
    scheduled_on = models.DateField(null=True, blank=True)
    due_on = models.DateField(null=True, blank=True)
    home_line_up = models.JSONField(null=True, blank=True)
    away_line_up = models.JSONField(null=True, blank=True)
    awarded_to = models.ForeignKey(Team, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["round", "pk"]
