"""Writing a competition: its name, and what its matches are by default."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from scoring.ledger import CLOSED
from scoring.models import Competition
from scoring.regulations import find_discipline, find_rule_set
from scoring.rules.event.regulations import changed
from scoring.rules.formats import complete_format
from scoring.rules.match.checks import Refused
from scoring.summing import do_add_up


@transaction.atomic
def do_write_competition(competition: Competition, fields: Mapping[str, Any]) -> Competition:
    """Check the regulations and write a competition. Raises Malformed with the field, Refused once closed."""
    fresh = competition._state.adding
    if not fresh:
        # As it stands now: somebody may have closed it, or written other regulations, since it was read.
        held = Competition.objects.select_for_update(of=("self",)).get(pk=competition.pk)
        if held.closed_at is not None:
            raise Refused("closed", CLOSED)
        competition.regulations = held.regulations
    for name, value in fields.items():
        if name == "regulations":
            competition.regulations = changed(competition.regulations, value)
        elif name != "rule_set":
            setattr(competition, name, value)
    game = find_discipline(competition.club, competition.discipline)
    complete_format(competition.format, None, game)
    chosen = fields.get("rule_set")
    if chosen == {}:
        competition.rule_set = {}
    elif chosen is not None:
        # Completed now: a later change of a preset does not reach it.
        competition.rule_set = find_rule_set(competition.club, chosen).to_json()
    # What follows its ledger is written there alone.
    competition.save(**{} if fresh else {"update_fields": sorted(fields)})
    if "regulations" in fields:
        do_add_up(competition.pk)
    return competition
