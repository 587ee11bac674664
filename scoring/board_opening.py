"""The matches of an encounter's boards: made once both line-ups are shown, for other players while none began."""

from __future__ import annotations

import uuid as uuids
from collections.abc import Sequence

from django.utils import timezone

from scoring import ledger, summing
from scoring.arrange import do_arrange_match
from scoring.handicapping import distances_on, is_handicapped
from scoring.line_ups import members_of
from scoring.models import Encounter, Match, Player, SquadMember
from scoring.regulations import find_discipline
from scoring.rules.event.encounters import SIDES, encounter_of
from scoring.rules.event.entry import State
from scoring.rules.event.season import rule_of
from scoring.rules.formats import LONGEST_DISTANCE, complete_format
from scoring.rules.teams import Member, distance_of

Placed = tuple[Member, SquadMember | None]


def do_open_boards(encounter: Encounter, state: State, uuid: uuids.UUID, only: int | None = None) -> None:
    """Make a match of every board at which both sides have a player; only: of that board.

    A match that is there goes to who stands on the board now. Raises Refused where it has begun.
    """
    shown = encounter_of(state, encounter.pk)["revealed"]
    members = {
        side: {board: (one, row) for board, one, row in members_of(encounter, side, shown[side], state)}
        for side in SIDES
    }
    boards = sorted(members["home"].keys() & members["away"].keys())
    wanted = [
        (board, (members["home"][board], members["away"][board]))
        for board in boards
        if only in (None, board) and members["home"][board][0].key != members["away"][board][0].key
    ]
    players = Player.objects.named().in_bulk([one.key for _, both in wanted for one, _row in both])
    there = {one.board: one for one in Match.objects.filter(encounter=encounter)}
    for board, both in wanted:
        pair = (players[both[0][0].key], players[both[1][0].key])
        distance = _distances(encounter, both, pair, state)
        if board in there:
            _give_to(there[board], pair, distance)
            continue
        do_arrange_match(
            club=encounter.home.competition.club,
            players=pair,
            competition=encounter.home.competition,
            group=encounter.group,
            encounter=encounter,
            board=board,
            format={"distance": list(distance)},
            created_by=None,
            uuid=uuids.uuid5(uuid, f"board {board}"),
        )


def _give_to(match: Match, pair: tuple[Player, Player], distance: tuple[int | None, int | None]) -> None:
    before = match.entrant_ids
    ledger.begin_again(match, distance, (pair[0].pk, pair[1].pk))
    if match.competition_id is not None:
        summing.do_add_up(match.competition_id, {*before, pair[0].pk, pair[1].pk})


def _distances(
    encounter: Encounter, both: Sequence[Placed], pair: tuple[Player, Player], state: State
) -> tuple[int | None, int | None]:
    """Return what both play to: as registered, else the own one of that day, else that of the season."""
    competition = encounter.home.competition
    day = encounter.scheduled_on or timezone.localdate()
    handicapped = is_handicapped(competition.regulations)
    own = distances_on(list(pair), competition.discipline, day) if handicapped else {}
    game = find_discipline(competition.club, competition.discipline)
    usual = complete_format(None, competition.format_defaults, game)["distance"]
    found: list[int | None] = []
    for (member, row), agreed in zip(both, usual, strict=True):
        held = None if row is None else row.distance
        if held is None:
            held = own[member.key].distance if member.key in own else agreed
        rule = rule_of(state).line_up
        # Checked when the line-up was entered; what changed since must not stop the other side.
        found.append(None if held is None else min(LONGEST_DISTANCE, distance_of(member, held, rule)))
    return found[0], found[1]
