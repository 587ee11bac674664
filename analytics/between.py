"""Two players: what happened between them, how strong both are, and what a match would be like.

Chances are ranges, because averages are known badly; distances that would be fair stand beside
those that clubs' rules of thumb give.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Any

import numpy as np
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext

from analytics.played.asked import Asked, narrowed, zone_of
from analytics.played.reading import ids_of
from analytics.reports.fairness import LONGEST, FairDistance, UnderRule, fair_distance, under_rules
from analytics.reports.forecasts import Forecast, forecast
from analytics.reports.races import Rules
from scoring.access import Actor, NotVisible, visible_matches
from scoring.models import Club, ColourProjection, Match, MatchProjection, Player
from scoring.regulations import disciplines_of
from scoring.rules.averages import average, shown
from scoring.rules.disciplines import DISCIPLINES

from .known import Known, access_both, read_known, read_pool, whole
from .report import DEFAULT_DISCIPLINE, disciplines_played
from .wanted import Wanted, default_wanted

# Averages that stand for each player at one of many distances.
POINTS = 16
# Distances at which the chance is worked out, besides those that are named.
PLACES = 21
_OVER = (MatchProjection.Status.OVER, MatchProjection.Status.CONFIRMED)


@dataclass(frozen=True)
class Meeting:
    """A match of the two: the figures of the first and of the second player."""

    match: Match
    first: ColourProjection
    second: ColourProjection

    @property
    def confirmed(self) -> bool:
        return self.match.projection.status == MatchProjection.Status.CONFIRMED


@dataclass(frozen=True)
class Total:
    """What one of two made in their confirmed matches."""

    won: int
    points: int
    innings: int
    high_run: int

    @property
    def average(self) -> Fraction | None:
        return average(self.points, self.innings)


@dataclass(frozen=True)
class Met:
    """The finished matches of two that the reader may see, newest first; totals are of confirmed ones."""

    meetings: tuple[Meeting, ...]

    @cached_property
    def confirmed(self) -> tuple[Meeting, ...]:
        return tuple(one for one in self.meetings if one.confirmed)

    @property
    def pending(self) -> int:
        return len(self.meetings) - len(self.confirmed)

    @cached_property
    def drawn(self) -> int:
        return sum(one.first.outcome == ColourProjection.Outcome.DRAWN for one in self.confirmed)

    @cached_property
    def totals(self) -> tuple[Total, Total]:
        return (
            _total([one.first for one in self.confirmed]),
            _total([one.second for one in self.confirmed]),
        )


def _total(figures: Sequence[ColourProjection]) -> Total:
    played = [one for one in figures if one.counted]
    return Total(
        sum(one.outcome == ColourProjection.Outcome.WON for one in figures),
        sum(one.points for one in played),
        sum(one.innings for one in played),
        max((one.high_run for one in played), default=0),
    )


@dataclass(frozen=True)
class At:
    """The first player's chance at one distance of the first, a draw as half, and its range."""

    distance: int
    chance: float
    low: float
    high: float


@dataclass(frozen=True)
class ByRule:
    """What a rule of thumb makes of two averages, and the first player's chance under it."""

    rule: UnderRule
    forecast: Forecast


