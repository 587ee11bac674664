"""Fitting players' spreads to their recorded strokes, in the background, and reading what was fitted.

Of each match that ended, the strokes that stand and have a prediction made before anybody looked at
their outcome; one made afterwards only where the player's every stroke of the match was described
(`reports.selecting` says why). The earliest of each. The fit after a match is what later strokes are
predicted with, so none is ever judged by itself. All of it can be worked out again from the ledger
and the kept predictions.
"""

from __future__ import annotations

import datetime
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from django.db.models import Q
from django.utils import timezone

from analytics.models import ClubFigures, Prediction, SpreadFit
from analytics.reports.spread_learning import NODES
from scoring.models import Match, Player, StrokeProjection
from scoring.rules.match.entry import STROKES

# Strokes further back tell little of a hand that drifts, and cost as much; matches told apart.
LATEST_STROKES = 6_000
MOST_POINTS = 60
# Fewer strokes of all players together cannot tell a drift from none.
LEAST_FOR_DRIFT = 600
WEEK = datetime.timedelta(weeks=1)
FIRST = {kind: at for at, kind in enumerate(Prediction.Kind.values)}


@dataclass(frozen=True)
class Recorded:
    """A player's strokes in order of play, as a fit takes them.

    ends : (strokes so far, match, when it ended). chosen : strokes left aside, as they were described
    afterwards in matches of which not all was. older : as only an older model predicted them.
    """

    success: np.ndarray
    made: np.ndarray
    weeks: np.ndarray
    ends: list[tuple[int, int, datetime.datetime]]
    chosen: int = 0
    older: int = 0


def do_mark_behind(match: Match) -> None:
    """Note that the fits of both players of a match that ended are to be made anew."""
    if match.projection.ended_at is None or not Prediction.objects.filter(match=match).exists():
        return
    players = Player.objects.filter(pk__in=match.entrant_ids).values_list("pk", "merged_into")
    for player in {merged or pk for pk, merged in players}:
        SpreadFit.objects.update_or_create(
            player_id=player, discipline=match.discipline_code, defaults={"behind": True}
        )


def do_mark_merged(gone: Player, into: Player) -> None:
    """Note that fits are to be made anew where two records became one, or two again."""
    disciplines = SpreadFit.objects.filter(player__in=(gone, into)).values_list("discipline", flat=True)
    for discipline in set(disciplines):
        for player in (gone, into):
            SpreadFit.objects.update_or_create(
                player=player, discipline=discipline, defaults={"behind": True}
            )


def do_mark_all_behind() -> int:
    """Note that every fit is to be made anew, of every player with a prediction; return how many."""
    matches = Match.objects.filter(pk__in=Prediction.objects.values("match")).select_related("projection")
    for match in matches:
        do_mark_behind(match)
    return SpreadFit.objects.filter(behind=True).count()


def is_behind() -> bool:
    """Tell whether a fit is to be made anew."""
    return SpreadFit.objects.filter(behind=True).exists()


def do_refit() -> int:
    """Make the fits anew that are behind; return how many were made."""
    done = 0
    for row in SpreadFit.objects.filter(behind=True).order_by("made_at", "pk"):
        # First, so that what comes in meanwhile leaves it behind again.
        SpreadFit.objects.filter(pk=row.pk).update(behind=False)
        points = fitted(_ids(row.player_id), row.discipline)
        SpreadFit.objects.filter(pk=row.pk).update(points=points, made_at=timezone.now())
        done += 1
    return done


def fitted(players: Collection[int], discipline: str) -> list[dict[str, Any]]:
    """Return what was known of a player's spread after each match, as it is kept; [] without strokes."""
    from analytics.reports.spreads import Stage, through

    recorded = read_recorded(players, discipline)
    ends = _thinned(recorded.ends)
    if not ends:
        return []
    drift = drift_of(discipline)
    found = through(
        recorded.success, recorded.made, [strokes for strokes, _, _ in ends], recorded.weeks, drift
    )
    return [
        {
            "at": ended.isoformat(),
            "match": match,
            "strokes": one.strokes,
            "median": round(one.median, 4),
            "mode": round(one.mode, 4),
            "low": round(one.interval.low, 4),
            "high": round(one.interval.high, 4),
            "layout_error": round(one.layout_error, 3),
            "drift": drift,
            "stage": one.stage.name.lower(),
            "usable": one.stage in (Stage.SHOWN, Stage.SETTLED),
            "to_settle": one.to_settle,
            "chosen": recorded.chosen,
            "older": recorded.older,
        }
        for (_, match, ended), one in zip(ends, found, strict=True)
    ]


