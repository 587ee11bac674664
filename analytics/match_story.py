"""A match's story: its innings, what was known of both before it, and what followed."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import accumulate, zip_longest
from typing import Any

from django.utils import timezone

from analytics.played.asked import Asked, zone_of
from analytics.reports.forecasts import Forecast, Knowledge, Lag, forecast
from analytics.reports.races import Rules
from analytics.reports.story import POINTS, story
from analytics.reports.story_parts import Block, Story, blocks_of
from scoring.access import Actor
from scoring.ledger import read_innings
from scoring.models import Match, MatchProjection, Player
from scoring.pages.words import short_name
from scoring.projecting import UNPLAYED
from scoring.rules.match.colours import COLOURS

from .known import Known, known_to, read_known, read_pool, whole

_OVER = (MatchProjection.Status.OVER, MatchProjection.Status.CONFIRMED)


@dataclass(frozen=True)
class MatchStory:
    """A match told: players stand in the order of white and yellow, as they were entered before it began.

    names : as the reader sees them. blocks : sets, then extra innings; empty where no inning is
    known. before : the chance before the first stroke, None where the format says not when a match is
    won. story : None without an inning, or a chance. missing : what is not there, of MISSING. unlike :
    the distances differ and nothing is known of either player, so that they were taken for fair.
    """

    match: Match
    players: tuple[Player, Player]
    names: tuple[str, str]
    blocks: tuple[Block, ...]
    rules: Rules | None
    known: tuple[Known, Known]
    before: Forecast | None
    story: Story | None
    missing: tuple[str, ...]
    unlike: bool

    @property
    def leads(self) -> tuple[int, ...]:
        """Points ahead of the first player after each inning of both, within its set."""
        return tuple(lead for block in self.blocks for lead in leads_of(block))

    @property
    def shares(self) -> tuple[Fraction, ...] | None:
        """The same in shares of the own distance, which say who leads where the distances differ; else None."""
        far = self.rules.distance if self.rules else (None, None)
        if far[0] is None or far[1] is None or far[0] == far[1]:
            return None
        return tuple(lead for block in self.blocks for lead in shares_of(block, (far[0], far[1])))


MISSING = (
    "not-begun",
    "not-played",
    "totals-only",
    "unfinished",
    "inning-under-way",
    "not-confirmed",
    "broken-off",
    "no-format",
    "no-chances",
)
# Ended before somebody had won it at the table.
_BROKEN_OFF = frozenset({"concession", "retirement"})


def read_story(match: Match, actor: Actor) -> MatchStory:
    """Return a match's story, as `actor` may read it."""
    projection = match.projection
    state: Mapping[str, Any] = projection.state
    turned = projection.white_id == match.entrant_b_id
    order = (match.entrant_b, match.entrant_a) if turned else (match.entrant_a, match.entrant_b)
    names = short_name(order[0], actor), short_name(order[1], actor)
    blocks, under_way = _blocks(match, state)
    rules = _rules(match, turned)
    known, unlike = _known(match, actor, order, rules)
    missing = _missing(match, blocks)
    if under_way:
        missing.append("inning-under-way")
    before = told = None
    if rules is None:
        missing.append("no-format")
    else:
        knowledge = _knowledge(known, rules, unlike)
        try:
            lag = _starter(blocks[0]) if blocks else "even"
            before = forecast(*knowledge, rules, lag, points=POINTS)
            if blocks:
                told = story(blocks, rules, knowledge, names)
        except ValueError:
            # A race too long to be worked out, or a sheet that its format does not allow.
            missing.append("no-chances")
    return MatchStory(match, order, names, blocks, rules, known, before, told, tuple(missing), unlike)


def _starter(block: Block) -> Lag:
    return "second" if block.starter else "first"


