"""A competition's standings: a projection of its confirmed matches, whose order nobody disputes.

Three queries, however many matches. Names are as the reader may see them; values are compared as
exact fractions and shown as the competition cuts its averages.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from scoring.access import Actor
from scoring.models import Competition, Group, Match, MatchProjection, Player, Stage
from scoring.regulations import find_discipline
from scoring.rules.averages import shown
from scoring.rules.formats import complete_format
from scoring.rules.ranking import CRITERIA, DEFAULT_ORDER, Ranked, rank
from scoring.rules.standings import Result, Side, rows

# How a match ended -> what it is for the sums.
_OUTCOMES = {
    "concession": "retired",
    "retirement": "retired",
    "walkover": "walkover",
    "award": "award",
    "disqualified": "disqualified",
    "annulled": "annulled",
}
CSV_HEAD = (
    "rank",
    "shared",
    "player",
    "name",
    "played",
    "match_points",
    "points",
    "innings",
    "average",
    "best_average",
    "high_run",
    "separated_by",
)


@dataclass(frozen=True)
class Standings:
    """The ranked rows, the players they are of, how often each played, and how averages are cut."""

    ranked: list[Ranked]
    players: dict[int, Player]
    played: dict[int, int]
    decimals: int
    rounding: str

    @property
    def provisional(self) -> bool:
        """Whether matches are still to come."""
        return any(one.provisional for one in self.ranked)

    def to_json(self, actor: Actor) -> list[dict[str, Any]]:
        """Return the rows as they are answered; `name` as the reader may see it."""
        return [self._row(one, actor) for one in self.ranked]

    def _row(self, one: Ranked, actor: Actor) -> dict[str, Any]:
        row, player = one.row, self.players[one.row.key]
        return {
            "rank": one.rank,
            "shared": one.shared,
            "player": row.key,
            "name": player.shown_name(actor.names_open),
            "played": self.played[row.key],
            "match_points": _number(row.match_points),
            "points": row.points,
            "innings": row.innings,
            "average": self.cut(row.points, row.innings),
            "best_average": self.cut(*row.best) if row.best else None,
            "high_run": row.high_run,
            "separated_by": one.separated_by,
        }

    def cut(self, points: int, innings: int) -> str | None:
        """Return an average as it is shown."""
        return shown(points, innings, self.decimals, self.rounding)


def read_standings(
    competition: Competition, *, group: Group | None = None, stage: Stage | None = None
) -> Standings:
    """Rank everybody who has a match in a competition, or in a part of it, by the confirmed matches."""
    part = {} if stage is None else {"group__stage": stage}
    part |= {} if group is None else {"group": group}
    matches = list(
        Match.objects.filter(competition=competition, **part)
        .select_related(
            "projection",
            "entrant_a__name",
            "entrant_b__name",
            "entrant_a__merged_into__name",
            "entrant_b__merged_into__name",
        )
        .prefetch_related("colour_projections")
        .order_by("pk")
    )
    players: dict[int, Player] = {}
    for match in matches:
        for player in (match.entrant_a, match.entrant_b):
            whole = player.merged_into or player
            players.setdefault(whole.pk, whole)
    results = [_result(match) for match in matches]
    ranked = rank(rows(players, results), DEFAULT_ORDER)
    game = find_discipline(competition.club, competition.discipline)
    form = complete_format(None, competition.format_defaults, game)
    return Standings(
        ranked=ranked,
        players=players,
        played=_played(results, players),
        decimals=form["average_decimals"],
        rounding=form["average_rounding"],
    )


def _result(match: Match) -> Result:
    """Return a match as a result: not played yet until it is confirmed."""
    projection = match.projection
    figures = {one.player_id: one for one in match.colour_projections.all()}
    sides = []
    keys = {one.pk: one.merged_into_id or one.pk for one in (match.entrant_a, match.entrant_b)}
    for pk, key in keys.items():
        one = figures.get(pk)
        sides.append(
            Side(key)
            if one is None
            else Side(
                key,
                points=one.points,
                innings=one.innings,
                high_run=one.high_run,
                distance=one.distance,
                sets_won=one.sets,
            )
        )
    first, second = sides
    if projection.status != MatchProjection.Status.CONFIRMED:
        return Result(first, second, outcome=None)
    ended = projection.state.get("ended_by")
    disputed = any(flag.get("code") == "disputed" for flag in projection.state.get("flags", ()))
    return Result(
        first,
        second,
        outcome=_OUTCOMES.get(ended or "", "played"),
        winner=None if projection.winner_id is None else keys.get(projection.winner_id),
        protested=disputed,
    )


def _played(results: Iterable[Result], players: Iterable[int]) -> dict[int, int]:
    counts = dict.fromkeys(players, 0)
    for result in results:
        if result.outcome not in (None, "annulled"):
            for side in result.sides:
                counts[side.key] += 1
    return counts


def _number(value: int | Fraction) -> int | float:
    """Return match points as a JSON number."""
    exact = Fraction(value)
    return exact.numerator if exact.denominator == 1 else float(exact)


def exactly(value: int | Fraction | None) -> str:
    """Return a compared value in full: a whole number, a fraction, or a dash."""
    if value is None:
        return "–"
    exact = Fraction(value)
    return str(exact.numerator) if exact.denominator == 1 else f"{exact.numerator}/{exact.denominator}"


def criterion_name(code: str | None) -> Any:
    """Return a criterion in words, to be spoken; None for none."""
    return CRITERIA[code] if code else None
