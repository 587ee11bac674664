"""What was tried in a session: reading on, writing down, striking out, putting back."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext as _
from drf_spectacular.utils import PolymorphicProxySerializer, extend_schema, extend_schema_field
from rest_framework import serializers, status
from rest_framework.exceptions import ValidationError
from rest_framework.response import Response
from rest_framework.utils.urls import replace_query_param

from scoring.access import visible_matches
from scoring.attempts import Game
from scoring.beside import told_beside_attempts
from scoring.ledger import Author
from scoring.models import Attempt, Colour, PracticeSession
from scoring.practice_rights import visible_positions
from scoring.practising import AttemptOutcome, Writer, append_attempts
from scoring.rules.match.fields import MAX_ID

from .entries import show_outcome
from .entry_schema import FIELDS
from .paging import LARGEST_ID, number_from, query_number
from .practice import OneSessionView
from .practice_fields import POSITION_NAMED, LayoutField, LineField
from .rulings import ContactsField, RulingOut
from .states import ConflictOut, PredictionOut

MOST_ATTEMPTS = 500
_OUTCOME = {"type": "string", "enum": Attempt.Outcome.values}
_HOW = {"type": "string", "enum": Attempt.How.values}
_ROW: dict[str, Any] = {
    "uuid": {"type": "string", "format": "uuid"},
    "device_time": {"type": "string", "format": "date-time", "nullable": True},
    "offline": {"type": "boolean", "nullable": True},
}
ATTEMPT: dict[str, Any] = {
    "oneOf": [
        {
            "type": "object",
            "required": ["uuid"],
            "additionalProperties": False,
            "properties": _ROW
            | {name: FIELDS[name] for name in ("layout", "cue_ball", "line", "family", "contacts")}
            | {
                "outcome": _OUTCOME,
                "how": _HOW,
                "position": POSITION_NAMED,
                "from_match": {"type": "integer", "minimum": 1, "maximum": MAX_ID},
                "from_place": {"type": "integer", "minimum": 1, "maximum": MAX_ID},
            },
        },
        {
            "type": "object",
            "required": ["uuid", "void"],
            "additionalProperties": False,
            "properties": _ROW
            | {
                "void": {
                    "type": "string",
                    "format": "uuid",
                    "description": "An attempt, which is struck out; or a strike-out, which is taken back.",
                }
            },
        },
    ]
}
ATTEMPTS = {"type": "array", "items": ATTEMPT, "minItems": 1, "maxItems": MOST_ATTEMPTS}


class AttemptOut(serializers.Serializer):
    """An attempt; `struck_by` is what to take back where it is struck out.

    `family` is what was tried, `family_made` what the contacts show. `told`: when layout and
    line were told. `prediction` is worked out in the background.
    """

    uuid = serializers.UUIDField()
    session = serializers.IntegerField()
    order = serializers.IntegerField()
    position = serializers.IntegerField(allow_null=True)
    layout = LayoutField()
    cue_ball = serializers.ChoiceField(Colour.choices)
    line = LineField(allow_null=True)
    contacts = ContactsField(allow_null=True)
    outcome = serializers.ChoiceField(Attempt.Outcome.choices)
    how = serializers.ChoiceField(Attempt.How.choices, allow_null=True)
    ruling = RulingOut(allow_null=True)
    family = serializers.CharField(allow_null=True)
    family_made = serializers.CharField(allow_null=True)
    codes = serializers.ListField(child=serializers.CharField())
    told = serializers.ChoiceField(Attempt.Told.choices)
    struck_out_at = serializers.DateTimeField(allow_null=True)
    struck_by = serializers.UUIDField(allow_null=True)
    device_time = serializers.DateTimeField(allow_null=True)
    dated_at = serializers.DateTimeField()
    offline = serializers.BooleanField()
    from_match = serializers.IntegerField(allow_null=True)
    from_place = serializers.IntegerField(allow_null=True)
    prediction = PredictionOut(allow_null=True)


@extend_schema_field({"type": "string", "enum": ["stored", "known", "refused"]})
class BecameField(serializers.Field):
    """What became of it."""


class AttemptResultOut(serializers.Serializer):
    """What became of one row of a list."""

    uuid = serializers.CharField(allow_null=True)
    status = BecameField()
    code = serializers.CharField(allow_null=True)
    reason = serializers.CharField(allow_null=True)
    attempt = AttemptOut(allow_null=True)


class AttemptResultsOut(serializers.Serializer):
    """What became of each row of a list."""

    results = AttemptResultOut(many=True)


def show_attempts(session: PracticeSession, attempts: list[Attempt]) -> list[dict[str, Any]]:
    """Return attempts of one session as they are read, with what is told beside them."""
    game = Game.of(session)
    beside = told_beside_attempts({attempt.uuid for attempt in attempts})
    return [_show(game, attempt) | beside[attempt.uuid] for attempt in attempts]


def _show(game: Game, attempt: Attempt) -> dict[str, Any]:
    ruling = game.ruling(attempt.cue_ball, attempt.contacts)
    return {
        "uuid": str(attempt.uuid),
        "session": attempt.session_id,
        "order": attempt.order,
        "position": attempt.position_id,
        "layout": attempt.layout,
        "cue_ball": attempt.cue_ball,
        "line": attempt.line,
        "contacts": attempt.contacts,
        "outcome": attempt.outcome,
        "how": attempt.how,
        "ruling": None if ruling is None else ruling.to_json(gettext),
        "family": attempt.family_tried,
        "family_made": attempt.family_made,
        "codes": attempt.codes,
        "told": attempt.told,
        "struck_out_at": attempt.struck_out_at,
        "struck_by": None if attempt.struck_by is None else str(attempt.struck_by.uuid),
        "device_time": attempt.device_time,
        "dated_at": attempt.dated_at,
        "offline": attempt.offline,
        "from_match": attempt.from_match_id,
        "from_place": attempt.from_place,
        "prediction": None,
    }


class AttemptsView(OneSessionView):
    """The attempts of a session, those that are struck out included."""

    serializer_class = AttemptOut

    @extend_schema(
        operation_id="sessions_attempts_list",
        parameters=[number_from("after"), number_from("limit", 1, MOST_ATTEMPTS)],
        responses=AttemptOut(many=True),
    )
    def get(self, request, pk: int):
        session = self.session()
        after = query_number(request, "after", 0, 0, LARGEST_ID)
        limit = query_number(request, "limit", MOST_ATTEMPTS, 1, MOST_ATTEMPTS)
        found = session.attempts.filter(order__gt=after).select_related("struck_by").order_by("order")
        rows = list(found[: limit + 1])
        following = None
        if len(rows) > limit:
            following = replace_query_param(request.build_absolute_uri(), "after", rows[limit - 1].order)
        return Response({"results": show_attempts(session, rows[:limit]), "next": following})

    @extend_schema(
        operation_id="sessions_attempts_append",
        request={"application/json": {"oneOf": [ATTEMPT, ATTEMPTS]}},
        responses={
            201: AttemptOut,
            200: PolymorphicProxySerializer(
                component_name="KnownAttemptOrResults",
                serializers=[AttemptOut, AttemptResultsOut],
                resource_type_field_name=None,
            ),
            409: ConflictOut,
        },
    )
    def post(self, request, pk: int):
        session = self.session("write")
        sent = request.data
        if isinstance(sent, list):
            if not 1 <= len(sent) <= MOST_ATTEMPTS:
                raise ValidationError(
                    {"attempts": [_("Send 1 to %(most)s attempts at once.") % {"most": MOST_ATTEMPTS}]}
                )
            outcomes = append_attempts(session.pk, sent, self._writer())
            return Response({"results": _show_outcomes(session, outcomes)})
        (outcome,) = append_attempts(session.pk, [sent], self._writer())
        if outcome.error is not None:
            raise outcome.error
        assert outcome.attempt is not None
        (shown,) = show_attempts(session, [outcome.attempt])
        stored = outcome.status == "stored"
        return Response(shown, status=status.HTTP_201_CREATED if stored else status.HTTP_200_OK)

    def _writer(self) -> Writer:
        actor = self.actor
        return Writer(Author(user_id=actor.user.pk), visible_positions(actor), visible_matches(actor))


def _show_outcomes(session: PracticeSession, outcomes: list[AttemptOutcome]) -> list[dict[str, Any]]:
    attempts = {one.attempt.uuid: one.attempt for one in outcomes if one.attempt is not None}
    shown = {row["uuid"]: row for row in show_attempts(session, list(attempts.values()))}
    results = []
    for outcome in outcomes:
        result = show_outcome(outcome)
        del result["seq"]
        about = outcome.attempt
        results.append(result | {"attempt": None if about is None else shown[str(about.uuid)]})
    return results
