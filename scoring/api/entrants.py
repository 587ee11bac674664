"""Entrants through the API, and the ledger of a competition."""

from __future__ import annotations

from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers, status
from rest_framework.response import Response
from rest_framework.utils.urls import replace_query_param

from scoring.access import Actor, runs_competition
from scoring.conducting import Recorded, read_state
from scoring.entering import (
    LEAVING,
    ONE,
    SEVERAL,
    do_enter,
    do_leave,
    do_mark,
    do_reinstate,
    do_seed,
    what_leaving_does,
)
from scoring.models import Competition, CompetitionEntry, Player
from scoring.rules.event import day, draws, encounters, ranks, season
from scoring.rules.event.entrants import entrant
from scoring.rules.event.entry import State
from scoring.rules.said import Malformed, said

from .draws import CompetitionView
from .paging import LARGEST_ID, ByIdPagination, number_from, query_number
from .states import ConflictOut
from .views import IdField, TextField

MOST_ENTRIES = 500
# What entries tell of a part that may not be published yet, by kind.
TELLS = {
    kind: part
    for part, told in (
        ("bracket", (draws,)),
        ("schedule", (day,)),
        ("standings", (ranks, season, encounters)),
    )
    for module in told
    for kind in module.KINDS
}


class EntrantOut(serializers.Serializer):
    """Somebody who takes part, or did; `number` names the entrant in draws."""

    player = serializers.IntegerField()
    name = serializers.CharField()
    number = serializers.IntegerField()
    status = serializers.CharField()
    seed = serializers.IntegerField(allow_null=True)
    annul = serializers.BooleanField()


class ChangeOut(serializers.Serializer):
    """What becomes of a match when a player leaves."""

    match = serializers.IntegerField()
    what = serializers.CharField(help_text="walkover, disqualified, given-up or annulled")


class EntrantsOut(serializers.Serializer):
    """All entrants in the order of their numbers, after entry `seq` of the competition's ledger."""

    seq = serializers.IntegerField()
    entrants = EntrantOut(many=True)
    changes = ChangeOut(many=True, required=False)


class EntrantIn(serializers.Serializer):
    """What is written of entrants: `players` for enter and seeds, `player` and (leaving, reinstating) `why` else.

    `preview` writes nothing, and answers what would become of the matches of who leaves.
    """

    uuid = serializers.UUIDField(required=False)
    kind = serializers.ChoiceField([*SEVERAL, *ONE])
    players = serializers.ListField(child=IdField(), required=False, max_length=1000)
    player = IdField(required=False)
    reserve = serializers.BooleanField(required=False)
    annul = serializers.BooleanField(required=False, allow_null=True)
    why = TextField(required=False, max_length=1000)
    preview = serializers.BooleanField(required=False)


def show_entrants(state: State, actor: Actor) -> list[dict[str, Any]]:
    """Return the entrants; names as the reader may see them."""
    players = Player.objects.named().in_bulk([int(key) for key in state["entrants"]])
    return [
        {
            "player": int(key),
            "name": players[int(key)].shown_name(actor.names_open),
            "number": one["number"],
            "status": one["status"],
            "seed": one["seed"],
            "annul": one["annul"],
        }
        for key, one in sorted(state["entrants"].items(), key=lambda pair: pair[1]["number"])
        if int(key) in players
    ]


