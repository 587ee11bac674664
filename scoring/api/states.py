"""The shape of a match's state, for the schema; `scoring.ledger` fills it."""

from __future__ import annotations

from rest_framework import serializers


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
    uuid = serializers.UUIDField(required=False)
    competition = serializers.IntegerField(allow_null=True)
    table = serializers.IntegerField(allow_null=True)
    discipline = serializers.CharField()
    format = serializers.DictField()
    rule_set = serializers.DictField()
    status = serializers.ChoiceField(["planned", "playing", "suspended", "over", "confirmed"])
    turn = serializers.ChoiceField(["white", "yellow"], allow_null=True)
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