@dataclass(frozen=True)
class Between:
    """Two players in one discipline, and a match between them under the format that is asked for."""

    players: tuple[Player, Player]
    names: tuple[str, str]
    discipline: str
    discipline_name: str
    decimals: int
    rounding: str
    asked: Asked
    known: tuple[Known, Known]
    met: Met
    wanted: Wanted
    computed_at: datetime.datetime

    @property
    def enough(self) -> bool:
        """Whether of both there are innings enough for more than counts."""
        return all(one.enough for one in self.known)

    def cut(self, points: int, innings: int) -> str | None:
        """Return an average as its discipline shows it; None without innings."""
        return shown(points, innings, self.decimals, self.rounding)

    @cached_property
    def chance(self) -> Forecast | None:
        """The first player's chance under the format asked for; None below ten innings of either."""
        return self._forecast(self.wanted.rules) if self.enough else None

    @cached_property
    def fair(self) -> FairDistance | None:
        """The first player's fair distance against the second's; None where there is none."""
        if not self.enough:
            return None
        first, second = self._rates
        try:
            return fair_distance((second, first), self.wanted.distance[1])
        except ValueError:
            return None

    @cached_property
    def curve(self) -> tuple[At, ...]:
        """The first player's chance by his distance in a plain race, the second's distance standing."""
        if not self.enough:
            return ()
        own, against = self.wanted.distance
        fair = self.fair.distance if self.fair else own
        low, high = max(1, min(own, fair * 2 // 5)), min(LONGEST, max(own, fair * 8 // 5) + 2)
        far = {round(float(one)) for one in np.linspace(low, high, PLACES)} | {own, fair}
        found = []
        for distance in sorted(far):
            told = self._forecast(Rules((distance, against)), POINTS)
            found.append(At(distance, told.mean, told.interval.low, told.interval.high))
        return tuple(found)

    @cached_property
    def by_rules(self) -> tuple[ByRule, ...]:
        """The distances that rules of thumb give, each with the chance it makes."""
        if not self.enough:
            return ()
        first, second = ((one.points, one.innings) for one in self.known)
        try:
            rules = under_rules((first, second), self._rates)
        except ValueError:
            return ()
        return tuple(ByRule(rule, self._forecast(Rules(rule.distance), POINTS)) for rule in rules)

    @property
    def _rates(self) -> tuple[float, float]:
        first, second = (one.rating.knowledge.p for one in self.known)
        return first, second

    def _forecast(self, rules: Rules, points: int | None = None) -> Forecast:
        first, second = (one.rating.knowledge for one in self.known)
        return (
            forecast(first, second, rules)
            if points is None
            else forecast(first, second, rules, points=points)
        )


def read_pair(pk: int, other: int) -> tuple[Player, Player]:
    """Return two different players, whoever was merged into somebody as that somebody. Raises NotVisible."""
    rows = {row.pk: row for row in Player.objects.named().filter(Q(pk=pk) | Q(pk=other))}
    if len(rows) < 2:
        raise NotVisible
    kept = [rows[one].merged_into_id or one for one in (pk, other)]
    if kept[0] == kept[1]:
        raise NotVisible
    if kept != [pk, other]:
        return read_pair(*kept)
    return rows[pk], rows[other]


def usual_between(one: Player, two: Player, asked: Asked, club: Club) -> Wanted:
    """Return the usual format of the discipline that is asked for; else of the one that both play most."""
    code = asked.discipline or _played_most(ids_of(one), ids_of(two))
    game = DISCIPLINES.get(code) or disciplines_of(club).get(code)
    return default_wanted(code, {} if game is None else game.default_format)


def _played_most(one: frozenset[int], two: frozenset[int]) -> str:
    first, second = disciplines_played(one), disciplines_played(two)
    both = [code for code in first if code in second]
    return next(iter([*both, *first, *second]), DEFAULT_DISCIPLINE)


def read_between(actor: Actor, one: Player, two: Player, asked: Asked, wanted: Wanted, club: Club) -> Between:
    """Return what is known of two players in one discipline, as `actor` may read it. Raises NotVisible."""
    code = wanted.discipline
    asked = asked.of(code)
    first, second = access_both(actor, one, two, asked)
    game = DISCIPLINES.get(code) or disciplines_of(club).get(code)
    cut = (3, "truncate") if game is None else (game.decimals, game.default_format["average_rounding"])
    now = timezone.now()
    today = now.astimezone(zone_of(club)).date()
    on = min(today, asked.until) if asked.until else today
    pool = read_pool(club, code, now, published_only=not whole((first, second)))
    return Between(
        players=(one, two),
        names=(one.shown_name(actor.names_open), two.shown_name(actor.names_open)),
        discipline=code,
        discipline_name=code if game is None else gettext(game.name),
        decimals=cut[0],
        rounding=cut[1],
        asked=asked,
        known=(read_known(one, first, club, pool, on), read_known(two, second, club, pool, on)),
        met=read_met(actor, one, two, asked, club),
        wanted=wanted,
        computed_at=now,
    )


def read_met(actor: Actor, one: Player, two: Player, asked: Asked, club: Club) -> Met:
    """Return the finished matches between two players that `actor` may read; two queries."""
    pair = _pair("entrant_a", one, "entrant_b", two) | _pair("entrant_a", two, "entrant_b", one)
    rows = (
        narrowed(asked, club)
        .filter(pair, projection__status__in=_OVER, pk__in=visible_matches(actor).values("pk"))
        .shown()
        .prefetch_related("colour_projections__player")
        .order_by("-played_at", "-pk")
    )
    found = []
    for match in rows:
        sides: dict[Any, ColourProjection] = {}
        for figures in match.colour_projections.all():
            if figures.player is not None:
                sides[figures.player.merged_into_id or figures.player_id] = figures
        if one.pk in sides and two.pk in sides:
            found.append(Meeting(match, sides[one.pk], sides[two.pk]))
    return Met(tuple(found))


def _pair(side: str, one: Player, other_side: str, two: Player) -> Q:
    """Return matches in which one player stands on one side, whoever was merged into somebody being that one."""
    first = Q(**{side: one.pk}) | Q(**{f"{side}__merged_into": one.pk})
    second = Q(**{other_side: two.pk}) | Q(**{f"{other_side}__merged_into": two.pk})
    return first & second
