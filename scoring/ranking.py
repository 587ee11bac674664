"""The verbs about a ranking: lots drawn, points taken and given back. Each is an entry with its reason."""

from __future__ import annotations

import uuid as uuids
from collections.abc import Collection, Sequence
from fractions import Fraction

from django.db import transaction

from scoring.conducting import Recorded, do_record
from scoring.ledger import Author
from scoring.models import Competition, StandingSums
from scoring.rules.said import Malformed, said


@transaction.atomic
def do_draw_lot(
    competition: Competition,
    author: Author,
    players: Sequence[int],
    *,
    seed: str | None = None,
    uuid: uuids.UUID | None = None,
) -> Recorded:
    """Record a lot among players: as drawn by hand, or the order that a seed gives.

    Raises Malformed (`players`, `seed`), Refused once the competition is closed.
    """
    _check_ranked(competition, players, "players")
    return do_record(competition, "lot", {"players": list(players), "seed": seed}, author, uuid=uuid)


@transaction.atomic
def do_deduct(
    competition: Competition,
    author: Author,
    player: int,
    match_points: str | int | Fraction,
    why: str,
    *,
    uuid: uuids.UUID | None = None,
) -> Recorded:
    """Take match points from a player. Raises Malformed (`player`, `match_points`, `why`), and Refused."""
    _check_ranked(competition, [player], "player")
    fields = {"player": player, "match_points": str(match_points), "why": why}
    return do_record(competition, "deduct", fields, author, uuid=uuid)


@transaction.atomic
def do_give_back(
    competition: Competition, author: Author, entry: int, why: str, *, uuid: uuids.UUID | None = None
) -> Recorded:
    """Give back the points that an entry took. Raises Malformed, and Refused where there are none."""
    return do_record(competition, "give-back", {"entry": entry, "why": why}, author, uuid=uuid)


def _check_ranked(competition: Competition, players: Collection[int], field: str) -> None:
    known = StandingSums.objects.filter(
        competition=competition, group__isnull=True, player__in=players
    ).values_list("player", flat=True)
    if set(players) - set(known):
        raise Malformed(field, said("These are not all players of this competition."))
