"""What chance a handicap makes: the first player's, as a range, from all that is known of both.

Told to whoever decides on distances for the whole club: every confirmed match counts, published or not.
"""

from __future__ import annotations

from collections.abc import Sequence

from django.utils import timezone

from scoring.beside import Chance, Pairing
from scoring.models import Club, Player
from scoring.regulations import disciplines_of
from scoring.rules.disciplines import DISCIPLINES

# Averages that stand for each player; a range needs no more.
POINTS = 12


def chances(club: Club, discipline: str, pairings: Sequence[Pairing]) -> list[Chance | None]:
    """Return the chance of the first of each pairing under the usual format of the discipline.

    None where either has played fewer than ten innings. One query for the club, one a player.
    """
    # Loaded when first asked for: the site starts without them.
    from analytics.known import Known, read_known, read_pool
    from analytics.played.asked import Asked, zone_of
    from analytics.reports.forecasts import forecast

    from .wanted import Wanted, default_wanted

    if not pairings:
        return []
    now = timezone.now()
    today = now.astimezone(zone_of(club)).date()
    pool = read_pool(club, discipline, now, published_only=False)
    asked = Asked(discipline=discipline)
    players: dict[int, Player] = {}
    for first, _, second, _ in pairings:
        players |= {first.pk: first, second.pk: second}
    known: dict[int, Known] = {
        pk: read_known(player, asked, club, pool, today) for pk, player in players.items()
    }
    game = DISCIPLINES.get(discipline) or disciplines_of(club).get(discipline)
    usual = default_wanted(discipline, {} if game is None else game.default_format)
    told: list[Chance | None] = []
    for first, own, second, other in pairings:
        both = known[first.pk], known[second.pk]
        if not all(one.enough for one in both):
            told.append(None)
            continue
        race = Wanted(discipline, (own, other), usual.equalizing, usual.innings_limit).rules
        found = forecast(both[0].rating.knowledge, both[1].rating.knowledge, race, points=POINTS)
        told.append(Chance(found.mean, found.interval.low, found.interval.high))
    return told


__all__ = ["chances"]
