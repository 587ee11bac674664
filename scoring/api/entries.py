"""The ledger of a match through the API: reading on, appending, trying."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext as _
from drf_spectacular.utils import OpenApiResponse, PolymorphicProxySerializer, extend_schema
from rest_framework import serializers, status
from rest_framework.exceptions import ValidationError
from rest_framework.response import Response
from rest_framework.utils.urls import replace_query_param

from scoring import ledger, records
from scoring.access import Actor, access_match, organises_match, plays_match, writes_match
from scoring.beside import told_beside
from scoring.ledger import Author, Outcome
from scoring.models import Match, MatchEntry
from scoring.rules.match.entry import STROKES

from .entry_schema import ENTRIES, ENTRY
from .match import MatchView
from .paging import LARGEST_ID, number_from, query_number
from .states import ConflictOut, EntryOut, PreviewOut, StateOut

MOST_ENTRIES = 500


class StoredOut(serializers.Serializer):
    """Where an entry was stored, and the state after it."""

    seq = serializers.IntegerField()
    state = StateOut()


class ResultOut(serializers.Serializer):
    """What became of one entry of a list."""

    uuid = serializers.CharField(allow_null=True)
    status = serializers.ChoiceField(["stored", "known", "refused"])
    seq = serializers.IntegerField(allow_null=True)
    code = serializers.CharField(allow_null=True)
    reason = serializers.CharField(allow_null=True)


class ResultsOut(serializers.Serializer):
    """What became of each entry of a list, and the state after them."""

    results = ResultOut(many=True)
    state = StateOut()


def author_of(actor: Actor, match: Match) -> Author:
    """Return who writes, as the ledger keeps it, once `actor` may write the match."""
    access_match(actor, match, "write")
    return Author(
        user_id=actor.user.pk if actor.user is not None else None,
        link_id=actor.link_id,
        pen_id=actor.pen.pk if actor.pen is not None else None,
        organises=organises_match(actor, match),
    )


class EntriesView(MatchView):
    """The entries of a match."""

    serializer_class = EntryOut

    @extend_schema(
        operation_id="matches_entries_list",
        parameters=[number_from("after"), number_from("limit", 1, MOST_ENTRIES)],
        responses=EntryOut(many=True),
    )
    def get(self, request, pk: int):
        match = self.match()
        after = query_number(request, "after", 0, 0, LARGEST_ID)
        limit = query_number(request, "limit", MOST_ENTRIES, 1, MOST_ENTRIES)
        rows = list(ledger.read_entries(match, after)[: limit + 1])
        more = len(rows) > limit
        whole = _reads_text(self, match)
        following = None
        if more:
            following = replace_query_param(request.build_absolute_uri(), "after", rows[limit - 1].seq)
        strokes = {row.seq: row.place for row in rows[:limit] if row.kind in STROKES}
        beside = told_beside(match, set(strokes.values()))
        shown = [
            show_entry(row, whole) | (beside[row.place] if row.seq in strokes else {}) for row in rows[:limit]
        ]
        return Response({"results": shown, "next": following})

    @extend_schema(
        operation_id="matches_entries_append",
        request={"application/json": {"oneOf": [ENTRY, ENTRIES]}},
        responses={
            201: StoredOut,
            200: PolymorphicProxySerializer(
                component_name="KnownOrResults",
                serializers=[StoredOut, ResultsOut],
                resource_type_field_name=None,
            ),
            409: ConflictOut,
        },
    )
    def post(self, request, pk: int):
        sent = request.data
        if self.actor.unknown:
            # Whom the site does not know never gets as far as the lock.
            self.match("write")
        author = partial(author_of, self.actor)
        if isinstance(sent, list):
            if not 1 <= len(sent) <= MOST_ENTRIES:
                raise ValidationError(
                    {"entries": [_("Send 1 to %(most)s entries at once.") % {"most": MOST_ENTRIES}]}
                )
            outcomes, state = ledger.append_list(pk, sent, author)
            return Response({"results": [show_outcome(one) for one in outcomes], "state": state})
        outcome, state = ledger.append(pk, sent, author)
        if outcome.error is not None:
            raise outcome.error
        stored = outcome.status == "stored"
        return Response(
            {"seq": outcome.seq, "state": state},
            status=status.HTTP_201_CREATED if stored else status.HTTP_200_OK,
        )


class PreviewView(MatchView):
    """What an entry would change; writes nothing."""

    serializer_class = EntryOut

    @extend_schema(
        operation_id="matches_entries_preview",
        request={"application/json": ENTRY},
        responses={200: PreviewOut, 409: OpenApiResponse(ConflictOut)},
    )
    def post(self, request, pk: int):
        match = self.match("write")
        found = ledger.preview(match.pk, request.data, author_of(self.actor, match))
        return Response(
            {
                "state": found.state,
                "changes": [change.into(gettext) for change in found.changes],
                "renumber": found.renumber,
            }
        )


def _reads_text(view: MatchView, match: Match) -> bool:
    """Free text is for those at the table and the organisers, not for spectators."""
    return writes_match(view.actor, match) or plays_match(view.actor, match)


def show_outcome(outcome: Outcome) -> dict[str, Any]:
    """Return what became of an entry, in the reader's language."""
    reason = outcome.reason
    return {
        "uuid": outcome.uuid,
        "status": outcome.status,
        "seq": outcome.seq,
        "code": outcome.code,
        "reason": None if reason is None else reason.into(gettext),
    }


def show_entry(row: MatchEntry, whole: bool) -> dict[str, Any]:
    """Return an entry as devices fold it; free text and authors only where `whole`."""
    text = getattr(row, "text", None)
    texts = text.texts if whole and text is not None else {}
    shown = records.entry_of(row, texts).to_json()
    shown |= {
        "place": row.place,
        "device_time": row.device_time_text or None,
        "received_at": row.received_at,
        "offline": row.offline,
    }
    if whole:
        shown["author"] = _author(row)
    return shown


def _author(row: MatchEntry) -> dict[str, Any]:
    for kind, key in (
        ("pen", row.author_pen_id),
        ("link", row.author_link_id),
        ("import", row.import_batch_id),
        ("user", row.author_user_id),
    ):
        if key is not None:
            return {"kind": kind, "id": key}
    return {"kind": "none", "id": None}
