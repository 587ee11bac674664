"""A player's spread as it is presumed: fitted to recorded strokes, else read off the average.

A fit needs strokes of which position and line were written down; without enough of them the
average says what is usual, where there are innings enough to tell.
"""

from __future__ import annotations

import datetime
from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction

from django.db.models import Sum

from analytics.spread_fits import fit_of
from scoring.models import ColourProjection, Player
from scoring.rules.averages import average, shown
from scoring.totals import FINISHED

REFERENCE = 1.0
# Of three cushions: only for these was it measured how an average goes with a spread.
DISCIPLINE = "three-cushion"
LEAST_INNINGS = 30


@dataclass(frozen=True)
class Presumed:
    """A spread, and what it comes from: strokes it was fitted to, with the interval of 90 %, or the
    average and innings it was read off; none of these where it is the reference."""

    spread: float
    average: Fraction | None = None
    innings: int = 0
    strokes: int = 0
    low: float | None = None
    high: float | None = None

    @property
    def average_text(self) -> str:
        """The average as it is shown: three decimals, the rest cut."""
        made = self.average
        return "" if made is None else shown(made.numerator, made.denominator, 3, "truncate")


def presumed(players: Collection[int], before: datetime.datetime | None = None) -> Presumed:
    """Return the spread of a player, whose ids are given, as known before a moment; two queries.

    Matches count that ended before it. Without a fit that may be used, and with fewer than 30
    innings, it is the reference player's.
    """
    from analytics.aim.lines.players import usual_spread

    fit = fit_of(players, DISCIPLINE, before)
    if fit is not None:
        return Presumed(fit["median"], strokes=fit["strokes"], low=fit["low"], high=fit["high"])
    rows = ColourProjection.objects.filter(
        player__in=players,
        match__discipline_code=DISCIPLINE,
        match__projection__status__in=FINISHED,
        counted=True,
    )
    if before is not None:
        rows = rows.filter(match__projection__ended_at__lt=before)
    sums = rows.aggregate(points=Sum("points"), innings=Sum("innings"))
    innings = sums["innings"] or 0
    if innings < LEAST_INNINGS:
        return Presumed(REFERENCE)
    made = average(sums["points"] or 0, innings)
    return Presumed(usual_spread(float(made or 0)), made, innings)


def spread_of(player: Player | int | None, before: datetime.datetime | None = None) -> float:
    """Return a player's spread as it was known before a moment; now, without one."""
    if player is None:
        return REFERENCE
    pk = player if isinstance(player, int) else player.pk
    merged = Player.objects.filter(merged_into=pk).values_list("pk", flat=True)
    return presumed({pk, *merged}, before).spread