def read_recorded(players: Collection[int], discipline: str) -> Recorded:
    """Return the strokes a fit is made from, the latest 6,000; two queries, three where some were told afterwards."""
    counting = StrokeProjection.objects.filter(
        player__in=players,
        match__discipline_code=discipline,
        match__projection__ended_at__isnull=False,
        counts=True,
        extra=False,
        match__in=Prediction.objects.filter(match__isnull=False).values("match"),
    )
    rows = list(
        counting.filter(kind__in=STROKES)
        .order_by("match__projection__ended_at", "match", "order")
        .values_list("match", "place", "kind", "dated_at", "match__projection__ended_at")
    )
    grids, afterwards, older = _grids({row[0] for row in rows})
    late = {match for match, _place in afterwards}
    silent = Q(details__isnull=True) | ~Q(details__has_key="layout") | Q(kind="inning")
    without = counting.filter(silent, match__in=late).values_list("match", "place") if late else ()
    partly = {key[0] for key in without if key not in grids}
    chosen = {key for key in afterwards if key[0] in partly}
    promised = [row for row in rows if (row[0], row[1]) in grids]
    told = [row for row in promised if (row[0], row[1]) not in chosen][-LATEST_STROKES:]
    ends: list[tuple[int, int, datetime.datetime]] = []
    for at, (match, _place, _kind, _dated, ended) in enumerate(told):
        if ends and ends[-1][1] == match:
            ends.pop()
        ends.append((at + 1, match, ended))
    moments = [row[3] for row in told]
    apart = [0.0] + [max(0.0, (b - a) / WEEK) for a, b in pairwise(moments)]
    return Recorded(
        np.array([grids[row[0], row[1]] for row in told], dtype=float).reshape(len(told), len(NODES)),
        np.array([row[2] == "point" for row in told], dtype=float),
        np.array(apart[: len(told)]),
        ends,
        sum((row[0], row[1]) in chosen for row in promised),
        sum((row[0], row[1]) in older for row in rows),
    )


def _grids(
    matches: Collection[int],
) -> tuple[dict[tuple[int, int], list[float]], set[tuple[int, int]], set[tuple[int, int]]]:
    """Return (match, place) -> success at every spread, of the earliest kind; of the latest model alone.

    And of which strokes that was told afterwards, and which have predictions of older models only.
    """
    rows = Prediction.objects.filter(match__in=matches).values_list("match", "place", "kind", "model", "grid")
    best: dict[tuple[int, int], tuple[int, list[float]]] = {}
    latest = max((row[3] for row in rows), default=0)
    for match, place, kind, model, grid in rows:
        rank = FIRST[kind]
        if model == latest and rank < best.get((match, place), (len(FIRST), []))[0]:
            best[match, place] = (rank, grid)
    afterwards = FIRST[Prediction.Kind.HINDSIGHT]
    return (
        {key: grid for key, (_rank, grid) in best.items()},
        {key for key, (rank, _grid) in best.items() if rank == afterwards},
        {(row[0], row[1]) for row in rows} - best.keys(),
    )


def _thinned(ends: list[tuple[int, int, datetime.datetime]]) -> list[tuple[int, int, datetime.datetime]]:
    """Return at most sixty of the matches, evenly, the last one always."""
    if len(ends) <= MOST_POINTS:
        return ends
    kept = np.unique(np.linspace(0, len(ends) - 1, MOST_POINTS).round().astype(int))
    return [ends[at] for at in kept]


# --- what a club's hands have in common ----------------------------------------


def drift_of(discipline: str) -> float:
    """Return how much form drifts in this club, sd of log s per sqrt(week); none where it was not told yet."""
    row = ClubFigures.objects.filter(discipline=discipline).first()
    return row.drift if row else 0.0


def chosen_drift(discipline: str, players: Iterable[Collection[int]]) -> float:
    """Return the drift whose one-step predictions fared best over these players; 0 with few strokes."""
    from analytics.reports.spreads import Record, choose_drift

    records = []
    for ids in players:
        one = read_recorded(ids, discipline)
        if len(one.made):
            last = slice(-1_000, None)
            records.append(Record(one.success[last], one.made[last], one.weeks[last]))
    enough = sum(len(one.made) for one in records) >= LEAST_FOR_DRIFT
    return choose_drift(records).drift if enough else 0.0


# --- reading what was fitted ---------------------------------------------------


def fit_of(
    players: Collection[int], discipline: str, before: datetime.datetime | None = None
) -> dict[str, Any] | None:
    """Return the latest fit that may be used, of matches that ended before a moment; None without one."""
    for point in reversed(points_of(players, discipline)):
        earlier = before is None or datetime.datetime.fromisoformat(point["at"]) < before
        if earlier:
            return point if point["usable"] else None
    return None


def points_of(players: Collection[int], discipline: str) -> list[dict[str, Any]]:
    """Return what was known of a player's spread after each match, the earliest first; one query."""
    rows = SpreadFit.objects.filter(player__in=players, discipline=discipline)
    return max((row.points for row in rows), key=len, default=[])


def _ids(player: int) -> frozenset[int]:
    return frozenset({player, *Player.objects.filter(merged_into=player).values_list("pk", flat=True)})
