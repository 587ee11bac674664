"""How long matches take: players' own averages and seconds a stroke, out of their finished matches.

Two queries, however many players and matches.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db.models import F, Q, Sum

from scoring.models import ColourProjection, Match
from scoring.rules.durations import Pace, expected_minutes
from scoring.totals import FINISHED

# Where nobody of the field has a finished match (common practice, no source).
PLAIN_INNINGS = 35
PLAIN_SECONDS = 25.0
LEAST_AVERAGE = 0.05
# Of what a clock says only this much is believed; matches of fewer strokes say nothing.
SECONDS = (10.0, 90.0)
LEAST_STROKES = 60
# Warming up, the lag and the signatures, in minutes (common practice).
AROUND = 10
SIGNING = 3
# A match without a distance or a limit.
BOUNDLESS = 60


@dataclass
class Paces:
    """averages: points an inning; seconds: of a stroke; by player id, for those who have any."""

    averages: Mapping[int, float]
    seconds: Mapping[int, float]
    fixed_seconds: int | None = None
    _known: dict[Any, int] = field(default_factory=dict)

    @property
    def field_average(self) -> float | None:
        """The mean of those who have one."""
        return sum(self.averages.values()) / len(self.averages) if self.averages else None

    def pace(self, player: int | None, distance: int | None) -> Pace:
        """Return the pace of a player; of somebody who is not known, that of the field."""
        average = self.averages.get(player or 0, self.field_average)
        if average is None:
            average = (distance or PLAIN_INNINGS) / PLAIN_INNINGS
        seconds: float | None = self.fixed_seconds
        if seconds is None:
            seconds = self.seconds.get(player or 0)
        if seconds is None:
            known = self.seconds.values()
            seconds = sum(known) / len(known) if known else PLAIN_SECONDS
        return Pace(round(max(average, LEAST_AVERAGE), 3), round(seconds, 1))

    def minutes(
        self, players: tuple[int | None, int | None], distances: tuple[int | None, int | None], form: Any
    ) -> int:
        """Return the expected minutes of a whole match; form: the fields of its format."""
        paces = (self.pace(players[0], distances[0]), self.pace(players[1], distances[1]))
        own = self._expected(paces, distances, form.get("innings_limit"))
        # From one more set than half of them to all (common practice, no source).
        sets = form.get("sets_to_win")
        return AROUND + (own if not sets else round(own * (sets + (2 * sets - 1)) / 2))

    def minutes_left(self, match: Match) -> int:
        """Return the expected minutes until a match that is played is over and signed."""
        done = {one.player_id: one for one in match.colour_projections.all()}
        sides = [
            (match.entrant_a_id, match.distance_a, done.get(match.entrant_a_id)),
            (match.entrant_b_id, match.distance_b, done.get(match.entrant_b_id)),
        ]
        far = [
            None if whole is None else max(1, whole - (row.score if row else 0)) for _, whole, row in sides
        ]
        limit = match.format.get("innings_limit")
        played = max((row.innings for _, _, row in sides if row), default=0)
        paces = tuple(self.pace(player, whole) for player, whole, _ in sides)
        left = self._expected(
            (paces[0], paces[1]), (far[0], far[1]), None if limit is None else max(1, limit - played)
        )
        sets = match.format.get("sets_to_win")
        if sets:
            won = max((row.sets for _, _, row in sides if row), default=0)
            whole_set = self._expected((paces[0], paces[1]), (match.distance_a, match.distance_b), limit)
            left += max(0, sets - won - 1) * whole_set
        return left + SIGNING

    def _expected(
        self,
        paces: tuple[Pace, Pace],
        distances: tuple[int | None, int | None],
        limit: int | None,
    ) -> int:
        if limit is None and distances == (None, None):
            return BOUNDLESS
        key = (paces, distances, limit)
        if key not in self._known:
            self._known[key] = expected_minutes(paces, distances, limit, 0)
        return self._known[key]


def read_paces(players: Collection[int], discipline: str, seconds: int | None = None) -> Paces:
    """Return the paces of players in a discipline; seconds: of a stroke, where regulations say them."""
    finished = ColourProjection.objects.filter(
        player__in=list(players),
        counted=True,
        match__discipline_code=discipline,
        match__projection__status__in=FINISHED,
    ).order_by()
    sums = finished.values("player").annotate(points=Sum("points"), innings=Sum("innings"))
    averages = {one["player"]: one["points"] / one["innings"] for one in sums if one["innings"]}
    # Joined to both colours of the match: its time stands in two rows, and the strokes are those of both.
    projection = "match__projection__"
    timed = (
        finished.filter(Q(**{f"{projection}ended_at__gt": F(f"{projection}started_at")}))
        .values("player")
        .annotate(
            time=Sum(F(f"{projection}ended_at") - F(f"{projection}started_at")),
            points=Sum("match__colour_projections__points"),
            innings=Sum("match__colour_projections__innings"),
        )
    )
    found = {}
    for one in timed:
        strokes = one["points"] + one["innings"]
        if strokes >= LEAST_STROKES:
            own = one["time"].total_seconds() / 2 / strokes
            found[one["player"]] = min(max(own, SECONDS[0]), SECONDS[1])
    return Paces(averages, found, seconds)
