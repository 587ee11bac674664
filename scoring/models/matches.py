"""A match: who plays, where, and the rules it was opened with."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

from .base import Identified
from .club import Club
from .competitions import Competition, Encounter, Group
from .players import Player
from .venues import PlayTable


class MatchQuerySet(models.QuerySet["Match"]):
    """Matches, with what their pages and answers need."""

    def shown(self):
        """Fetch along what a list of matches shows."""
        return self.select_related("competition", "entrant_a__name", "entrant_b__name", "projection__table")

    def of_player(self, player: Player | int):
        """Return the matches in which `player`, a row or an id, is an entrant."""
        return self.filter(models.Q(entrant_a=player) | models.Q(entrant_b=player))


class Match(Identified):
    """Two entrants and a snapshot of the regulations; what happened is in the ledger.

    `discipline`, `format` and `rule_set` are copies made when the match was created, so
    that a later season's rules never change it. `distance_a` belongs to `entrant_a`.
    """

    club = models.ForeignKey(Club, models.PROTECT, related_name="matches")
    competition = models.ForeignKey(
        Competition, models.PROTECT, null=True, blank=True, related_name="matches"
    )
    group = models.ForeignKey(Group, models.PROTECT, null=True, blank=True, related_name="matches")
    encounter = models.ForeignKey(Encounter, models.PROTECT, null=True, blank=True, related_name="matches")
    board = models.PositiveSmallIntegerField(null=True, blank=True)
    # Its number in the order of its group, or in its bracket.
    tie = models.PositiveSmallIntegerField(null=True, blank=True)
    referee = models.ForeignKey(
        Player, models.SET_NULL, null=True, blank=True, related_name="matches_refereed"
    )
    table = models.ForeignKey(PlayTable, models.PROTECT, null=True, blank=True, related_name="matches")
    discipline_code = models.CharField(max_length=60, db_index=True)
    discipline = models.JSONField(default=dict)
    format = models.JSONField(default=dict)
    rule_set = models.JSONField(default=dict)
    entrant_a = models.ForeignKey(Player, models.PROTECT, related_name="matches_as_a")
    entrant_b = models.ForeignKey(Player, models.PROTECT, related_name="matches_as_b")
    distance_a = models.PositiveIntegerField(null=True, blank=True)
    distance_b = models.PositiveIntegerField(null=True, blank=True)
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    created_at = models.DateTimeField(default=timezone.now)
    scheduled_at = models.DateTimeField(null=True, blank=True)

    objects = models.Manager.from_queryset(MatchQuerySet)()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(entrant_a=models.F("entrant_b")),
                name="match_of_two_different_players",
            )
        ]

    @property
    def entrant_ids(self) -> tuple[int, int]:
        """The ids of both entrants, in the order of the request."""
        return self.entrant_a_id, self.entrant_b_id

    @property
    def table_now(self) -> PlayTable | None:
        """Where it is played: a suspended match may have moved from where it was planned."""
        return self.projection.table

    def __str__(self) -> str:
        return f"{self.entrant_a.surname} - {self.entrant_b.surname}"
