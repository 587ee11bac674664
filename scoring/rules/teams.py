"""A season of teams: standings over encounters and boards, and what is told of a line-up beforehand.

Order: match points, board points, sums of points over sums of innings; a board that nobody played is
0/0. Irregular line-ups are warned of before play, never blocked (several regulations).
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

from .handicaps import number, share_of_distance
from .ranking import Met, Row
from .said import Said, said
from .standings import PLAIN, Counting, Result, Side, match_points

TEAM_ORDER = ("match_points", "board_points", "general_average")


@dataclass(frozen=True)
class Encounter:
    """Two teams and their boards, in order; the first side of each board plays for the home team.

    A board that nobody or only one side turned up for is a walkover (winner None: nobody) with sides
    of 0/0. confirmed: by the away captain; what is not confirmed counts for nothing yet.
    disputed: counts, and is not settled. awarded_to: the team that an encounter without play went to.
    """

    home: Hashable
    away: Hashable
    boards: tuple[Result, ...] = ()
    confirmed: bool = True
    disputed: bool = False
    awarded_to: Hashable | None = None


@dataclass(frozen=True)
class Deduction:
    """Points that an organiser takes from a team, with the reason; amounts are above 0."""

    team: Hashable
    reason: str
    match_points: int | Fraction = 0
    board_points: int | Fraction = 0


def board_to_json(board: Result) -> list[Any]:
    """Return a board as it is kept, without the keys of its sides: outcome, winner (0, 1 or None),
    protested, and of each side points, innings, high run, distance and sets."""
    winner = next((at for at, side in enumerate(board.sides) if side.key == board.winner), None)
    sides = [[one.points, one.innings, one.high_run, one.distance, one.sets_won] for one in board.sides]
    return [board.outcome, winner, board.protested, *sides]


def board_from_json(data: Sequence[Any], keys: tuple[Any, Any]) -> Result:
    """Return the board that `board_to_json` told, its sides under these keys."""
    outcome, winner, protested, *told = data
    first, second = (Side(key, *figures) for key, figures in zip(keys, told, strict=True))
    return Result(first, second, outcome, None if winner is None else keys[winner], protested)


def board_points(encounter: Encounter, counting: Counting = PLAIN) -> tuple[int | Fraction, int | Fraction]:
    """Return the board points of the home team and of the away team."""
    home: int | Fraction = 0
    away: int | Fraction = 0
    for board in encounter.boards:
        home += match_points(board, board.first, counting)
        away += match_points(board, board.second, counting)
    return home, away


def encounter_result(
    encounter: Encounter, boards: Counting = PLAIN, encounters: Counting = PLAIN
) -> tuple[int | Fraction, int | Fraction]:
    """Return the match points of home and away: more board points win, as many are a draw.

    Without boards and without an award nobody gets anything.
    """
    if encounter.awarded_to is not None:
        to_home, to_away = (encounter.awarded_to == team for team in (encounter.home, encounter.away))
        return (
            encounters.win if to_home else encounters.loss,
            encounters.win if to_away else encounters.loss,
        )
    if not encounter.boards:
        return encounters.loss, encounters.loss
    home, away = board_points(encounter, boards)
    if home == away:
        return encounters.draw, encounters.draw
    return (encounters.win, encounters.loss) if home > away else (encounters.loss, encounters.win)


def team_rows(
    teams: Iterable[Hashable],
    encounters: Iterable[Encounter],
    *,
    boards: Counting = PLAIN,
    counting: Counting = PLAIN,
    deductions: Iterable[Deduction] = (),
) -> list[Row]:
    """Return a row for every team, to be ranked by TEAM_ORDER or another order.

    boards, counting: what a board brings in board points, an encounter in match points.
    Raises KeyError for a team that is not listed.
    """
    table = {team: Row(team, against={}) for team in teams}
    for one in encounters:
        if not one.confirmed or one.disputed:
            for team in (one.home, one.away):
                table[team] = replace(table[team], pending=table[team].pending + 1)
        if one.confirmed:
            won = encounter_result(one, boards, counting)
            gained = board_points(one, boards)
            for place, (team, other) in enumerate(((one.home, one.away), (one.away, one.home))):
                played = [board.sides[:: 1 - 2 * place] for board in one.boards if _counts(board, boards)]
                table[team] = _added(table[team], other, won[place], gained[place], played)
    for taken in deductions:
        row = table[taken.team]
        table[taken.team] = replace(
            row,
            match_points=row.match_points - taken.match_points,
            board_points=row.board_points - taken.board_points,
        )
    return list(table.values())


def _counts(board: Result, counting: Counting) -> bool:
    return board.outcome is not None and counting.counts[board.outcome] == "all"


def _added(
    row: Row, other: Any, won: int | Fraction, gained: int | Fraction, played: Sequence[tuple[Side, ...]]
) -> Row:
    """Return the row with one encounter more. played: own side and the opponent's, a pair a board."""
    own, theirs = [pair[0] for pair in played], [pair[1] for pair in played]
    points, innings = sum(side.points for side in own), sum(side.innings for side in own)
    met = (row.against or {}).get(other, Met())
    before = met if isinstance(met, Met) else Met(met)
    now = Met(before.match_points + won, before.points + points, before.innings + innings)
    return replace(
        row,
        match_points=row.match_points + won,
        board_points=row.board_points + gained,
        points=row.points + points,
        innings=row.innings + innings,
        high_run=max([row.high_run, *(side.high_run for side in own)]),
        distances=row.distances + sum(side.distance or 0 for side in own),
        sets_won=row.sets_won + sum(side.sets_won for side in own),
        sets_lost=row.sets_lost + sum(side.sets_won for side in theirs),
        against={**(row.against or {}), other: now},
    )


