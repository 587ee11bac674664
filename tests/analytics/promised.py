"""Matches of many strokes with promises, written through the ledger in one go."""

from __future__ import annotations

import uuid

import numpy as np

from analytics.models import FollowedMatch, Prediction
from scoring import ledger
from scoring.models import Match, StrokeProjection
from tests.cast import make_match
from tests.scoring.pages.writing import ORGANISER, opened

FIELDS = {
    "layout": {},
    "cue_ball": "white",
    "line": {},
    "discipline": "three-cushion",
    "parameters": {},
    "spread": 1.0,
    "stderr": 0.01,
    "hits": [],
    "grid": [],
    "strokes": 1024,
    "model": 1,
    "kernels": "",
}


def played(one, two, strokes: int, seed: int = 1, success: float = 0.4, **more) -> Match:
    """Return an open match of so many strokes, whose outcomes are drawn with one chance of success."""
    match = opened(make_match(one, two, distance=(900, 900), **more), one.pk)
    made = np.random.default_rng(seed).random(strokes) < success
    entries = [
        {"uuid": str(uuid.uuid4()), "after": 1 + at, "kind": "point" if point else "miss"}
        for at, point in enumerate(made)
    ]
    for at in range(0, strokes, 100):
        ledger.append_list(match.pk, entries[at : at + 100], ORGANISER)
    return match


def promise(
    match: Match,
    success: float = 0.4,
    kind: str = "blind",
    source: str = "declared",
    colour: str | None = None,
    spread: float = 0.1,
) -> int:
    """Keep a promise of every stroke of a match, or of one colour; return how many.

    Promises rise evenly through the strokes, from `success` - `spread` to `success` + `spread`.
    """
    places = StrokeProjection.objects.filter(match=match).order_by("order")
    if colour is not None:
        places = places.filter(colour=colour)
    listed = list(places.values_list("place", flat=True))
    chances = success + spread * np.linspace(-1.0, 1.0, len(listed))
    Prediction.objects.bulk_create(
        Prediction(match=match, place=place, kind=kind, source=source, success=chance, **FIELDS)
        for place, chance in zip(listed, chances, strict=True)
    )
    followed, _ = FollowedMatch.objects.get_or_create(match=match)
    FollowedMatch.objects.filter(pk=followed.pk).update(kept=followed.kept + len(listed))
    return len(listed)
