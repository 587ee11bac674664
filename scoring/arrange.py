"""Arranging a match: who, where, and under which regulations.

What is decided here is copied into the match and stays with it; a later change of the
competition's defaults, of a preset or of a club's own rules never reaches it.
"""

from __future__ import annotations

import datetime
import uuid as uuids
from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils import timezone

from scoring import ledger
from scoring.handicapping import is_handicapped, own_distances
from scoring.models import Club, Competition, Encounter, Group, Match, Player, PlayTable
from scoring.regulations import find_discipline, find_rule_set
from scoring.rules.formats import complete_format
from scoring.rules.said import Malformed, said


@transaction.atomic
def do_arrange_match(
    *,
    club: Club,
    players: tuple[Player, Player],
    discipline: str | None = None,
    competition: Competition | None = None,
    group: Group | None = None,
    encounter: Encounter | None = None,
    board: int | None = None,
    table: PlayTable | None = None,
    format: Mapping[str, Any] | None = None,
    rule_set: Any = None,
    created_by: Any = None,
    scheduled_at: datetime.datetime | None = None,
    uuid: uuids.UUID | None = None,
) -> Match:
    """Create a match and open its ledger.

    What is left out takes the competition's, then the discipline's default; without a distance, players
    of a handicapped competition play to their own of that day.
    Raises Malformed with the field: `discipline`, `players`, `format.distance`, `rule_set`.
    """
    first, second = players
    if first.pk == second.pk:
        raise Malformed("players", said("Two different players are needed."))
    if competition is not None and _is_closed(competition):
        raise Malformed("competition", ledger.CLOSED)
    code = discipline if discipline is not None else getattr(competition, "discipline", None)
    game = find_discipline(club, code)
    if rule_set is None and competition is not None:
        rule_set = competition.rule_set or None
    defaults = None if competition is None else competition.format_defaults
    agreed = complete_format(format, defaults, game)
    if (
        competition is not None
        and "distance" not in (format or {})
        and is_handicapped(competition.regulations)
    ):
        day = timezone.localdate() if scheduled_at is None else timezone.localdate(scheduled_at)
        agreed["distance"] = own_distances(players, game.code, day, agreed["distance"])
    match = Match.objects.create(
        uuid=uuid or uuids.uuid4(),
        club=club,
        competition=competition,
        group=group,
        encounter=encounter,
        board=board,
        table=table,
        discipline_code=game.code,
        discipline=game.to_json(),
        format=agreed,
        rule_set=find_rule_set(club, rule_set).to_json(),
        entrant_a=first,
        entrant_b=second,
        distance_a=agreed["distance"][0],
        distance_b=agreed["distance"][1],
        created_by=created_by,
        scheduled_at=scheduled_at,
    )
    ledger.begin(match)
    return match


def _is_closed(competition: Competition) -> bool:
    """Whether a competition is frozen now; it is held, so that it is not closed in between."""
    held = Competition.objects.select_for_update(of=("self",)).filter(pk=competition.pk)
    return held.values_list("closed_at", flat=True).get() is not None
