"""A player's totals: sums over the colour rows of matches, exact to the end.

Only matches that are over or confirmed count, and only where they were played: a
walkover adds nothing. Averages are fractions; they are cut when they are shown.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from django.db.models import Count, F, Max, Q, QuerySet, Sum

from scoring.models import ColourProjection, Match, MatchProjection
from scoring.rules.averages import average, shown
from scoring.rules.disciplines import DISCIPLINES

FINISHED = (MatchProjection.Status.OVER, MatchProjection.Status.CONFIRMED)


@dataclass(frozen=True)
class Totals:
    """What a player made in one discipline; `best` is the best single match as (points, innings)."""

    discipline: str
    name: str
    decimals: int
    rounding: str
    matches: int
    won: int
    drawn: int
    lost: int
    points: int
    innings: int
    high_run: int
    best: tuple[int, int] | None
    best_match: int | None

    @property
    def general(self) -> Fraction | None:
        """The general average, exactly; None without innings."""
        return average(self.points, self.innings)

    @property
    def general_text(self) -> str | None:
        return shown(self.points, self.innings, self.decimals, self.rounding)

    @property
    def best_text(self) -> str | None:
        if self.best is None:
            return None
        return shown(*self.best, self.decimals, self.rounding)


def read_totals(players: Collection[int], matches: QuerySet[Match]) -> list[Totals]:
    """Return the totals of a player, a row a discipline, over `matches`; most matches first.

    players: the player's ids, merged ones included. Two queries, however many matches; a third for a club's own disciplines.
    """
    rows = ColourProjection.objects.filter(
        player__in=players, match__in=matches, match__projection__status__in=FINISHED, counted=True
    ).order_by()
    kind = ColourProjection.Outcome
    sums = rows.values(code=F("match__discipline_code")).annotate(
        matches=Count("pk"),
        won=Count("pk", filter=Q(outcome=kind.WON)),
        drawn=Count("pk", filter=Q(outcome=kind.DRAWN)),
        lost=Count("pk", filter=Q(outcome=kind.LOST)),
        points=Sum("points"),
        innings=Sum("innings"),
        high_run=Max("high_run"),
    )
    best = _best(rows)
    games = _games(best)
    found = []
    for row in sums:
        code = row.pop("code")
        top, game = best.get(code), games.get(code, {})
        found.append(
            Totals(
                discipline=code,
                name=game.get("name", code),
                decimals=game.get("decimals", 3),
                rounding=game.get("rounding", "truncate"),
                best=None if top is None else (top[0], top[1]),
                best_match=None if top is None else top[2],
                **row,
            )
        )
    return sorted(found, key=lambda one: (-one.matches, one.discipline))


def _games(best: Mapping[str, tuple[int, int, int]]) -> dict[str, dict[str, Any]]:
    """Return discipline -> name, decimals and rounding; a club's own from its best match's copy."""
    own = [top[2] for code, top in best.items() if code not in DISCIPLINES]
    copies = Match.objects.filter(pk__in=own).values_list("discipline", flat=True) if own else []
    data = [one.to_json() for one in DISCIPLINES.values()] + list(copies)
    return {
        one["code"]: {
            "name": one["name"],
            "decimals": one["decimals"],
            "rounding": one["default_format"]["average_rounding"],
        }
        for one in data
    }


def _best(rows: QuerySet[ColourProjection]) -> dict[str, tuple[int, int, int]]:
    """Return discipline -> (points, innings, match) of the best single match.

    Compared as fractions, in Python: a database would compare floats. Of equal averages
    the one over more innings, then the latest; equal scores arrive as one row.
    """
    best: dict[str, tuple[int, int, int]] = {}
    grouped = rows.filter(innings__gt=0).values_list("match__discipline_code", "points", "innings")
    for code, points, innings, match in grouped.annotate(latest=Max("match")):
        have = best.get(code)
        mine = (Fraction(points, innings), innings, match)
        if have is None or mine > (Fraction(have[0], have[1]), have[1], have[2]):
            best[code] = (points, innings, match)
    return best
