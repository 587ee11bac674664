"""The club's season in numbers: what a reader may have counted, and what it adds up to."""

from __future__ import annotations

import datetime
from collections import Counter
from dataclasses import dataclass, replace

from django.db.models import Count
from django.utils import timezone

from analytics.game import Game, game_of
from analytics.played.asked import Asked
from analytics.played.together import read_together
from analytics.report import DEFAULT_DISCIPLINE
from analytics.reports.season import Season, read_season
from scoring.access import PUBLISHED, Actor
from scoring.models import Club, Competition, Match, Player

# Matches that went on since they were last read, and are read anew for one page at most.
AT_ONCE = 200


@dataclass(frozen=True)
class ClubSeason:
    """A season of one discipline, at a moment. names: of the players who stand in lists.

    played_in: disciplines that the reader may see matches of, and competitions with matches, by
    id. unread: matches whose strokes are not counted yet.
    """

    asked: Asked
    game: Game
    season: Season
    names: dict[int, str]
    disciplines: list[str]
    competitions: dict[int, str]
    unread: int
    computed_at: datetime.datetime


def access_season(actor: Actor, asked: Asked) -> Asked:
    """Return what of the club's matches `actor` may have counted: all for organisers, else what is published."""
    return asked if actor.organises_a_club() else replace(asked, published_only=True)


def read_club_season(actor: Actor, asked: Asked, club: Club) -> ClubSeason:
    """Return the season of what is asked; without a discipline, of the one that was played most."""
    asked = access_season(actor, asked)
    seen, competitions = _played_in(asked)
    code = asked.discipline or next(iter(seen), DEFAULT_DISCIPLINE)
    together = read_together(asked.of(code), club, packed_at_once=AT_ONCE)
    season = read_season(together.played)
    found = Player.objects.named().in_bulk({one.player for one in season.high_runs + season.best_averages})
    return ClubSeason(
        asked=asked.of(code),
        game=game_of(code, club),
        season=season,
        names={pk: player.shown_name(actor.names_open) for pk, player in found.items()},
        disciplines=seen,
        competitions=competitions,
        unread=together.unread,
        computed_at=timezone.now(),
    )


def _played_in(asked: Asked) -> tuple[list[str], dict[int, str]]:
    """Return the disciplines that were played, the most played first, and the competitions; two queries."""
    matches = Match.objects.filter(projection__started_at__isnull=False)
    if asked.published_only:
        matches = matches.filter(PUBLISHED)
    seen: Counter[str] = Counter()
    held: set[int] = set()
    rows = matches.order_by().values_list("discipline_code", "competition").annotate(many=Count("pk"))
    for code, competition, many in rows:
        seen[code] += many
        if competition is not None:
            held.add(competition)
    names = Competition.objects.filter(pk__in=held).values_list("pk", "name")
    return [code for code, _many in seen.most_common()], dict(names)
