"""A player's report: who may read it, what it is about, and what it adds up to.

The figures are worked out by `analytics.reports`, from one row a match; here they are put together.
"""

from __future__ import annotations

import datetime
from collections import Counter
from dataclasses import dataclass, replace
from functools import cached_property

from django.utils import timezone
from django.utils.translation import gettext

from analytics.club_figures import chances_in, club_in, figures_of
from analytics.played.asked import Asked
from analytics.played.reading import ids_of, read_played
from analytics.remembering import digest, once
from analytics.reports.form import Form, read_form
from analytics.reports.permuting import Streak
from analytics.reports.played import Played
from analytics.reports.running import Running, read_running, read_streak
from analytics.reports.trying import Trying, read_trying
from analytics.spreads import presumed
from scoring.access import Actor, NotVisible, reads_player
from scoring.models import Club, Match, Player
from scoring.practice_rights import coaches_player
from scoring.regulations import disciplines_of
from scoring.rules.averages import shown
from scoring.rules.disciplines import DISCIPLINES

DEFAULT_DISCIPLINE = "three-cushion"


@dataclass(frozen=True)
class Report:
    """What a player's matches of one discipline tell, at a moment; players: the ids it was played under."""

    player: Player
    players: frozenset[int]
    asked: Asked
    discipline_name: str
    decimals: int
    rounding: str
    played: Played
    computed_at: datetime.datetime

    @cached_property
    def digest(self) -> bytes:
        """What was played, as a key of what was worked out from it."""
        return digest(self.played)

    @cached_property
    def form(self) -> Form:
        """Averages, of confirmed matches."""
        return once(("form", self.digest), lambda: read_form(self.played))

    @cached_property
    def running(self) -> Running:
        """Runs and streaks, of every inning that counts."""
        return once(("running", self.digest), lambda: read_running(self.played))

    @cached_property
    def streak(self) -> Streak | None:
        """What follows on two points in a row, against the same strokes in other orders."""
        return once(("streak", self.digest), lambda: read_streak(self.played))

    @cached_property
    def trying(self) -> Trying:
        """Families and promises, of every stroke that counts."""
        figures = figures_of(self.asked.discipline or "")
        club, ordinary = club_in(figures), chances_in(figures, self.spread)
        # The club's rates are a handful of numbers, and written out they are their own key.
        return once(
            ("trying", self.digest, repr(club), repr(ordinary)),
            lambda: read_trying(self.played, club, ordinary),
        )

    @cached_property
    def spread(self) -> float:
        """The player's spread as it is presumed now."""
        return presumed(self.players).spread

    def cut(self, points: int, innings: int) -> str | None:
        """Return an average as its discipline shows it; None without innings."""
        return shown(points, innings, self.decimals, self.rounding)


def access_report(actor: Actor, player: Player, asked: Asked) -> Asked:
    """Return what of a player's matches `actor` may have reported. Raises NotVisible.

    The player, organisers and agreed coaches read everything; others the published matches, where
    the player opened the report.
    """
    if reads_player(actor, player) or coaches_player(actor, player):
        return asked
    if player.report_open:
        return replace(asked, published_only=True)
    raise NotVisible


def read_report(player: Player, asked: Asked, club: Club | None = None) -> Report:
    """Return the report of what is asked; without a discipline, of the one that was played most."""
    club = club or Club.objects.the_first()
    players = ids_of(player)
    code = asked.discipline or _most_played(players)
    game = DISCIPLINES.get(code) or disciplines_of(club).get(code)
    cut = (3, "truncate") if game is None else (game.decimals, game.default_format["average_rounding"])
    return Report(
        player=player,
        players=players,
        asked=asked.of(code),
        discipline_name=code if game is None else gettext(game.name),
        decimals=cut[0],
        rounding=cut[1],
        played=read_played(players, asked.of(code), club),
        computed_at=timezone.now(),
    )


def disciplines_played(players: frozenset[int]) -> list[str]:
    """Return the disciplines a player has matches in, the most played first."""
    seen: Counter[str] = Counter()
    for side in ("entrant_a", "entrant_b"):
        seen.update(
            Match.objects.filter(**{f"{side}__in": players}).values_list("discipline_code", flat=True)
        )
    return [code for code, _count in seen.most_common()]


def _most_played(players: frozenset[int]) -> str:
    return next(iter(disciplines_played(players)), DEFAULT_DISCIPLINE)
