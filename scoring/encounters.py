"""An encounter before play: line-ups that nobody reads early, postponements, and its boards once both are in.

A line-up waits in a row of the encounter, as {players, salt}; the ledger holds its digest alone. When the
second one is in, both are written into the ledger in full and the boards become matches.
"""

from __future__ import annotations

import datetime
import secrets
import uuid as uuids
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from django.db import transaction
from django.utils import timezone

from scoring.arrange import do_arrange_match
from scoring.conducting import Recorded, do_record, read_state
from scoring.handicapping import distances_on, is_handicapped
from scoring.ledger import Author
from scoring.models import CompetitionEntry, Encounter, HandicapDistance, Match, Player, SquadMember
from scoring.regulations import find_discipline
from scoring.rules.event.encounters import (
    SIDES,
    boards_of,
    encounter_of,
    line_up,
    line_up_digest,
    other,
    status_of,
)
from scoring.rules.event.entry import State
from scoring.rules.event.season import LeagueRule, rule_of
from scoring.rules.formats import complete_format
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed, Said, said
from scoring.rules.teams import Member, distance_of, line_up_warnings


def follow(encounter: Encounter, state: State) -> None:
    """Write what the ledger says of an encounter into its row."""
    one = encounter_of(state, encounter.pk)
    encounter.status = status_of(one, boards_of(one))
    encounter.scheduled_on, encounter.due_on = (
        None if one[name] is None else datetime.date.fromisoformat(one[name]) for name in ("on", "due")
    )
    encounter.awarded_to_id = None if one["award"] is None else one["award"]["to"]
    encounter.save(update_fields=["status", "scheduled_on", "due_on", "awarded_to"])


def record(
    encounter: Encounter,
    kind: str,
    fields: Mapping[str, Any],
    author: Author,
    uuid: uuids.UUID | None = None,
) -> Recorded:
    """Append a step of an encounter to its competition's ledger, and write its row."""
    competition = encounter.home.competition
    done = do_record(competition, kind, {"encounter": encounter.pk, **fields}, author, uuid=uuid)
    if not done.known:
        follow(encounter, done.state)
    return done


# --- line-ups ------------------------------------------------------------------


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


@transaction.atomic
def do_enter_line_up(
    encounter: Encounter, side: str, players: Any, author: Author, uuid: uuids.UUID | None = None
) -> list[Said]:
    """Enter the line-up of a side, or another one in its place; both in, they are shown and boards open.

    Returns what is irregular about it. Raises Malformed (`players`) and Refused.
    """
    uuid = uuid or uuids.uuid4()
    known = CompetitionEntry.objects.filter(uuid=uuid).first()
    if known is not None:
        asked = {"encounter": encounter.pk, "side": side}
        if known.kind != "line-up" or not asked.items() <= known.data.items():
            raise Refused("uuid-known", said("This uuid was used for something else. Send another one."))
        return []
    state = read_state(encounter.home.competition)
    chosen = read_line_up(players, rule_of(state))
    told = warnings_of(encounter, side, chosen, state)
    salt = secrets.token_hex(16)
    fields = {"side": side, "digest": line_up_digest(salt, chosen)}
    done = record(encounter, "line-up", fields, author, uuid)
    setattr(encounter, f"{side}_line_up", {"players": chosen, "salt": salt})
    encounter.save(update_fields=[f"{side}_line_up"])
    # The other one as it stands now that the competition is locked, whatever was read before.
    theirs = Encounter.objects.values_list(f"{other(side)}_line_up", flat=True).get(pk=encounter.pk)
    setattr(encounter, f"{other(side)}_line_up", theirs)
    if all(encounter_of(done.state, encounter.pk)["line_ups"].values()):
        _reveal(encounter, author, uuids.uuid5(uuid, "reveal"))
    return told


