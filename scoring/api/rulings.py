"""Asking the validator: a contact sequence in, a ruling out. Nothing is stored."""

from __future__ import annotations

from django.utils.translation import gettext
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers

from scoring.models import Club, Colour
from scoring.regulations import find_discipline, find_rule_set
from scoring.rules.contacts import BALLS, RAILS, parse_balls, parse_contacts, parse_rails
from scoring.rules.rulings import rule

from .limits import VisitorRulings
from .views import RuleSetField, ScoringView, TextField

_CONTACT = {
    "type": "object",
    "properties": {
        "ball": {"type": "string", "enum": list(BALLS)},
        "rail": {"type": "string", "enum": list(RAILS)},
        "tie": {"type": "boolean", "description": "At the same instant as the one before."},
    },
}


@extend_schema_field({"type": "array", "maxItems": 200, "items": _CONTACT})
class ContactsField(serializers.Field):
    """Contacts of the cue ball in order; the rules read them."""

    def to_internal_value(self, data):
        return data


@extend_schema_field(
    {"oneOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}], "nullable": True}
)
class NamesField(serializers.Field):
    """One name, several, or none; the rules read them."""

    def __init__(self) -> None:
        super().__init__(required=False, allow_null=True)

    def to_internal_value(self, data):
        return data


class RulingIn(serializers.Serializer):
    """A stroke to be judged."""

    discipline = TextField(max_length=60)
    cue_ball = serializers.ChoiceField(Colour.choices)
    contacts = ContactsField()
    opening = serializers.BooleanField(required=False, default=False)
    touching_rail = NamesField()
    touching_ball = NamesField()
    off_table = NamesField()
    rule_set = RuleSetField(required=False, allow_null=True)


class RulingOut(serializers.Serializer):
    """What the rules say; `reason` in the words a referee announces, `rule` with its source."""

    valid = serializers.BooleanField()
    cushions = serializers.IntegerField()
    required = serializers.IntegerField()  # type: ignore[assignment]
    reason = serializers.CharField()
    rule = serializers.CharField()
    family = serializers.CharField(allow_null=True)
    foul = serializers.CharField(allow_null=True)


class RulingsView(ScoringView):
    """Judge a described stroke."""

    serializer_class = RulingOut
    pagination_class = None
    throttle_classes = [VisitorRulings]

    @extend_schema(operation_id="rulings_create", request=RulingIn, responses={200: RulingOut})
    def post(self, request):
        asked = self.read(RulingIn)
        club = Club.objects.the_first()
        cue_ball = asked["cue_ball"]
        ruling = rule(
            find_discipline(club, asked["discipline"]),
            cue_ball,
            parse_contacts(asked["contacts"], cue_ball),
            opening=asked["opening"],
            touching_rail=parse_rails(asked.get("touching_rail"), "touching_rail"),
            touching_ball=parse_balls(asked.get("touching_ball"), "touching_ball", cue_ball),
            off_table=parse_balls(asked.get("off_table"), "off_table"),
            rule_set=find_rule_set(club, asked.get("rule_set")),
        )
        return self.answer(ruling.to_json(gettext))
