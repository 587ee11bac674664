"""The prizes of a competition, out of its confirmed matches, by its own rules."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from scoring.models import Competition, Player
from scoring.regulations import find_discipline
from scoring.rules.averages import shown
from scoring.rules.event.regulations import PrizeRule, Regulations
from scoring.rules.event.tallies import Entrants, result_of
from scoring.rules.formats import complete_format
from scoring.rules.prizes import Performance, Prize, prize
from scoring.summing import Played, read_entrants, read_played


@dataclass(frozen=True)
class Given:
    """A prize with its rule. value: as it is shown, None while nobody holds it."""

    rule: PrizeRule
    prize: Prize
    value: str | None


@dataclass(frozen=True)
class Prizes:
    """The prizes that are given, and the players who hold any."""

    given: list[Given]
    players: Mapping[int, Player]


def read_prizes(competition: Competition) -> Prizes:
    """Return the prizes as they stand; five queries, however many matches."""
    regulations = Regulations.stored(competition.regulations)
    entrants = read_entrants(competition.pk)
    played = read_played(competition.pk, None, regulations)
    performances = list(performances_of(played, regulations, entrants))
    found = [(rule, prize(rule.name, performances, rule.least_innings)) for rule in regulations.prizes]
    holders = {one.key for _, won in found for one in won.holders}
    rows = Player.objects.filter(pk__in=holders).select_related("name", "merged_into__name")
    game = find_discipline(competition.club, competition.discipline)
    form = complete_format(None, competition.format_defaults, game)
    cut = form["average_decimals"], form["average_rounding"]
    return Prizes(
        [Given(rule, won, _shown(won, *cut)) for rule, won in found],
        {player.pk: player.merged_into or player for player in rows},
    )


def performances_of(
    played: Iterable[Played], regulations: Regulations, entrants: Entrants
) -> Iterable[Performance]:
    """Return what each player made in each match that counts and was played."""
    for one in played:
        result = result_of(one.tally, regulations, entrants)
        if result.outcome not in ("played", "retired"):
            continue
        for made in one.tally.sides:
            yield Performance(
                key=made.key,
                match=one.match,
                points=made.points,
                innings=made.innings,
                high_run=made.high_run,
                won=result.winner == made.key,
                finished=result.outcome == "played",
                reached=made.distance is not None and made.points >= made.distance,
            )


def _shown(won: Prize, decimals: int, rounding: str) -> str | None:
    if not won.holders or won.value is None:
        return None
    first = won.holders[0]
    if won.name == "best-average":
        return shown(first.points, first.innings, decimals, rounding)
    return str(won.value)
