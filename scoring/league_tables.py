"""How a season stands: the tables of its divisions, and the list of its players. Seven queries, always.

Everything is worked out from the encounters that the away side answered; a disputed board counts and
leaves the table provisional until an organiser decides.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from django.utils import timezone

from scoring.conducting import read_state
from scoring.models import Competition, CompetitionText, Encounter, Match, MatchProjection, Player, Team
from scoring.regulations import find_discipline
from scoring.rules.averages import shown
from scoring.rules.event.encounters import boards_of
from scoring.rules.event.entry import State
from scoring.rules.event.ranks import lots_of
from scoring.rules.event.season import LeagueRule, rule_of
from scoring.rules.formats import complete_format
from scoring.rules.ranking import Ranked, rank
from scoring.rules.standings import Result, Side, rows
from scoring.rules.teams import TEAM_ORDER, Deduction, board_points, encounter_result, team_rows
from scoring.rules.teams import Encounter as Met

PLAYER_ORDER = ("general_average", "best_average", "high_run")
ORDER = (*TEAM_ORDER, "lot")
OVER = (MatchProjection.Status.OVER, MatchProjection.Status.CONFIRMED)
_OUTCOMES = {
    "concession": "retired",
    "retirement": "retired",
    "walkover": "walkover",
    "award": "award",
    "disqualified": "disqualified",
    "annulled": "annulled",
}


@dataclass(frozen=True)
class Division:
    """A division: its teams as they stand."""

    number: int
    name: str
    ranked: list[Ranked]

    @property
    def provisional(self) -> bool:
        return any(one.provisional for one in self.ranked)


@dataclass(frozen=True)
class League:
    """A season as its pages and answers show it. met: by encounter id, what it counts as."""

    competition: Competition
    state: State
    rule: LeagueRule
    teams: Mapping[int, Team]
    divisions: list[Division]
    encounters: list[Encounter]
    met: Mapping[int, Met]
    players: list[Ranked]
    named: Mapping[int, Player]
    deductions: list[tuple[int, Deduction]]
    decimals: int
    rounding: str
    matches: Mapping[int, list[Match]] = field(default_factory=dict)

    def cut(self, points: int, innings: int) -> str | None:
        """Return an average as it is shown."""
        return shown(points, innings, self.decimals, self.rounding)

    def points_of(self, encounter: Encounter) -> dict[str, tuple[Any, Any]] | None:
        """Return match points and board points, home before away; None for what counts for nothing yet."""
        met = self.met[encounter.pk]
        if not met.confirmed:
            return None
        return {
            "match_points": encounter_result(met, self.rule.board_counting, self.rule.counting),
            "board_points": board_points(met, self.rule.board_counting),
        }

    def step(self, team: int) -> str | None:
        """Return up or down for a team that changes its division, once that is settled."""
        settled = self.state["season"]["settled"] or {"up": [], "down": []}
        return next((way for way in ("up", "down") if team in settled[way]), None)


def late(encounter: Encounter, one: Mapping[str, Any], rule: LeagueRule) -> str | None:
    """Return what is late about an encounter: to be played, or its sheet; None for nothing."""
    if encounter.status not in (Encounter.Status.PLANNED, Encounter.Status.LINED_UP):
        return None
    until = sheet_deadline(encounter, one, rule)
    if until is not None and timezone.now() > until:
        return "sheet"
    return "play" if encounter.due_on is not None and encounter.due_on < timezone.localdate() else None


def sheet_deadline(
    encounter: Encounter, one: Mapping[str, Any], rule: LeagueRule
) -> datetime.datetime | None:
    """Return until when the home side enters the sheet: hours from the end of the day it is played on.

    Where that day is not agreed, from the end of the last one.
    """
    day = encounter.scheduled_on or encounter.due_on
    if one["revealed"] is None or day is None:
        return None
    midnight = datetime.datetime.combine(day, datetime.time.max)
    return timezone.make_aware(midnight) + datetime.timedelta(hours=rule.entry_hours)


def read_league(competition: Competition) -> League:
    """Return how a season stands."""
    state = read_state(competition)
    rule = rule_of(state)
    teams = {
        one.pk: one for one in Team.objects.filter(competition=competition).select_related("captain__name")
    }
    encounters = list(
        Encounter.objects.filter(group__stage__competition=competition)
        .select_related("group", "home", "away")
        .order_by("group__order", "round", "pk")
    )
    by_encounter, named = _matches(competition)
    met = {
        one.pk: meeting(one, state["encounters"].get(str(one.pk)), by_encounter.get(one.pk, []))
        for one in encounters
    }
    deductions = _deductions(state)
    lots = lots_of(state, "teams")
    divisions = []
    for number, part in enumerate(state["season"]["divisions"], 1):
        own = [one for one in encounters if one.group_id == part["group"]]
        taken = [one for _seq, one in deductions if one.team in part["teams"]]
        listed = team_rows(
            part["teams"],
            [met[one.pk] for one in own],
            boards=rule.board_counting,
            counting=rule.counting,
            deductions=taken,
        )
        name = own[0].group.name if own else str(number)
        divisions.append(Division(number, name, rank(listed, ORDER, lots=lots)))
    game = find_discipline(competition.club, competition.discipline)
    form = complete_format(None, competition.format_defaults, game)
    return League(
        competition=competition,
        state=state,
        rule=rule,
        teams=teams,
        divisions=divisions,
        encounters=encounters,
        met=met,
        players=_players(encounters, met, by_encounter),
        named=named,
        deductions=deductions,
        decimals=form["average_decimals"],
        rounding=form["average_rounding"],
        matches=by_encounter,
    )


def _matches(competition: Competition) -> tuple[dict[int, list[Match]], dict[int, Player]]:
    found = (
        Match.objects.filter(competition=competition, encounter__isnull=False)
        .select_related(
            "projection",
            "entrant_a__name",
            "entrant_b__name",
            "entrant_a__merged_into__name",
            "entrant_b__merged_into__name",
        )
        .prefetch_related("colour_projections")
        .order_by("encounter", "board")
    )
    by_encounter: dict[int, list[Match]] = {}
    named: dict[int, Player] = {}
    for match in found:
        by_encounter.setdefault(match.encounter_id or 0, []).append(match)
        for player in (match.entrant_a, match.entrant_b):
            whole = player.merged_into or player
            named.setdefault(whole.pk, whole)
    return by_encounter, named


def result_of(match: Match, keys: tuple[Any, Any]) -> Result:
    """Return a board as a result; keys: whom its first and second player count for."""
    projection, sides = match.projection, []
    figures = {one.player_id: one for one in match.colour_projections.all()}
    for key, pk in zip(keys, match.entrant_ids, strict=True):
        one = figures.get(pk)
        made = (
            Side(key)
            if one is None
            else Side(key, one.points, one.innings, one.high_run, one.distance, one.sets)
        )
        sides.append(made)
    if projection.status not in OVER:
        return Result(*sides, outcome=None)
    won = dict(zip(match.entrant_ids, keys, strict=True))
    flags = projection.state.get("flags", ())
    return Result(
        sides[0],
        sides[1],
        outcome=_OUTCOMES.get(projection.state.get("ended_by") or "", "played"),
        winner=None if projection.winner_id is None else won.get(projection.winner_id),
        protested=any(one.get("code") == "disputed" for one in flags),
    )


def meeting(encounter: Encounter, one: Mapping[str, Any] | None, matches: Iterable[Match]) -> Met:
    """Return an encounter as the tables count it; a board that only one side set up is a walkover of 0/0."""
    home, away = encounter.home_id, encounter.away_id
    if encounter.status == Encounter.Status.AWARDED:
        return Met(home, away, awarded_to=encounter.awarded_to_id)
    answered = encounter.status in (Encounter.Status.CONFIRMED, Encounter.Status.DISPUTED)
    if one is None or one["revealed"] is None:
        return Met(home, away, confirmed=False)
    by_board = {match.board: match for match in matches}
    boards = []
    for number in range(1, boards_of(one) + 1):
        match = by_board.get(number)
        if match is not None:
            boards.append(result_of(match, (home, away)))
            continue
        there = [one["revealed"][side][number - 1] is not None for side in ("home", "away")]
        winner = {(True, False): home, (False, True): away}.get((there[0], there[1]))
        boards.append(Result(Side(home), Side(away), "walkover", winner))
    disputed = encounter.status == Encounter.Status.DISPUTED
    return Met(home, away, tuple(boards), confirmed=answered, disputed=disputed)


def _deductions(state: State) -> list[tuple[int, Deduction]]:
    """Return the points taken from teams, each with the seq of its entry; `reasons_of` says why."""
    held = [one for one in state["deductions"] if "team" in one]
    return [
        (
            one["seq"],
            Deduction(one["team"], "", _exact(one["match_points"]), _exact(one["board_points"])),
        )
        for one in held
    ]


def reasons_of(competition: Competition, kind: str) -> dict[int, str]:
    """Return why entries of a kind were written, by their seq; one query."""
    texts = CompetitionText.objects.filter(entry__competition=competition, entry__kind=kind)
    return {seq: told.get("why", "") for seq, told in texts.values_list("entry__seq", "texts")}


def _exact(text: str) -> Any:
    exact = Fraction(text)
    return exact.numerator if exact.denominator == 1 else exact


def _players(
    encounters: Iterable[Encounter], met: Mapping[int, Met], matches: Mapping[int, list[Match]]
) -> list[Ranked]:
    """Rank the players by the boards that count; exact fractions of points and innings."""
    results = []
    for encounter in encounters:
        one = met[encounter.pk]
        if not one.confirmed or encounter.status == Encounter.Status.AWARDED:
            continue
        for match in matches.get(encounter.pk, []):
            keys = (
                match.entrant_a.merged_into_id or match.entrant_a_id,
                match.entrant_b.merged_into_id or match.entrant_b_id,
            )
            results.append(result_of(match, keys))
    played = [one for one in results if one.outcome not in (None, "annulled", "walkover")]
    keys = {side.key for one in played for side in one.sides}
    return rank(rows(sorted(keys), played), PLAYER_ORDER)
