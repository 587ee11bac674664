"""A club's own disciplines and rule sets, beside the presets that ship."""

from __future__ import annotations

from django.db import models

from .base import Identified
from .club import Club


class Regulation(Identified):
    """A named piece of the regulations as data; a match keeps a copy of what it used."""

    club = models.ForeignKey(Club, models.CASCADE, related_name="+")
    code = models.SlugField(max_length=60)
    data = models.JSONField(default=dict)

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return self.code


class OwnDiscipline(Regulation):
    """A discipline that a club added, in the shape of the presets."""

    class Meta:
        constraints = [models.UniqueConstraint(fields=["club", "code"], name="own_discipline_once_a_club")]


class OwnRuleSet(Regulation):
    """A rule set that a club added, in the shape of the presets."""

    class Meta:
        constraints = [models.UniqueConstraint(fields=["club", "code"], name="own_rule_set_once_a_club")]