def _blocks(match: Match, state: Mapping[str, Any]) -> tuple[tuple[Block, ...], bool]:
    """Return the innings that are finished, and whether one was left out because it goes on."""
    blocks = [block for block in blocks_of(read_innings(match)) if any(map(len, block.runs))]
    turn = match.projection.turn
    extra = state.get("extra")
    going_on = turn is not None and bool((state if extra is None else extra).get("open", {}).get(turn))
    if match.projection.status in _OVER or not blocks or not going_on:
        return tuple(blocks), False
    side, last = COLOURS.index(str(turn)), blocks[-1]
    runs = [list(one) for one in last.runs]
    runs[side] = runs[side][:-1]
    blocks[-1] = replace(last, runs=(runs[0], runs[1]))
    return tuple(block for block in blocks if any(map(len, block.runs))), True


def _rules(match: Match, turned: bool) -> Rules | None:
    """Return the race that was agreed, distances in the order of the players; None where it never ends."""
    alternate = bool(match.rule_set.get("sets_alternate_start", True))
    agreed = match.format | {"distance": (match.distance_a, match.distance_b)}
    try:
        return Rules.of_format(agreed, int(turned), alternate)
    except ValueError:
        return None


def _known(
    match: Match, actor: Actor, order: tuple[Player, Player], rules: Rules | None
) -> tuple[tuple[Known, Known], bool]:
    """Return what was known of both the day before, and whether that was nothing at unlike distances."""
    club = match.club
    begins = match.projection.started_at or match.projection.ended_at or timezone.now()
    today = begins.astimezone(zone_of(club)).date()
    asked = Asked(match.discipline_code, until=today - datetime.timedelta(days=1))
    one, two = (player.merged_into or player for player in order)
    may = known_to(actor, one, two, asked), known_to(actor, two, one, asked)
    pool = read_pool(club, match.discipline_code, begins, published_only=not whole(may))
    known = tuple(
        read_known(player, own, club, pool, today) for player, own in zip((one, two), may, strict=True)
    )
    far = rules.distance if rules is not None else (None, None)
    unlike = None not in far and far[0] != far[1] and not any(player.innings for player in known)
    return (known[0], known[1]), unlike


def _knowledge(known: tuple[Known, Known], rules: Rules, unlike: bool) -> tuple[Knowledge, Knowledge]:
    """Return what goes into the race; where nothing is known, unlike distances are taken for fair."""
    first, second = (player.rating.knowledge for player in known)
    if not unlike or rules.distance[0] is None or rules.distance[1] is None:
        return first, second
    # Averages in proportion to the distances, the club's between them.
    ratio = (rules.distance[0] / rules.distance[1]) ** 0.5
    return _scaled(first, ratio), _scaled(second, 1.0 / ratio)


def _scaled(known: Knowledge, ratio: float) -> Knowledge:
    """Return the same knowledge with an average `ratio` times as large."""
    strokes, a = known.a + known.b, known.a / known.b * ratio
    return Knowledge(strokes * a / (1.0 + a), strokes / (1.0 + a), known.form_sd)


def _missing(match: Match, blocks: tuple[Block, ...]) -> list[str]:
    projection = match.projection
    ended_by = projection.state.get("ended_by")
    if projection.status == MatchProjection.Status.PLANNED:
        return ["not-begun"]
    if ended_by in UNPLAYED:
        return ["not-played"]
    found = []
    if projection.status not in _OVER:
        found.append("unfinished")
    elif not blocks:
        found.append("totals-only")
    if ended_by in _BROKEN_OFF:
        found.append("broken-off")
    if projection.status == MatchProjection.Status.OVER:
        found.append("not-confirmed")
    return found


def shares_of(block: Block, far: tuple[int, int]) -> list[Fraction]:
    """Return by how much of the own distance the first player is ahead after each inning of a set."""
    rounds = zip_longest(*block.runs, fillvalue=0)
    return list(accumulate(Fraction(first, far[0]) - Fraction(second, far[1]) for first, second in rounds))


def leads_of(block: Block) -> list[int]:
    """Return the points the first player is ahead by after each inning of a set."""
    rounds = zip_longest(*block.runs, fillvalue=0)
    return list(accumulate(first - second for first, second in rounds))
