"""The shape of a match's state, for the schema; `scoring.ledger` fills it."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from scoring.models import Colour, MatchProjection


class WholeByColour(serializers.Serializer):
    """A whole number for each colour."""

    white = serializers.IntegerField()
    yellow = serializers.IntegerField()


class IdByColour(serializers.Serializer):
    """A player for each colour, null before the opening."""

    white = serializers.IntegerField(allow_null=True)
    yellow = serializers.IntegerField(allow_null=True)


class TextByColour(serializers.Serializer):
    """A text for each colour, null where there is none."""

    white = serializers.CharField(allow_null=True)
    yellow = serializers.CharField(allow_null=True)


class RunsByColour(serializers.Serializer):
    """The runs of the extra innings of each colour."""

    white = serializers.ListField(child=serializers.IntegerField())
    yellow = serializers.ListField(child=serializers.IntegerField())


class FlagOut(serializers.Serializer):
    """An open question about an entry."""

    seq = serializers.IntegerField()
    code = serializers.CharField()
    ruling = serializers.DictField(allow_null=True)
    counts = serializers.BooleanField()
    settled_by = serializers.IntegerField(allow_null=True)


class StateOut(serializers.Serializer):
    """The state of a match."""

    id = serializers.IntegerField()
    competition = serializers.IntegerField(allow_null=True)
    table = serializers.IntegerField(allow_null=True)
    discipline = serializers.CharField()
    format = serializers.DictField()
    rule_set = serializers.DictField()
    status = serializers.ChoiceField(MatchProjection.Status.choices)
    turn = serializers.ChoiceField(Colour.choices, allow_null=True)
    entrants = serializers.ListField(child=serializers.IntegerField(), min_length=2, max_length=2)
    players = IdByColour()
    score = WholeByColour()
    innings = WholeByColour()
    run = WholeByColour()
    high_run = WholeByColour()
    average = TextByColour()
    sets = WholeByColour()
    distance = IdByColour()
    extra = RunsByColour(allow_null=True)
    winner = serializers.IntegerField(allow_null=True)
    flags = FlagOut(many=True)
    seq = serializers.IntegerField()


class MatchOut(StateOut):
    """A match: its state, and what never changes beside it."""

    uuid = serializers.UUIDField()
    scheduled_at = serializers.DateTimeField(allow_null=True)
    created_at = serializers.DateTimeField()


class ConflictOut(serializers.Serializer):
    """Why the ledger or the state forbids it."""

    code = serializers.CharField()
    reason = serializers.CharField()


PREDICTION_KINDS = ("blind", "same-time", "hindsight")
PREDICTION_SOURCES = ("declared", "best")


@extend_schema_field({"type": "string", "enum": list(PREDICTION_KINDS)})
class PredictionKindField(serializers.Field):
    """When layout and line were told: before the stroke's entry, in it, or afterwards."""


@extend_schema_field({"type": "string", "enum": list(PREDICTION_SOURCES)})
class PredictionSourceField(serializers.Field):
    """Which line was played: the declared one, or the best that was found."""


class PredictionOut(serializers.Serializer):
    """How likely the stroke was to make the point, by what was told beside its outcome.

    It is worked out in the background and never changes. The three kinds are never pooled.
    """

    success = serializers.FloatField(min_value=0, max_value=1)
    stderr = serializers.FloatField()
    kind = PredictionKindField()
    source = PredictionSourceField()


class StrokeOut(serializers.Serializer):
    """A stroke, or a whole inning written at once, in its place."""

    order = serializers.IntegerField()
    place = serializers.IntegerField()
    seq = serializers.IntegerField()
    set = serializers.IntegerField()
    inning = serializers.IntegerField()
    colour = serializers.ChoiceField(Colour.choices)
    kind = serializers.ChoiceField(["point", "miss", "foul", "inning"])
    run = serializers.IntegerField()
    counts = serializers.BooleanField()
    opening = serializers.BooleanField()
    extra = serializers.BooleanField()
    tried = serializers.CharField(allow_null=True)
    made = serializers.CharField(allow_null=True)
    valid = serializers.BooleanField(allow_null=True)
    cushions = serializers.IntegerField(allow_null=True)
    reason = serializers.CharField(allow_null=True)
    details = serializers.DictField()
    codes = serializers.ListField(child=serializers.CharField())
    prediction = PredictionOut(allow_null=True)


class InningOut(serializers.Serializer):
    """One inning of one colour."""

    set = serializers.IntegerField()
    inning = serializers.IntegerField()
    colour = serializers.ChoiceField(Colour.choices)
    run = serializers.IntegerField()
    extra = serializers.BooleanField()
    strokes = StrokeOut(many=True)


class EntryOut(serializers.Serializer):
    """An entry of the ledger; beside these, the fields of its kind. Strokes carry `prediction`."""

    seq = serializers.IntegerField()
    uuid = serializers.UUIDField()
    kind = serializers.CharField()
    place = serializers.IntegerField()
    device_time = serializers.CharField(allow_null=True)
    received_at = serializers.DateTimeField()
    offline = serializers.BooleanField()
    prediction = PredictionOut(allow_null=True, required=False)


class PreviewOut(serializers.Serializer):
    """What an entry would change."""

    state = StateOut()
    changes = serializers.ListField(child=serializers.CharField())
    renumber = serializers.ListField(child=serializers.DictField())
