"""What a club's strokes tell together: rates by family, towards which few attempts are drawn, and drift."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from django.db.models import Count, Max, Q
from django.utils import timezone

from analytics.models import ClubFigures, Prediction, SpreadFit
from analytics.reports.played import FAMILY_NAMES
from analytics.reports.shrinking import Club, club
from analytics.reports.spread_learning import NODES
from analytics.spread_fits import chosen_drift
from scoring.models import MatchProjection, StrokeProjection
from scoring.rules.match.entry import STROKES

# It changes slowly and reads every stroke: once in so long is enough.
AGE = datetime.timedelta(hours=6)
# So many players with the most strokes say how much form drifts.
DRIFTING = 8
# A family's ordinary line is told from so many predicted ones on, made before the outcome.
LEAST_LINES = 20
IN_TIME = (Prediction.Kind.BLIND, Prediction.Kind.SAME_TIME)


def club_of(discipline: str) -> Club | None:
    """Return the rates of all players together; None where nobody's families were recorded yet."""
    return club_in(figures_of(discipline))


def figures_of(discipline: str) -> ClubFigures | None:
    """Return what is kept of a discipline; None before anything was worked out."""
    return ClubFigures.objects.filter(discipline=discipline).first()


def club_in(row: ClubFigures | None) -> Club | None:
    """Return the rates of all players together, as `club_of` does, of figures that were read already."""
    if row is None or not row.families.get("attempts"):
        return None
    return _club(_key(row.families["points"]), _key(row.families["attempts"]))


@dataclass(frozen=True)
class Others:
    """The other players of a club: points per miss of each, and points and attempts by family."""

    averages: np.ndarray
    points: np.ndarray
    attempts: np.ndarray


def others_of(discipline: str, players: Collection[int]) -> Others:
    """Return what the others of the club made and tried, without the players of these ids."""
    return others_in(figures_of(discipline), players)


def others_in(row: ClubFigures | None, players: Collection[int]) -> Others:
    """Return what the others made and tried, of figures that were read already."""
    families = row.families if row else {}
    keep = [at for at, pk in enumerate(families.get("players", ())) if pk not in players]
    width = len(families.get("names", ()))
    points, attempts = (
        np.array([families[name][at] for at in keep], dtype=float).reshape(len(keep), width)
        for name in ("points", "attempts")
    )
    made, missed = points.sum(axis=1), (attempts - points).sum(axis=1)
    return Others(made / np.maximum(missed, 1.0), points, attempts)


def disciplines_behind(now: datetime.datetime | None = None) -> list[str]:
    """Return the disciplines whose figures are older than their age and than the last entry."""
    now = now or timezone.now()
    latest = (
        MatchProjection.objects.filter(started_at__isnull=False)
        .order_by()
        .values_list("match__discipline_code")
        .annotate(Max("last_at"))
    )
    known = {row.discipline: row for row in ClubFigures.objects.all()}
    found = []
    for code, last in latest:
        row = known.get(code)
        if row is None or (row.made_at < now - AGE and (row.seen_at is None or last > row.seen_at)):
            found.append(code)
    return found


def do_work_out(discipline: str) -> ClubFigures:
    """Work a club's figures out anew and keep them."""
    seen = MatchProjection.objects.filter(match__discipline_code=discipline).aggregate(at=Max("last_at"))[
        "at"
    ]
    players = SpreadFit.objects.filter(discipline=discipline).exclude(points=[])
    busiest = sorted(players, key=lambda row: -row.points[-1]["strokes"])[:DRIFTING]
    row, _made = ClubFigures.objects.update_or_create(
        discipline=discipline,
        defaults={
            "families": _families(discipline) | {"grids": _grids(discipline)},
            "drift": chosen_drift(discipline, [{one.player_id} for one in busiest]),
            "seen_at": seen,
            "made_at": timezone.now(),
        },
    )
    return row


def _families(discipline: str) -> dict[str, list]:
    rows = (
        StrokeProjection.objects.filter(
            match__discipline_code=discipline,
            kind__in=STROKES,
            counts=True,
            extra=False,
            family_tried__in=FAMILY_NAMES,
            player__isnull=False,
        )
        .order_by()
        .values_list("player", "family_tried")
        .annotate(attempts=Count("pk"), points=Count("pk", filter=Q(kind="point")))
    )
    places = {name: at for at, name in enumerate(FAMILY_NAMES)}
    tried: dict[int, np.ndarray] = defaultdict(lambda: np.zeros((2, len(FAMILY_NAMES)), dtype=int))
    for player, family, attempts, points in rows:
        tried[player][:, places[family]] = attempts, points
    return {
        "names": list(FAMILY_NAMES),
        "players": list(tried),
        "attempts": [one[0].tolist() for one in tried.values()],
        "points": [one[1].tolist() for one in tried.values()],
    }


def _grids(discipline: str) -> list[list[float] | None]:
    """Return the mean success of each family's predicted lines at every spread; None with few of them.

    Of the newest model alone: two models are never pooled.
    """
    tried = {
        (match, place): family
        for match, place, family in StrokeProjection.objects.filter(
            match__discipline_code=discipline,
            family_tried__in=FAMILY_NAMES,
            match__in=Prediction.objects.filter(match__isnull=False).values("match"),
        ).values_list("match", "place", "family_tried")
    }
    sums = {name: (0, np.zeros(len(NODES))) for name in FAMILY_NAMES}
    rows = Prediction.objects.filter(discipline=discipline, match__isnull=False, kind__in=IN_TIME)
    newest = rows.aggregate(model=Max("model"))["model"]
    for match, place, grid in rows.filter(model=newest).values_list("match", "place", "grid").iterator():
        family = tried.get((match, place))
        if family is not None:
            count, total = sums[family]
            sums[family] = (count + 1, total + np.asarray(grid))
    return [
        None if count < LEAST_LINES else (total / count).round(5).tolist() for count, total in sums.values()
    ]


def chances_in(row: ClubFigures | None, spread: float) -> list[float] | None:
    """Return the success of an ordinary line of each family at a spread, nan with few; None without figures."""
    grids = row.families.get("grids") if row else None
    if not grids:
        return None
    logs = np.log(NODES)
    return [
        float("nan") if grid is None else float(np.interp(np.log(spread), logs, np.asarray(grid)))
        for grid in grids
    ]


def _key(rows: list[list[int]]) -> tuple[tuple[int, ...], ...]:
    return tuple(tuple(row) for row in rows)


@lru_cache(maxsize=8)
def _club(points: tuple[tuple[int, ...], ...], attempts: tuple[tuple[int, ...], ...]) -> Club:
    return club(points, attempts)
