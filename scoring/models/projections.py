"""What the ledger adds up to: rows a match, a match and colour, and a stroke.

Rows are written by `scoring.ledger` alone and can be rebuilt from the entries.
"""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from .matches import Match
from .players import Player
from .venues import PlayTable


class Colour(models.TextChoices):
    """The colour of a player's cue ball."""

    WHITE = "white", _("white")
    YELLOW = "yellow", _("yellow")


class MatchProjection(models.Model):
    """Where a match stands; `play_seq` is the last entry that changes play."""

    class Status(models.TextChoices):
        PLANNED = "planned", _("planned")
        PLAYING = "playing", _("playing")
        SUSPENDED = "suspended", _("suspended")
        OVER = "over", _("over")
        CONFIRMED = "confirmed", _("confirmed")

    match = models.OneToOneField(Match, models.CASCADE, primary_key=True, related_name="projection")
    seq = models.PositiveIntegerField(default=0)
    play_seq = models.PositiveIntegerField(default=0)
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.PLANNED, db_index=True)
    turn = models.CharField(max_length=6, choices=Colour.choices, null=True)
    white = models.ForeignKey(Player, models.PROTECT, null=True, related_name="+")
    yellow = models.ForeignKey(Player, models.PROTECT, null=True, related_name="+")
    winner = models.ForeignKey(Player, models.PROTECT, null=True, related_name="matches_won")
    # Where it is played now; a suspended match may have moved.
    table = models.ForeignKey(PlayTable, models.SET_NULL, null=True, related_name="playing")
    state = models.JSONField(default=dict)
    flag_count = models.PositiveIntegerField(default=0)
    # Of the last entry: what the next one is chained to.
    fingerprint = models.CharField(max_length=64, blank=True)
    started_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)
    last_at = models.DateTimeField(null=True)


class ColourProjection(models.Model):
    """The figures of one colour of a match; a player's totals are sums over these."""

    class Outcome(models.TextChoices):
        WON = "won", _("won")
        LOST = "lost", _("lost")
        DRAWN = "drawn", _("drawn")
        NONE = "none", _("undecided")

    match = models.ForeignKey(Match, models.CASCADE, related_name="colour_projections")
    colour = models.CharField(max_length=6, choices=Colour.choices)
    player = models.ForeignKey(Player, models.PROTECT, null=True, related_name="colour_projections")
    score = models.PositiveIntegerField(default=0)
    points = models.PositiveIntegerField(default=0)
    innings = models.PositiveIntegerField(default=0)
    high_run = models.PositiveIntegerField(default=0)
    run = models.PositiveIntegerField(default=0)
    sets = models.PositiveIntegerField(default=0)
    distance = models.PositiveIntegerField(null=True)
    average_text = models.CharField(max_length=32, null=True)
    outcome = models.CharField(max_length=6, choices=Outcome.choices, default=Outcome.NONE)
    counted = models.BooleanField(default=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["match", "colour"], name="colour_once_a_match")]


class StrokeProjection(models.Model):
    """One stroke, or one whole inning, in the place where it stands.

    `order` is its position in order of place; `run` is 1 for a point, 0 for a miss or a
    foul, the whole run for an inning. `counts`: it is in the figures of the match.
    """

    match = models.ForeignKey(Match, models.CASCADE, related_name="stroke_projections")
    place = models.PositiveIntegerField()
    seq = models.PositiveIntegerField()
    order = models.PositiveIntegerField()
    set_number = models.PositiveIntegerField(default=1)
    inning = models.PositiveIntegerField()
    colour = models.CharField(max_length=6, choices=Colour.choices)
    player = models.ForeignKey(Player, models.PROTECT, null=True, related_name="stroke_projections")
    kind = models.CharField(max_length=10)
    run = models.PositiveIntegerField(default=0)
    counts = models.BooleanField(default=True)
    opening = models.BooleanField(default=False)
    extra = models.BooleanField(default=False)
    family_tried = models.CharField(max_length=24, null=True)
    family_made = models.CharField(max_length=24, null=True)
    ruling_valid = models.BooleanField(null=True)
    cushions = models.PositiveSmallIntegerField(null=True)
    reason = models.CharField(max_length=24, null=True)
    details = models.JSONField(null=True)
    flags = models.JSONField(default=list)
    dated_at = models.DateTimeField()

    class Meta:
        ordering = ["match", "order"]
        constraints = [models.UniqueConstraint(fields=["match", "place"], name="place_once_a_match")]
        indexes = [
            models.Index(fields=["player", "dated_at"]),
            models.Index(fields=["match", "order"]),
        ]
