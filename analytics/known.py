"""What is known of two players at a moment, and of whom a reader may know it.

Nobody is told more of a player than the player's report would tell: whoever may not read it is
told what two players did against each other, if one of them asks, and nothing else.
"""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from analytics.played.asked import Asked
from analytics.played.reading import ids_of, read_played
from analytics.reports.averages import Sheet
from analytics.reports.common import OF_RATES
from analytics.reports.form import Form, read_form
from analytics.reports.intervals import LEAST_INNINGS
from analytics.reports.played import Played
from analytics.reports.strength import Rating, club_prior, form_weighted, pooled_form
from scoring.access import Actor, NotVisible
from scoring.models import Club, ColourProjection, MatchProjection, Player

from .report import access_report

# So many of the club's latest sheets say what its players are like.
OF_CLUB = 2_000


@dataclass(frozen=True)
class Pool:
    """The club's players together: points, misses, and how far form moves them from match to match."""

    points: int
    misses: int
    form_sd: float | None

    @property
    def prior(self) -> tuple[float, float]:
        """What is believed of a player before any stroke."""
        return club_prior(self.points, self.misses)


@dataclass(frozen=True)
class Known:
    """What confirmed matches tell of a player at a moment; asked None: the reader may not know it."""

    player: Player
    asked: Asked | None
    played: Played | None
    sheets: Sequence[Sheet]
    rating: Rating

    @cached_property
    def form(self) -> Form | None:
        """Averages of these matches, None where the reader may not know them."""
        return None if self.played is None else read_form(self.played)

    @property
    def matches(self) -> int:
        return sum(sheet.innings > 0 for sheet in self.sheets)

    @property
    def points(self) -> int:
        return sum(sheet.points for sheet in self.sheets)

    @property
    def innings(self) -> int:
        return sum(sheet.innings for sheet in self.sheets)

    @property
    def enough(self) -> bool:
        """Whether there are innings enough for more than counts."""
        return self.innings >= LEAST_INNINGS

    @property
    def of(self) -> str:
        """Of which matches the reader may know: all, published ones, those between the two, none."""
        if self.asked is None:
            return "none"
        if self.asked.opponent is not None:
            return "mutual"
        return "published" if self.asked.published_only else "all"


def known_to(actor: Actor, player: Player, other: Player, asked: Asked) -> Asked | None:
    """Return which matches of a player `actor` may have figures of, None for none.

    As the player's report has it; and what the actor and the player did against each other.
    """
    try:
        return access_report(actor, player, asked)
    except NotVisible:
        return replace(asked, opponent=other.pk) if other.pk in actor.own_players else None


def access_both(actor: Actor, one: Player, two: Player, asked: Asked) -> tuple[Asked, Asked]:
    """Return which matches of two players `actor` may compare. Raises NotVisible.

    Whoever may read both reports; and either of the two, of the other one as `known_to` says.
    """
    first, second = known_to(actor, one, two, asked), known_to(actor, two, one, asked)
    if first is None or second is None:
        raise NotVisible
    return first, second


def whole(asked: Sequence[Asked | None]) -> bool:
    """Whether every match is open to the reader, so that the whole club may be spoken of."""
    return all(one is not None and not one.published_only and one.opponent is None for one in asked)


def read_pool(club: Club, discipline: str, until: datetime.datetime | None, published_only: bool) -> Pool:
    """Return what the club's players are like together, out of sheets confirmed before a moment; one query."""
    sheets = ColourProjection.objects.filter(
        match__club=club,
        match__discipline_code=discipline,
        match__projection__status=MatchProjection.Status.CONFIRMED,
        counted=True,
        innings__gt=0,
        player__isnull=False,
    )
    if until is not None:
        sheets = sheets.filter(match__projection__ended_at__lt=until)
    if published_only:
        sheets = sheets.filter(match__competition__published=True)
        sheets = sheets.exclude(match__competition__withheld__contains="sheets")
    rows = sheets.order_by("-match__projection__ended_at", "-match", "colour").values_list(
        "player", "points", "innings", "distance"
    )
    players: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for player, points, innings, distance in rows[:OF_CLUB]:
        players[player].append((points, max(0, innings - (points == distance))))
    every = [sheet for own in players.values() for sheet in own]
    return Pool(
        sum(points for points, _ in every),
        sum(missed for _, missed in every),
        pooled_form([*players.values()]),
    )


def read_known(
    player: Player, asked: Asked | None, club: Club, pool: Pool, on: datetime.date, level: float = OF_RATES
) -> Known:
    """Return what is known of a player on a day; matches weigh less the older they are."""
    played = None if asked is None else read_played(ids_of(player), asked, club)
    sheets = [] if played is None else played.sheets()
    days = [] if played is None else [day.date() for day in played.official["date"]]
    table = [
        (sheet.points, sheet.misses, float(max(0, (on - day).days)))
        for sheet, day in zip(sheets, days, strict=True)
    ]
    rating = form_weighted(table, prior=pool.prior, club_form=pool.form_sd, level=level)
    return Known(player, asked, played, sheets, rating)
