"""Practice: positions to try, sessions of attempts at them, and who may look on as a coach.

The entries of a session are a ledger like a match's, written by `scoring.practising` alone;
attempts are what they add up to.
"""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from .base import Identified
from .club import Club
from .ledger import LedgerEntry
from .matches import Match
from .players import Player
from .projections import Colour
from .venues import PlayTable


class PracticePosition(Identified):
    """Three balls to try a stroke from. What lies where never changes once it is written.

    `layout`: ball centres [diamonds]. `line`: the strike that is to be tried, or None.
    `shipped`: of the library that comes with the product; then nobody owns it, and `code`
    names it. `shared`: everybody of the club may use it. `source`: where it comes from.
    """

    code = models.SlugField(max_length=60, unique=True, null=True, blank=True)
    name = models.CharField(max_length=80)
    layout = models.JSONField()
    cue_ball = models.CharField(max_length=6, choices=Colour.choices)
    line = models.JSONField(null=True, blank=True)
    discipline_code = models.CharField(max_length=60)
    family = models.CharField(max_length=24, null=True, blank=True)
    note = models.CharField(max_length=500, blank=True)
    source = models.CharField(max_length=200, blank=True)
    owner = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="positions"
    )
    shipped = models.BooleanField(default=False)
    shared = models.BooleanField(default=False)
    created_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(shipped=False) | models.Q(owner__isnull=True),
                name="shipped_position_has_no_owner",
            )
        ]

    def __str__(self) -> str:
        return self.name


class Coaching(Identified):
    """A coach asked to look on; it holds from the player's agreement until either withdraws."""

    coach = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="coachings")
    player = models.ForeignKey(Player, models.CASCADE, related_name="coachings")
    asked_at = models.DateTimeField(default=timezone.now)
    agreed_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["coach", "player"],
                condition=models.Q(withdrawn_at__isnull=True),
                name="one_open_coaching_of_a_player",
            )
        ]

    @property
    def holds(self) -> bool:
        """Whether the player agreed and nobody withdrew."""
        return self.agreed_at is not None and self.withdrawn_at is None


class Assignment(Identified):
    """What a coach sets a pupil: `positions` is a plan as a session has one."""

    coaching = models.ForeignKey(Coaching, models.CASCADE, related_name="assignments")
    name = models.CharField(max_length=80)
    note = models.CharField(max_length=500, blank=True)
    positions = models.JSONField(default=list)
    goal = models.JSONField(null=True, blank=True)
    set_at = models.DateTimeField(default=timezone.now)
    due_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.name


class PracticeSession(Identified):
    """A player alone at a table; `discipline` and `rule_set` are copies, as a match has them.

    `goal`: {attempts, made} or None. `positions`: what is to be tried, in order, each
    {position, repetitions, goal}. `seq`, `fingerprint`: of the last entry. `tried`, `made`:
    attempts that are not struck out, and how many of them made the point.
    """

    club = models.ForeignKey(Club, models.PROTECT, related_name="sessions")
    player = models.ForeignKey(Player, models.PROTECT, related_name="sessions")
    discipline_code = models.CharField(max_length=60)
    discipline = models.JSONField(default=dict)
    rule_set = models.JSONField(default=dict)
    name = models.CharField(max_length=80, blank=True)
    note = models.CharField(max_length=500, blank=True)
    table = models.ForeignKey(PlayTable, models.SET_NULL, null=True, blank=True, related_name="sessions")
    goal = models.JSONField(null=True, blank=True)
    positions = models.JSONField(default=list, blank=True)
    assignment = models.ForeignKey(
        Assignment, models.SET_NULL, null=True, blank=True, related_name="sessions"
    )
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    started_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)
    seq = models.PositiveIntegerField(default=0)
    fingerprint = models.CharField(max_length=64, blank=True)
    tried = models.PositiveIntegerField(default=0)
    made = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-pk"]
        indexes = [models.Index(fields=["player", "started_at"])]

    def __str__(self) -> str:
        return self.name or f"{self.started_at:%Y-%m-%d}"


class PracticeEntry(LedgerEntry):
    """One row of a session's ledger: an `attempt`, or a `void` of an attempt or of a `void`."""

    session = models.ForeignKey(PracticeSession, models.PROTECT, related_name="entries")

    class Meta:
        ordering = ["session", "seq"]
        constraints = [models.UniqueConstraint(fields=["session", "seq"], name="seq_once_a_session")]
        verbose_name_plural = "practice entries"

    @property
    def about_id(self) -> int:
        """The id of the session whose ledger it stands in."""
        return self.session_id

    def __str__(self) -> str:
        return f"{self.session_id}/{self.seq} {self.kind}"


class Attempt(models.Model):
    """One stroke at practice, as its entry and what was struck out since have it.

    `order`: the seq of its entry. `family_tried`: declared, or that of the contacts of a point
    made, never guessed; `family_made`: by the contacts. `ruling`: {valid, cushions, required,
    family, foul} where contacts were told. `outcome`: the player's word where it was given.
    `codes`: `ruling` where word and contacts differ, `clock` where the device's clock was not
    believed. `told`: whether layout and line stood in a position before it. `struck_by`: the
    entry that strikes it out now.
    """

    class Outcome(models.TextChoices):
        MADE = "made", _("made")
        MISSED = "missed", _("missed")

    class How(models.TextChoices):
        """How it missed."""

        SHORT = "short", _("short")
        LONG = "long", _("long")
        THIN = "thin", _("thin")
        THICK = "thick", _("thick")

    class Told(models.TextChoices):
        """When layout and line were told; predictions of the three are never pooled."""

        BLIND = "blind", _("blind")
        SAME_TIME = "same-time", _("same time")
        HINDSIGHT = "hindsight", _("hindsight")

    entry = models.OneToOneField(PracticeEntry, models.PROTECT, primary_key=True, related_name="attempt")
    uuid = models.UUIDField(unique=True, editable=False)
    session = models.ForeignKey(PracticeSession, models.PROTECT, related_name="attempts")
    order = models.PositiveIntegerField()
    position = models.ForeignKey(
        PracticePosition, models.PROTECT, null=True, blank=True, related_name="attempts"
    )
    layout = models.JSONField()
    cue_ball = models.CharField(max_length=6, choices=Colour.choices)
    line = models.JSONField(null=True, blank=True)
    family_tried = models.CharField(max_length=24, null=True)
    family_made = models.CharField(max_length=24, null=True)
    contacts = models.JSONField(null=True)
    outcome = models.CharField(max_length=6, choices=Outcome.choices)
    how = models.CharField(max_length=5, choices=How.choices, null=True)
    ruling = models.JSONField(null=True)
    codes = models.JSONField(default=list)
    told = models.CharField(max_length=10, choices=Told.choices)
    struck_by = models.ForeignKey(PracticeEntry, models.PROTECT, null=True, related_name="+")
    struck_out_at = models.DateTimeField(null=True)
    device_time = models.DateTimeField(null=True)
    dated_at = models.DateTimeField()
    offline = models.BooleanField(default=False)
    from_match = models.ForeignKey(Match, models.PROTECT, null=True, related_name="+")
    from_place = models.PositiveIntegerField(null=True)

    class Meta:
        ordering = ["session", "order"]
        indexes = [models.Index(fields=["session", "order"])]

    @property
    def is_made(self) -> bool:
        """Whether it made the point."""
        return self.outcome == self.Outcome.MADE

    def __str__(self) -> str:
        return f"{self.session_id}/{self.order} {self.outcome}"