def _reveal(encounter: Encounter, author: Author, uuid: uuids.UUID) -> None:
    kept = {side: getattr(encounter, f"{side}_line_up") for side in SIDES}
    fields: dict[str, Any] = {side: kept[side]["players"] for side in SIDES}
    fields |= {f"{side}_salt": kept[side]["salt"] for side in SIDES}
    for side in SIDES:
        setattr(encounter, f"{side}_line_up", kept[side]["players"])
    done = record(encounter, "reveal", fields, author, uuid)
    encounter.save(update_fields=["home_line_up", "away_line_up"])
    _open_boards(encounter, done.state, author, uuid)


def _open_boards(encounter: Encounter, state: State, author: Author, uuid: uuids.UUID) -> None:
    """Make a match of every board at which both sides have a player."""
    competition = encounter.home.competition
    sides = {side: own_line_up(encounter, side) or [] for side in SIDES}
    members = {
        side: {board: (one, row) for board, one, row in members_of(encounter, side, sides[side], state)}
        for side in SIDES
    }
    players = Player.objects.named().in_bulk(
        [one.key for part in members.values() for one, _ in part.values()]
    )
    day = encounter.scheduled_on or timezone.localdate()
    own: dict[int, HandicapDistance] = {}
    if is_handicapped(competition.regulations):
        own = distances_on(list(players.values()), competition.discipline, day)
    game = find_discipline(competition.club, competition.discipline)
    usual = complete_format(None, competition.format_defaults, game)["distance"]
    rule = rule_of(state).line_up
    for board in sorted(members["home"].keys() & members["away"].keys()):
        both = [members[side][board] for side in SIDES]
        if both[0][0].key == both[1][0].key:
            continue
        distance = []
        for (member, row), agreed in zip(both, usual, strict=True):
            held = None if row is None else row.distance
            if held is None:
                held = own[member.key].distance if member.key in own else agreed
            distance.append(None if held is None else distance_of(member, held, rule))
        do_arrange_match(
            club=competition.club,
            players=(players[both[0][0].key], players[both[1][0].key]),
            competition=competition,
            group=encounter.group,
            encounter=encounter,
            board=board,
            format={"distance": distance},
            created_by=None,
            uuid=uuids.uuid5(uuid, f"board {board}"),
        )


@transaction.atomic
def do_ask_to_look(encounter: Encounter, side: str, author: Author, uuid: uuids.UUID | None = None) -> None:
    """Let organisers look at a line-up before both are in, as its captain asks them to."""
    record(encounter, "line-up-ask", {"side": side}, author, uuid)


@transaction.atomic
def do_look(encounter: Encounter, side: str, author: Author) -> list[int | None]:
    """Return a line-up that organisers were asked to look at; the ledger says who looked."""
    if author.user_id is None:
        raise Refused("not-asked", said("The captain of this side did not ask anybody to look."))
    record(encounter, "line-up-look", {"side": side, "user": author.user_id}, author)
    return own_line_up(encounter, side) or []


# --- days ----------------------------------------------------------------------


@transaction.atomic
def do_postpone(
    encounter: Encounter,
    due: datetime.date,
    why: str,
    author: Author,
    *,
    on: datetime.date | None = None,
    side: str | None = None,
    uuid: uuids.UUID | None = None,
) -> None:
    """Move an encounter: at once for an organiser; with the side of a captain, once the other one agrees."""
    fields = {"due": due, "on": on, "side": side, "why": why}
    record(
        encounter,
        "postpone",
        {
            name: value.isoformat() if isinstance(value, datetime.date) else value
            for name, value in fields.items()
        },
        author,
        uuid,
    )


@transaction.atomic
def do_answer_postponement(
    encounter: Encounter, agree: bool, side: str, author: Author, uuid: uuids.UUID | None = None
) -> None:
    """Agree to a postponement for the other side, or turn it down."""
    record(encounter, "postpone-agree" if agree else "postpone-decline", {"side": side}, author, uuid)


def matches_of(encounter: Encounter) -> dict[int, Match]:
    """Return the matches of an encounter by board."""
    found = Match.objects.filter(encounter=encounter).shown().select_related("club")
    return {one.board: one for one in found.prefetch_related("colour_projections") if one.board is not None}
