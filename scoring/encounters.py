"""An encounter before play: line-ups that nobody reads early, who comes in after them, and postponements.

A line-up waits in a row of the encounter, as {players, salt}; the ledger holds its digest alone. When the
second one is in, both are written into the ledger in full and the boards become matches.
"""

from __future__ import annotations

import datetime
import secrets
import uuid as uuids
from collections.abc import Mapping
from typing import Any

from django.db import transaction

from scoring.board_opening import do_open_boards
from scoring.conducting import Recorded, do_record, read_state
from scoring.encounter_sums import hold
from scoring.ledger import Author
from scoring.line_ups import check_distances, own_line_up, read_line_up, warnings_of
from scoring.models import Competition, CompetitionEntry, Encounter, Match, Player
from scoring.rules.event.encounters import (
    SIDES,
    boards_of,
    encounter_of,
    line_up_digest,
    other,
    status_of,
)
from scoring.rules.event.entry import State
from scoring.rules.event.season import rule_of
from scoring.rules.match.checks import Refused
from scoring.rules.said import Said, said


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


@transaction.atomic
def do_enter_line_up(
    encounter: Encounter,
    side: str,
    players: Any,
    author: Author,
    uuid: uuids.UUID | None = None,
    first: bool = False,
) -> list[Said]:
    """Enter the line-up of a side, or another one in its place; both in, they are shown and boards open.

    first: refused as `line-up-entered` where one is in. Returns what is irregular about it. Raises
    Malformed (`players`) and Refused.
    """
    uuid = uuid or uuids.uuid4()
    known = CompetitionEntry.objects.filter(uuid=uuid).first()
    if known is not None:
        asked = {"encounter": encounter.pk, "side": side}
        if known.kind != "line-up" or not asked.items() <= known.data.items():
            raise Refused("uuid-known", said("This uuid was used for something else. Send another one."))
        return []
    if first:
        Competition.objects.select_for_update(of=("self",)).get(pk=encounter.home.competition_id)
    state = read_state(encounter.home.competition)
    if first and encounter_of(state, encounter.pk)["line_ups"][side] is not None:
        raise Refused(
            "line-up-entered", said("A line-up of this side is entered already. Its captain may change it.")
        )
    chosen = read_line_up(players, rule_of(state))
    told = warnings_of(encounter, side, chosen, state)
    check_distances(encounter, side, chosen, state)
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
    do_open_boards(encounter, done.state, uuid)


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


@transaction.atomic
def do_change_line_up(
    encounter: Encounter,
    side: str,
    board: int,
    player: Player,
    why: str,
    author: Author,
    uuid: uuids.UUID | None = None,
) -> list[Said]:
    """Let another player come in on a board that has not begun, after both line-ups were shown.

    Returns what is irregular about it. Raises Malformed (`player`), and Refused once the board has begun.
    """
    hold(encounter)
    uuid = uuid or uuids.uuid4()
    fields = {"side": side, "board": board, "player": player.pk, "why": why}
    done = record(encounter, "line-up-change", fields, author, uuid)
    if done.known:
        return []
    players = encounter_of(done.state, encounter.pk)["revealed"][side]
    check_distances(encounter, side, players, done.state, only=board)
    setattr(encounter, f"{side}_line_up", players)
    encounter.save(update_fields=[f"{side}_line_up"])
    do_open_boards(encounter, done.state, uuid, only=board)
    return warnings_of(encounter, side, players, done.state)


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