class EntrantsView(CompetitionView):
    """Who takes part in a competition."""

    serializer_class = EntrantsOut

    @extend_schema(operation_id="competitions_entrants_read", responses=EntrantsOut)
    def get(self, request, pk: int):
        return self.answer(self._all(self.competition()))

    def _all(self, competition: Competition) -> dict[str, Any]:
        last = CompetitionEntry.objects.filter(competition=competition).order_by("-seq").first()
        return {
            "seq": last.seq if last is not None else 0,
            "entrants": show_entrants(read_state(competition), self.actor),
        }

    @extend_schema(
        operation_id="competitions_entrants_write",
        request=EntrantIn,
        responses={
            201: EntrantsOut,
            200: OpenApiResponse(EntrantsOut, "Known by its uuid, or a preview."),
            409: ConflictOut,
        },
    )
    def post(self, request, pk: int):
        competition = self.competition("manage")
        sent = self.read(EntrantIn)
        needed = "players" if sent["kind"] in SEVERAL else "player"
        if needed not in sent:
            raise Malformed(needed, said("This field is needed."))
        if sent.get("preview") and sent["kind"] in LEAVING:
            return self.answer(self._all(competition) | {"changes": self._preview(competition, sent)})
        recorded = self._write(competition, sent)
        answer = {"seq": recorded.entry.seq, "entrants": show_entrants(recorded.state, self.actor)}
        return Response(answer, status=status.HTTP_200_OK if recorded.known else status.HTTP_201_CREATED)

    def _preview(self, competition: Competition, sent: dict[str, Any]) -> list[dict[str, Any]]:
        state = read_state(competition)
        entrant(state, sent["player"])
        changes = what_leaving_does(competition, state, sent["kind"], sent["player"], sent.get("annul"))
        return [{"match": one.match.pk, "what": one.what} for one in changes]

    def _write(self, competition: Competition, sent: dict[str, Any]) -> Recorded:
        kind, uuid, author = sent["kind"], sent.get("uuid"), self.author()
        why = sent.get("why", "")
        if kind == "enter":
            reserve = sent.get("reserve", False)
            return do_enter(competition, sent["players"], author, reserve=reserve, uuid=uuid)
        if kind == "seeds":
            return do_seed(competition, sent["players"], author, uuid=uuid)
        if kind in LEAVING:
            annul = sent.get("annul")
            return do_leave(competition, kind, sent["player"], why, author, annul=annul, uuid=uuid)
        if kind == "reinstate":
            return do_reinstate(competition, sent["player"], why, author, uuid=uuid)
        return do_mark(competition, kind, sent["player"], author, uuid=uuid)


class CompetitionEntryOut(serializers.Serializer):
    """An entry of a competition's ledger; `texts` for its organisers alone.

    `withheld`: the part it tells of, where outsiders do not see that; `fields` are empty then.
    """

    seq = serializers.IntegerField()
    uuid = serializers.UUIDField()
    kind = serializers.CharField()
    fields = serializers.DictField()  # type: ignore[assignment]
    texts = serializers.DictField(required=False)
    withheld = serializers.CharField(required=False)
    text_hash = serializers.CharField()
    fingerprint = serializers.CharField()
    received_at = serializers.DateTimeField()


class CompetitionEntriesView(CompetitionView):
    """The ledger of a competition."""

    serializer_class = CompetitionEntryOut
    # Only so that the schema shows a list of pages; `after` turns them.
    pagination_class = ByIdPagination

    @extend_schema(
        operation_id="competitions_entries_list",
        parameters=[
            number_from("after"),
            OpenApiParameter("limit", OpenApiTypes.INT, description=f"At most {MOST_ENTRIES}."),
        ],
        responses=CompetitionEntryOut(many=True),
    )
    def get(self, request, pk: int):
        competition = self.competition()
        after = query_number(request, "after", 0, 0, LARGEST_ID)
        limit = query_number(request, "limit", MOST_ENTRIES, 1, MOST_ENTRIES)
        found = CompetitionEntry.objects.filter(competition=competition, seq__gt=after)
        rows = list(found.select_related("text").order_by("seq")[: limit + 1])
        following = None
        if len(rows) > limit:
            following = replace_query_param(request.build_absolute_uri(), "after", rows[limit - 1].seq)
        whole = self.actor.organises(competition.club_id, competition.pk)
        shown = [_shown(row, whole) for row in rows[:limit]]
        if not runs_competition(self.actor, competition):
            shown = [_withheld(one, competition) for one in shown]
        return Response({"results": shown, "next": following})


def _withheld(shown: dict[str, Any], competition: Competition) -> dict[str, Any]:
    """Leave out what an entry tells of a part that is not published."""
    part = TELLS.get(shown["kind"])
    return shown if part is None or competition.shows(part) else shown | {"fields": {}, "withheld": part}


def _shown(row: CompetitionEntry, whole: bool) -> dict[str, Any]:
    shown = {
        "seq": row.seq,
        "uuid": str(row.uuid),
        "kind": row.kind,
        "fields": row.data,
        "text_hash": row.text_hash,
        "fingerprint": row.fingerprint,
        "received_at": row.received_at,
    }
    if whole:
        text = getattr(row, "text", None)
        shown["texts"] = text.texts if text is not None else {}
    return shown