@dataclass(frozen=True)
class Member:
    """One who stands on a line-up. average: None for a newcomer. times: how often as a substitute before."""

    key: Hashable
    name: str
    average: Fraction | None = None
    substitute: bool = False
    times: int = 0


@dataclass(frozen=True)
class LineUpRule:
    """What a league asks of a line-up; None and 0 ask for nothing.

    boards: how many. leeway: how much weaker a player may be than the one on the next board.
    substitute_average: the highest average of a substitute. substitute_percent: the distance of a
    substitute, in per cent of the own one (110 raises it). substitute_times: how often one may play.
    """

    boards: int
    by_average: bool = True
    leeway: Fraction = Fraction(0)
    substitute_average: Fraction | None = None
    substitute_percent: int = 100
    substitute_times: int | None = None


def line_up_warnings(line_up: Sequence[Member], rule: LineUpRule) -> list[Said]:
    """Return what is irregular about a line-up, board 1 first; an empty list: nothing.

    A newcomer without an average may stand on any board, and the others are compared past it.
    """
    told = []
    if len(line_up) != rule.boards:
        told.append(
            said("%(given)s of %(boards)s boards have a player.", given=len(line_up), boards=rule.boards)
        )
    seen: set[Hashable] = set()
    for member in line_up:
        if member.key in seen:
            told.append(said("%(name)s stands on two boards.", name=member.name))
        seen.add(member.key)
        told += _about_substitute(member, rule)
    rated = [(member.average, member.name) for member in line_up if member.average is not None]
    for (upper, name), (lower, following) in pairwise(rated):
        if rule.by_average and lower - upper > rule.leeway:
            told.append(
                said(
                    "%(following)s (%(lower)s) has a higher average than %(name)s (%(upper)s) on a board above.",
                    following=following,
                    lower=number(lower),
                    name=name,
                    upper=number(upper),
                )
            )
    return told


def _about_substitute(member: Member, rule: LineUpRule) -> list[Said]:
    if not member.substitute:
        return []
    told = []
    limit = rule.substitute_average
    if limit is not None and member.average is not None and member.average > limit:
        told.append(
            said(
                "%(name)s (%(average)s) is above the highest average of a substitute (%(limit)s).",
                name=member.name,
                average=number(member.average),
                limit=number(limit),
            )
        )
    if rule.substitute_times is not None and member.times >= rule.substitute_times:
        told.append(
            said(
                "%(name)s has been a substitute as often as one may (%(times)s).",
                name=member.name,
                times=rule.substitute_times,
            )
        )
    return told


def distance_of(member: Member, own: int, rule: LineUpRule) -> int:
    """Return the distance a member plays to: the own one, for a substitute by the rule's percentage."""
    return share_of_distance(own, rule.substitute_percent, "up") if member.substitute else own


def in_order(members: Iterable[Member]) -> list[Member]:
    """Return the members as the boards ask for them, highest average first, newcomers last."""
    return sorted(members, key=lambda one: (one.average is None, -(one.average or Fraction(0))))
