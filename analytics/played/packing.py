"""Strokes as records: packed once a match and colour, read back without a look at each stroke.

A packed match says of which seq of its ledger it is, and of how many kept predictions; where
either went on it is packed anew by whoever reads it, so that nothing stale is ever shown.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Collection
from typing import Any

import numpy as np
from django.db import transaction
from django.db.models import Exists, OuterRef
from numpy.typing import NDArray

from analytics.models import FollowedMatch, PackedMatch, Prediction
from analytics.reports.played import (
    COUNTS,
    EXTRA,
    FAMILY_NAMES,
    FLAGGED,
    KINDS,
    LAID,
    NO_FAMILY,
    OPENING,
    SOURCES,
    STROKE,
    TOLD,
)
from scoring.models import Colour, MatchProjection, StrokeProjection

# Whoever changes the records, or the list of families, changes this: old rows are then packed anew.
SHAPE = hashlib.sha256(repr((STROKE.descr, FAMILY_NAMES)).encode()).hexdigest()[:16]
AT_ONCE = 200
_MOST = np.iinfo("<u2").max
_OVER = (MatchProjection.Status.OVER, MatchProjection.Status.CONFIRMED)


def do_pack(matches: Collection[int]) -> None:
    """Pack these matches, whatever was packed of them before; three queries for two hundred."""
    ids = sorted(matches)
    for at in range(0, len(ids), AT_ONCE):
        _pack(ids[at : at + AT_ONCE])


def waiting(most: int = AT_ONCE) -> list[int]:
    """Return matches that are over and went on since they were packed, the latest first; one query.

    One that is under way is packed by whoever reads it: a worker would do so stroke after stroke.
    """
    packed = PackedMatch.objects.filter(match=OuterRef("match"), seq=OuterRef("seq"), shape=SHAPE)
    behind = MatchProjection.objects.filter(~Exists(packed), status__in=_OVER)
    return list(behind.order_by("-match").values_list("match", flat=True)[:most])


@transaction.atomic
def _pack(ids: list[int]) -> None:
    # What was kept is read before the strokes: what is kept meanwhile makes the row stale, not wrong.
    kept = dict(FollowedMatch.objects.filter(match__in=ids).values_list("match", "kept"))
    seqs = dict(MatchProjection.objects.filter(match__in=ids).values_list("match", "seq"))
    promised = _promised(ids)
    records: dict[tuple[int, str], list[tuple[Any, ...]]] = defaultdict(list)
    rows = StrokeProjection.objects.filter(match__in=ids).order_by("match", "order")
    for stroke in rows.iterator():
        told, source, success, model = promised.get((stroke.match_id, stroke.place), (0, 0, np.nan, 0))
        records[stroke.match_id, stroke.colour].append(
            (
                KINDS.index(stroke.kind),
                min(stroke.set_number, 255),
                min(stroke.inning, _MOST),
                min(stroke.run, _MOST),
                _bits(stroke),
                _family(stroke.family_tried),
                told,
                source,
                stroke.place,
                success,
                model,
            )
        )
    PackedMatch.objects.filter(match__in=ids).delete()
    PackedMatch.objects.bulk_create(
        PackedMatch(
            match_id=pk,
            colour=colour,
            seq=seqs[pk],
            kept=kept.get(pk, 0),
            shape=SHAPE,
            strokes=np.array(records[pk, colour], dtype=STROKE).tobytes(),
        )
        for pk in ids
        if pk in seqs
        for colour in Colour.values
    )


def unpacked(rows: Collection[bytes]) -> tuple[NDArray[np.void], NDArray[np.int64]]:
    """Return the records of packed rows one after the other, and how many each holds."""
    joined = b"".join(bytes(row) for row in rows)
    counts = np.fromiter((len(row) for row in rows), dtype=np.int64, count=len(rows)) // STROKE.itemsize
    return np.frombuffer(joined, dtype=STROKE), counts


def _promised(ids: list[int]) -> dict[tuple[int, int], tuple[int, int, float, int]]:
    """Return (match, place) -> kind, line, success and model of the earliest kind that is kept."""
    found: dict[tuple[int, int], tuple[int, int, float, int]] = {}
    rows = Prediction.objects.filter(match__in=ids).values_list(
        "match", "place", "kind", "source", "success", "model"
    )
    for match, place, kind, source, success, model in rows.iterator():
        mine = (TOLD.index(kind), SOURCES.index(source), success, model)
        if mine < found.get((match, place), (len(TOLD), 0, 0.0, 0)):
            found[match, place] = mine
    return found


def _bits(stroke: StrokeProjection) -> int:
    laid = "layout" in (stroke.details or {})
    marks = (
        (stroke.counts, COUNTS),
        (stroke.opening, OPENING),
        (stroke.extra, EXTRA),
        (laid, LAID),
        (bool(stroke.flags), FLAGGED),
    )
    return sum(bit for set_, bit in marks if set_)


def _family(name: str | None) -> int:
    return FAMILY_NAMES.index(name) if name in FAMILY_NAMES else NO_FAMILY
