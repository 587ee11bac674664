"""How a season stands: the tables of its divisions, and the list of its players. Seven queries, always.

Everything is worked out from the encounters that the away side answered, by what is kept of their boards
(`encounter_sums`); a disputed board counts and leaves the table provisional until an organiser decides.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from django.utils import timezone

from scoring.conducting import read_state
from scoring.counted_as import counted_as
from scoring.models import Competition, CompetitionText, Encounter, EncounterSums, Player, Team
from scoring.regulations import find_discipline
from scoring.rules.averages import shown
from scoring.rules.event.encounters import SIDES, meets, pairs_of
from scoring.rules.event.entry import State
from scoring.rules.event.ranks import lots_of
from scoring.rules.event.season import LeagueRule, rule_of
from scoring.rules.formats import complete_format
from scoring.rules.ranking import Ranked, rank
from scoring.rules.standings import Result, Side, rows
from scoring.rules.teams import (
    TEAM_ORDER,
    Deduction,
    board_from_json,
    board_points,
    encounter_result,
    team_rows,
)
from scoring.rules.teams import Encounter as Met

PLAYER_ORDER = ("general_average", "best_average", "high_run")
ORDER = (*TEAM_ORDER, "lot")


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

    def cut(self, points: int, innings: int) -> str | None:
        """Return an average as it is shown."""
        return shown(points, innings, self.decimals, self.rounding)

    def points_of(self, encounter: Encounter) -> dict[str, tuple[Any, Any]] | None:
        """Return match points and board points, home before away; None for what counts for nothing yet."""
        met = self.met[encounter.pk]
        if not met.confirmed or encounter.status == Encounter.Status.ANNULLED:
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
        .select_related("group")
        .defer("home_line_up", "away_line_up", "uuid")
        .order_by("group__order", "round", "pk")
    )
    sums = EncounterSums.objects.filter(encounter__group__stage__competition=competition)
    kept = dict(sums.values_list("encounter", "boards"))
    for one in encounters:
        # The teams that were read, in place of a copy for each encounter.
        one.home, one.away = teams[one.home_id], teams[one.away_id]
    told = {one.pk: state["encounters"].get(str(one.pk)) for one in encounters}
    met = {one.pk: meeting(one, told[one.pk], kept.get(one.pk, {})) for one in encounters}
    named = _whole(competition, told.values())
    deductions = _deductions(state)
    lots = lots_of(state, "teams")
    divisions = []
    for number, part in enumerate(state["season"]["divisions"], 1):
        own = [one for one in encounters if one.group_id == part["group"]]
        taken = [one for _seq, one in deductions if one.team in part["teams"]]
        listed = team_rows(
            part["teams"],
            [met[one.pk] for one in own if one.status != Encounter.Status.ANNULLED],
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
        players=_players(encounters, met, told, kept, named),
        named=named,
        deductions=deductions,
        decimals=form["average_decimals"],
        rounding=form["average_rounding"],
    )


def _whole(competition: Competition, told: Iterable[Mapping[str, Any] | None]) -> dict[int, Player]:
    """Return who stood on a board, under the id it names: the record that it counts as.

    That record stands under its own id too.
    """
    ids = {
        pk
        for one in told
        if one is not None and one["revealed"] is not None
        for side in SIDES
        for pk in one["revealed"][side]
        if pk is not None
    }
    rows = Player.objects.select_related("name", "merged_into__name").filter(pk__in=ids)
    whole = counted_as(rows, competition.closed_at)
    return whole | {one.pk: one for one in whole.values()}


def meeting(encounter: Encounter, one: Mapping[str, Any] | None, kept: Mapping[str, Any]) -> Met:
    """Return an encounter as the tables count it; kept: its boards, as `EncounterSums` has them.

    A board that only one side set up is a walkover of 0/0.
    """
    home, away = encounter.home_id, encounter.away_id
    if encounter.status == Encounter.Status.ANNULLED:
        return Met(home, away)
    if encounter.status == Encounter.Status.AWARDED:
        return Met(home, away, awarded_to=encounter.awarded_to_id)
    answered = encounter.status in (Encounter.Status.CONFIRMED, Encounter.Status.DISPUTED)
    if one is None or one["revealed"] is None:
        return Met(home, away, confirmed=False)
    boards = []
    for number, pair in enumerate(pairs_of(one), 1):
        if meets(pair):
            data = kept.get(str(number))
            pending = Result(Side(home), Side(away), outcome=None)
            boards.append(pending if data is None else board_from_json(data, (home, away)))
            continue
        there = [player is not None for player in pair]
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
    encounters: Iterable[Encounter],
    met: Mapping[int, Met],
    told: Mapping[int, Mapping[str, Any] | None],
    kept: Mapping[int, Mapping[str, Any]],
    named: Mapping[int, Player],
) -> list[Ranked]:
    """Rank the players by the boards that count; exact fractions of points and innings."""
    played = []
    for encounter in encounters:
        one = told[encounter.pk]
        # An encounter that was awarded or annulled has no boards here.
        if one is None or not met[encounter.pk].confirmed or not met[encounter.pk].boards:
            continue
        for number, pair in enumerate(pairs_of(one), 1):
            data = kept.get(encounter.pk, {}).get(str(number))
            if data is not None and meets(pair):
                board = board_from_json(data, (named[pair[0] or 0].pk, named[pair[1] or 0].pk))
                if board.outcome not in ("annulled", "walkover"):
                    played.append(board)
    found = {side.key for one in played for side in one.sides}
    return rank(rows(sorted(found), played), PLAYER_ORDER)
