"""The club, who belongs to it, and who may do what."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from .base import Dated, DatedQuerySet, Identified, today

FIRST_CLUB = uuid.UUID("5f0f9d1c-7a44-4f0e-9d43-1d4c2f6f3a01")


class ClubManager(models.Manager["Club"]):
    """Access to clubs."""

    def the_first(self) -> Club:
        """Return the first club, made at its first need: a single club thinks of none."""
        club = self.order_by("pk").first()
        if club is None:
            # A fixed uuid: two requests that both find no club make the same one.
            club, _made = self.get_or_create(
                uuid=FIRST_CLUB,
                defaults={"name": gettext("Our club"), "time_zone": settings.TIME_ZONE},
            )
        return club


class Club(Identified):
    """A club; its time zone decides on which day a match was played."""

    name = models.CharField(max_length=120)
    time_zone = models.CharField(max_length=64, default="UTC")

    objects = ClubManager()

    def __str__(self) -> str:
        return self.name


class Membership(Identified, Dated):
    """A player belongs to a club for a while."""

    player = models.ForeignKey("Player", models.CASCADE, related_name="memberships")
    club = models.ForeignKey(Club, models.CASCADE, related_name="memberships")

    objects = models.Manager.from_queryset(DatedQuerySet)()

    class Meta:
        indexes = [models.Index(fields=["club", "player"])]


class RoleQuerySet(DatedQuerySet):
    """Roles, dated."""

    def current(self, user):
        """Return the roles that `user` holds today."""
        if user is None or not user.is_authenticated:
            return self.none()
        return self.filter(user=user).on(today())


class Role(Identified, Dated):
    """What a user may do in a club, or in one competition of it only."""

    class Kind(models.TextChoices):
        ADMINISTRATOR = "administrator", _("administrator")
        ORGANISER = "organiser", _("organiser")
        REFEREE = "referee", _("referee")
        COACH = "coach", _("coach")

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="roles")
    club = models.ForeignKey(Club, models.CASCADE, related_name="roles")
    competition = models.ForeignKey(
        "Competition", models.CASCADE, null=True, blank=True, related_name="roles"
    )
    kind = models.CharField(max_length=16, choices=Kind.choices)

    objects = models.Manager.from_queryset(RoleQuerySet)()

    class Meta:
        indexes = [models.Index(fields=["user", "kind"])]

    def __str__(self) -> str:
        return f"{self.user} {self.kind}"
