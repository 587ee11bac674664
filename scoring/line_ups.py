"""Line-ups as they are read: who stands on them, what is irregular, and whether distances fit a match."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from scoring.models import Encounter, Player, SquadMember
from scoring.rules.event.encounters import SIDES, line_up
from scoring.rules.event.entry import State
from scoring.rules.event.season import LeagueRule, rule_of
from scoring.rules.formats import LONGEST_DISTANCE
from scoring.rules.said import Malformed, Said, said
from scoring.rules.teams import Member, distance_of, line_up_warnings


def own_line_up(encounter: Encounter, side: str) -> list[int | None] | None:
    """Return what a side entered, shown or not: for its captain alone until both are in."""
    kept = getattr(encounter, f"{side}_line_up")
    return kept["players"] if isinstance(kept, dict) else kept


def members_of(
    encounter: Encounter, side: str, players: Sequence[int | None], state: State
) -> list[tuple[int, Member, SquadMember | None]]:
    """Return (board, member, row of the squad) of each board of a line-up where somebody stands."""
    team = encounter.home if side == "home" else encounter.away
    rows = {one.player_id: one for one in SquadMember.objects.filter(team=team, until=None)}
    named = Player.objects.named().in_bulk([one for one in players if one is not None])
    before = _substituted(state, team.pk, encounter.pk)
    found = []
    for board, pk in enumerate(players, 1):
        if pk is None:
            continue
        if pk not in named:
            raise Malformed(f"players.{board - 1}", said("There is no such player."))
        row = rows.get(pk)
        average = None if row is None or not row.innings else Fraction(row.points or 0, row.innings)
        substitute = row is None or row.substitute
        member = Member(pk, named[pk].full_name, average, substitute, before.count(pk))
        found.append((board, member, row))
    return found


def check_distances(
    encounter: Encounter, side: str, players: Sequence[int | None], state: State, only: int | None = None
) -> None:
    """Check that everybody's distance fits a match; only: of that board.

    Raises Malformed (`players.2`, or `player` for one board) with what it would be.
    """
    rule = rule_of(state).line_up
    for board, member, row in members_of(encounter, side, players, state):
        if row is None or row.distance is None or only not in (None, board):
            continue
        wanted = distance_of(member, row.distance, rule)
        if wanted > LONGEST_DISTANCE:
            raise Malformed(
                f"players.{board - 1}" if only is None else "player",
                said(
                    "%(name)s would play to %(wanted)s, %(percent)s %% of %(own)s; a match goes to %(most)s at "
                    "most. Register the player with a lower distance.",
                    name=member.name,
                    wanted=wanted,
                    percent=rule.substitute_percent,
                    own=row.distance,
                    most=LONGEST_DISTANCE,
                ),
            )


def _substituted(state: State, team: int, but: int) -> list[int]:
    """Return who stood in for a team as a substitute in its encounters, once for each."""
    squad = state["season"]["teams"].get(str(team), {}).get("squad", {})
    found = []
    for key, one in state["encounters"].items():
        if one["revealed"] is None or key == str(but):
            continue
        for side in SIDES:
            if one[side] == team:
                players = {pk for pk in one["revealed"][side] if pk is not None}
                found += [pk for pk in players if squad.get(str(pk), {"substitute": True})["substitute"]]
    return found


def warnings_of(encounter: Encounter, side: str, players: Sequence[int | None], state: State) -> list[Said]:
    """Return what is irregular about a line-up; it may be entered all the same."""
    rule = rule_of(state).line_up
    members = members_of(encounter, side, players, state)
    told = line_up_warnings([one for _board, one, _row in members], rule)
    for _board, one, row in members:
        if row is None:
            told.append(said("%(name)s is not in the squad.", name=one.name))
        if one.substitute and rule.substitute_percent != 100:
            told.append(
                said(
                    "%(name)s is a substitute and plays to %(percent)s %% of the own distance.",
                    name=one.name,
                    percent=rule.substitute_percent,
                )
            )
    return told


def read_line_up(value: Any, rule: LeagueRule) -> list[int | None]:
    """Return a line-up as it is kept: a player or None for every board."""
    players = line_up(value, "players")
    if len(players) > rule.boards:
        raise Malformed("players", said("An encounter has %(boards)s boards.", boards=rule.boards))
    return players + [None] * (rule.boards - len(players))
