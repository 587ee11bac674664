"""What is recorded of a competition itself, and what its matches add up to.

Entries are written by `scoring.conducting` alone; sums by `scoring.summing`. Both can be rebuilt.
"""

from __future__ import annotations

from django.db import models

from .competitions import Competition, Encounter, Group
from .ledger import LedgerEntry
from .players import Player


class CompetitionEntry(LedgerEntry):
    """One row of a competition's ledger: an entrant, a draw, a lot, a deduction, a publication."""

    competition = models.ForeignKey(Competition, models.PROTECT, related_name="entries")

    class Meta:
        ordering = ["competition", "seq"]
        verbose_name_plural = "competition entries"
        constraints = [models.UniqueConstraint(fields=["competition", "seq"], name="seq_once_a_competition")]

    @property
    def about_id(self) -> int:
        """The id of the competition whose ledger it stands in."""
        return self.competition_id

    def __str__(self) -> str:
        return f"{self.competition_id}/{self.seq} {self.kind}"


class CompetitionText(models.Model):
    """The free text of an entry; erased together with its salt."""

    entry = models.OneToOneField(CompetitionEntry, models.CASCADE, primary_key=True, related_name="text")
    salt = models.CharField(max_length=64)
    texts = models.JSONField(default=dict)


class CompetitionProjection(models.Model):
    """Where a competition stands: the fold of its ledger. `fingerprint`: of the last entry."""

    competition = models.OneToOneField(
        Competition, models.CASCADE, primary_key=True, related_name="projection"
    )
    seq = models.PositiveIntegerField(default=0)
    fingerprint = models.CharField(max_length=64, blank=True)
    state = models.JSONField(default=dict)


class EncounterSums(models.Model):
    """What the boards of an encounter came to, so that the tables of a season are read without its matches.

    `boards`: by number as text, as `scoring.rules.teams.board_to_json` writes them; a board that is not
    over is left out. Brought up to date by whoever writes one of these matches.
    """

    encounter = models.OneToOneField(Encounter, models.CASCADE, primary_key=True, related_name="sums")
    boards = models.JSONField(default=dict)

    class Meta:
        verbose_name_plural = "encounter sums"


class StandingSums(models.Model):
    """What the confirmed matches of one player add up to in a competition, or in a group of it.

    `sums`: a row as `scoring.rules.ranking` ranks it, in JSON. Brought up to date by whoever writes
    one of the player's matches; never by reading the matches of others.
    """

    competition = models.ForeignKey(Competition, models.CASCADE, related_name="standing_sums")
    group = models.ForeignKey(Group, models.CASCADE, null=True, related_name="standing_sums")
    player = models.ForeignKey(Player, models.CASCADE, related_name="standing_sums")
    sums = models.JSONField(default=dict)

    class Meta:
        verbose_name_plural = "standing sums"
        constraints = [
            models.UniqueConstraint(
                fields=["competition", "player"],
                condition=models.Q(group__isnull=True),
                name="sums_once_a_competition",
            ),
            models.UniqueConstraint(
                fields=["group", "player"],
                condition=models.Q(group__isnull=False),
                name="sums_once_a_group",
            ),
        ]
