"""Which rows an archive holds, in which order, and how a row is written as JSON.

Rows stand in the order in which they can be made again: what is referred to comes first. Keys are kept,
because fingerprints prove the ids of what a ledger is of. Left out are tokens, pens and table links, which
let somebody in, and all that is computed from the rest.
"""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib.auth import get_user_model
from django.db.models import Field, Model

from scoring import models

VERSION = 1
MANIFEST = "manifest.json"
PROOFS = "proofs.jsonl"
# Of the user model: what lets somebody in, and what the framework keeps beside it.
PASSWORD = "password"
# What refers to a row that is left out.
LEFT_OUT = frozenset({"author_link", "author_pen", "groups", "user_permissions"})
LEFT_OUT_WORDS = ("tokens", "pens", "table links", "sessions of sign-in", "what is computed from the rest")


@dataclass(frozen=True)
class Shape:
    """A kind of row: the member's name and the model."""

    name: str
    model: type[Model]

    @property
    def fields(self) -> list[Field]:
        """The columns that are written."""
        return [field for field in self.model._meta.concrete_fields if field.name not in LEFT_OUT]


def _shape(model: type[Model]) -> Shape:
    return Shape(model._meta.label_lower, model)


# Layers above add their rows behind these, when the site starts.
_added: dict[str, Shape] = {}


def register_rows(*kept: type[Model]) -> None:
    """Let archives hold rows of a layer above, in the order they are named."""
    for model in kept:
        shape = _shape(model)
        _added[shape.name] = shape


def shapes() -> list[Shape]:
    """Return every kind of row, in the order of making."""
    own = (
        get_user_model(), models.Club, models.Player, models.PlayerName, models.ExternalNumber,
        models.PlayerMerge, models.Membership, models.PlayTable, models.Competition, models.Stage,
        models.Group, models.Team, models.SquadMember, models.Encounter, models.Role, models.OwnDiscipline,
        models.OwnRuleSet, models.HandicapDistance, models.HandicapProposal, models.ImportBatch,
        models.CompetitionEntry, models.CompetitionText, models.Match, models.MatchEntry, models.EntryText,
        models.RefusedEntry, models.PracticePosition, models.Coaching, models.Assignment,
        models.PracticeSession, models.PracticeEntry, models.Attempt,
    )  # fmt: skip
    return [*map(_shape, own), *_added.values()]


def encoded(value: Any) -> Any:
    """Return a column's value as JSON has it."""
    if isinstance(value, datetime.datetime):
        return value.astimezone(datetime.UTC).isoformat()
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, uuid.UUID):
        return str(value)
    return value


def row_to_json(names: Iterable[str], values: Iterable[Any]) -> dict[str, Any]:
    """Return a row of a query as JSON values by column."""
    return {name: encoded(value) for name, value in zip(names, values, strict=True)}


def row_from_json(shape: Shape, told: Mapping[str, Any]) -> Model:
    """Return an unsaved row. Raises KeyError for a column that is missing, ValueError for one too many."""
    values = {}
    for field in shape.fields:
        if field.attname == PASSWORD and PASSWORD not in told:
            continue
        value = told[field.attname]
        values[field.attname] = None if value is None else field.to_python(value)
    if told.keys() - values.keys():
        raise ValueError(f"{shape.name}: {', '.join(sorted(told.keys() - values.keys()))}")
    return shape.model(**values)
