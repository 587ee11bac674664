"""Closing a competition and opening it again through the API, and proving that it still holds."""

from __future__ import annotations

from typing import Literal

from drf_spectacular.utils import extend_schema
from rest_framework import serializers

from scoring.access import Forbidden, NotVisible, access_competition, runs_competition
from scoring.closing import MOST_FOR_VISITORS, count_entries, do_close, do_reopen, verify
from scoring.ledger import Author
from scoring.models import Competition

from .competitions import CompetitionOut, show_competition
from .states import ConflictOut
from .views import ScoringView, TextField


class WhyIn(serializers.Serializer):
    """Why; needed to open again, and to close while matches are open."""

    uuid = serializers.UUIDField(required=False)
    why = TextField(max_length=1000, required=False)


class VerdictOut(serializers.Serializer):
    """What working the fingerprint out again found; `broken`: matches with an entry that was changed."""

    closed = serializers.BooleanField()
    holds = serializers.BooleanField()
    stored = serializers.CharField()
    found = serializers.CharField()
    matches = serializers.IntegerField()
    entries = serializers.IntegerField()
    broken = serializers.ListField(child=serializers.IntegerField())


class _OneView(ScoringView):
    def competition(self, right: Literal["read", "manage"]) -> Competition:
        found = Competition.objects.select_related("club").filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise NotVisible
        access_competition(self.actor, found, right)
        return found

    @property
    def author(self) -> Author:
        return Author(user_id=self.actor.user.pk, organises=True)


class CloseView(_OneView):
    """Freeze a competition."""

    serializer_class = WhyIn

    @extend_schema(
        operation_id="competitions_close", request=WhyIn, responses={200: CompetitionOut, 409: ConflictOut}
    )
    def post(self, request, pk: int):
        found = self.competition("manage")
        asked = self.read(WhyIn)
        do_close(found, self.author, why=asked.get("why", ""), uuid=asked.get("uuid"))
        found.refresh_from_db()
        return self.answer(show_competition(found))


class ReopenView(_OneView):
    """Let a competition be written again; everybody reads when and why."""

    serializer_class = WhyIn

    @extend_schema(
        operation_id="competitions_reopen", request=WhyIn, responses={200: CompetitionOut, 409: ConflictOut}
    )
    def post(self, request, pk: int):
        found = self.competition("manage")
        asked = self.read(WhyIn)
        do_reopen(found, self.author, why=asked.get("why", ""), uuid=asked.get("uuid"))
        found.refresh_from_db()
        return self.answer(show_competition(found))


class VerifyView(_OneView):
    """Work the fingerprint of a closed competition out again."""

    serializer_class = VerdictOut

    @extend_schema(operation_id="competitions_verify", responses=VerdictOut)
    def get(self, request, pk: int):
        found = self.competition("read")
        if count_entries(found) > MOST_FOR_VISITORS and not runs_competition(self.actor, found):
            raise Forbidden
        return self.answer(VerdictOut(verify(found)).data)
