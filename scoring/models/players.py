"""Players and their names; a name stands in a row of its own and can be erased."""

from __future__ import annotations

import unicodedata

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from .base import Identified


def search_key(text: str) -> str:
    """Return `text` as it is searched: lower case, without accents, single spaces."""
    decomposed = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(sign for sign in decomposed if not unicodedata.combining(sign))
    return " ".join(plain.casefold().split())


class PlayerQuerySet(models.QuerySet["Player"]):
    """Players, found by name or by right."""

    def named(self):
        """Fetch the names along."""
        return self.select_related("name")

    def matching(self, text: str):
        """Return the players whose name holds every word of `text`."""
        found = self
        for word in search_key(text).split():
            found = found.filter(name__search_key__contains=word)
        return found

    def enrol(self, given: str, family: str, **fields) -> Player:
        """Create a player together with the name row."""
        player = self.create(**fields)
        player.write_name(given, family)
        return player


class Player(Identified):
    """Someone who plays; the numbers stay when the name is erased."""

    class Consent(models.TextChoices):
        FULL = "full", _("full name")
        SHORTENED = "shortened", _("shortened name")
        NONE = "none", _("no name")

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL,
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="player",
    )
    consent = models.CharField(max_length=10, choices=Consent.choices, default=Consent.NONE)
    published = models.BooleanField(default=False)
    guest = models.BooleanField(default=False)
    merged_into = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="merged")
    report_open = models.BooleanField(default=False)
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")

    objects = models.Manager.from_queryset(PlayerQuerySet)()

    def __str__(self) -> str:
        return self.full_name

    @property
    def numbered_name(self) -> str:
        """The name of someone who has none here, or shows none."""
        return gettext("Player %(number)s") % {"number": self.pk}

    @property
    def full_name(self) -> str:
        """The whole name, or "Player 12" once it was erased."""
        name = self.name_or_none
        return str(name) if name else self.numbered_name

    @property
    def surname(self) -> str:
        """The family name, for narrow columns; "Player 12" once it was erased."""
        name = self.name_or_none
        return (name.family or name.given) if name else self.numbered_name

    @property
    def name_or_none(self) -> PlayerName | None:
        """The name row, if it still stands."""
        return getattr(self, "name", None)

    def shown_name(self, names_open: bool) -> str:
        """Return the name for a reader.

        `names_open`: the reader is somebody the club knows (signed in, or a device at a
        table) and sees whole names; else what the player agreed to, once published.
        A record that was merged has the name of the one it is read as.
        """
        if self.merged_into_id is not None:
            return self.merged_into.shown_name(names_open)
        if names_open:
            return self.full_name
        name = self.name_or_none
        if name is None or not self.published or self.consent == self.Consent.NONE:
            return self.numbered_name
        return str(name) if self.consent == self.Consent.FULL else name.shortened

    def write_name(self, given: str, family: str) -> PlayerName:
        """Write or replace the name row."""
        name, _made = PlayerName.objects.update_or_create(
            player=self,
            defaults={
                "given": given,
                "family": family,
                "search_key": search_key(f"{given} {family}"),
            },
        )
        self.name = name
        return name

    def erase_name(self) -> None:
        """Erase the name row; every figure of the player stays."""
        PlayerName.objects.filter(player=self).delete()
        self._state.fields_cache.pop("name", None)


class PlayerName(models.Model):
    """The erasable name of a player."""

    player = models.OneToOneField(Player, models.CASCADE, primary_key=True, related_name="name")
    given = models.CharField(max_length=80, blank=True)
    family = models.CharField(max_length=80)
    # Decomposition may lengthen a sign, so the key has room to spare.
    search_key = models.TextField()

    class Meta:
        ordering = ["family", "given"]

    def __str__(self) -> str:
        return f"{self.given} {self.family}".strip()

    @property
    def shortened(self) -> str:
        """The given name and the first letter of the family name: "Mira Q."."""
        if not self.given:
            return f"{self.family[:1]}."
        return f"{self.given} {self.family[:1]}."


class ExternalNumber(models.Model):
    """The number under which a federation or a league knows a player."""

    player = models.ForeignKey(Player, models.CASCADE, related_name="external_numbers")
    issuer = models.CharField(max_length=60)
    number = models.CharField(max_length=60)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["issuer", "number"], name="external_number_once_an_issuer")
        ]

    def __str__(self) -> str:
        return f"{self.issuer} {self.number}"


class PlayerMerge(Identified):
    """Two rows of one person: `gone` is read as `into` from `made_at` until it was undone."""

    gone = models.ForeignKey(Player, models.PROTECT, related_name="merges")
    into = models.ForeignKey(Player, models.PROTECT, related_name="merges_into")
    why = models.CharField(max_length=300, blank=True)
    made_at = models.DateTimeField(default=timezone.now)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["gone"], condition=models.Q(undone_at__isnull=True), name="merged_once_at_a_time"
            )
        ]
