"""The promised strokes of everybody, or of one table: packed rows of all matches, and never a stroke at a time."""

from __future__ import annotations

import numpy as np
import pandas as pd
from django.db.models import F, QuerySet
from django.db.models.functions import Coalesce

from analytics.models import PackedMatch
from analytics.reports.belief import Promised
from analytics.reports.played import COUNTS, EXTRA, INNING, POINT
from analytics.reports.selecting import Aside, compared
from scoring.models import Club, ColourProjection, Match

from .asked import Asked, narrowed
from .packing import SHAPE, do_pack, unpacked


def read_promised(asked: Asked, club: Club | None = None) -> tuple[Promised, Aside]:
    """Return the strokes with a promise that count, of all players, of what is asked; and what is left aside.

    Of matches that have predictions at all; whoever was merged into somebody is that somebody. Three
    queries, and four for each two hundred matches that went on since they were last read.
    """
    club = club or Club.objects.the_first()
    matches = narrowed(asked, club).filter(predictions_followed__kept__gt=0)
    sides = {
        (match, colour): player
        for match, colour, player in ColourProjection.objects.filter(
            match__in=matches.values("pk"), player__isnull=False
        ).values_list("match", "colour", Coalesce("player__merged_into", "player"))
    }
    packed = _fresh(matches)
    stale = {match for match, _ in sides} - {match for match, _ in packed}
    if stale:
        do_pack(stale)
        packed = _fresh(matches)
    keys = [key for key in sides if key in packed]
    strokes, counts = unpacked([packed[key] for key in keys])
    players = np.repeat(np.array([sides[key] for key in keys], dtype=np.int64), counts)
    bits = strokes["bits"]
    fit, aside = compared(strokes, np.repeat(np.arange(len(keys)), counts))
    kept = fit & (strokes["kind"] != INNING) & (bits & COUNTS > 0) & (bits & EXTRA == 0)
    told = strokes[kept]
    promised = Promised(
        told["promised"].astype(np.float64),
        told["kind"] == POINT,
        told["told"],
        told["source"],
        players[kept],
    )
    return promised, aside


def disciplines_promised(asked: Asked, club: Club) -> list[str]:
    """Return the disciplines of matches with predictions, that with the most of them first."""
    rows = (
        narrowed(asked.of(None), club)
        .filter(predictions_followed__kept__gt=0)
        .values_list("discipline_code", "predictions_followed__kept")
        .order_by()
    )
    frame = pd.DataFrame.from_records(list(rows), columns=["discipline", "kept"])
    summed = frame.groupby("discipline")["kept"].sum().sort_values(ascending=False, kind="stable")
    return [str(code) for code in summed.index]


def _fresh(matches: QuerySet[Match]) -> dict[tuple[int, str], bytes]:
    rows = PackedMatch.objects.filter(
        match__in=matches.values("pk"),
        shape=SHAPE,
        seq=F("match__projection__seq"),
        kept=F("match__predictions_followed__kept"),
    ).values_list("match", "colour", "strokes")
    return {(match, colour): strokes for match, colour, strokes in rows}
