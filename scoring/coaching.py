"""Coaching and positions: asking, agreeing, withdrawing, setting what to try; one verb each."""

from __future__ import annotations

import datetime
import uuid as uuids
from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction
from django.utils import timezone

from scoring.models import Assignment, Coaching, Player, PracticePosition
from scoring.rules.match.checks import Refused
from scoring.rules.said import said


@transaction.atomic
def do_ask(coach: Any, player: Player, uuid: uuids.UUID | None = None) -> Coaching:
    """Ask a player to be let in as a coach. Raises Refused where that is open or agreed already."""
    # The player's row is what two requests at once would meet at.
    Player.objects.select_for_update().get(pk=player.pk)
    if Coaching.objects.filter(coach=coach, player=player, withdrawn_at__isnull=True).exists():
        raise Refused("asked-already", said("This player was asked already, or has agreed."))
    return Coaching.objects.create(uuid=uuid or uuids.uuid4(), coach=coach, player=player)


@transaction.atomic
def do_agree(coaching_id: int) -> Coaching:
    """Agree to a coach; twice is once. Raises Refused where it was withdrawn."""
    coaching = Coaching.objects.select_for_update(of=("self",)).get(pk=coaching_id)
    if coaching.withdrawn_at is not None:
        raise Refused("withdrawn", said("This was withdrawn. The coach may ask again."))
    if coaching.agreed_at is None:
        coaching.agreed_at = timezone.now()
        coaching.save(update_fields=["agreed_at"])
    return coaching


@transaction.atomic
def do_withdraw(coaching_id: int) -> Coaching:
    """End a coaching, at once and for what was seen before too; twice is once."""
    coaching = Coaching.objects.select_for_update(of=("self",)).get(pk=coaching_id)
    if coaching.withdrawn_at is None:
        coaching.withdrawn_at = timezone.now()
        coaching.save(update_fields=["withdrawn_at"])
    return coaching


@transaction.atomic
def do_set(
    coaching_id: int,
    *,
    name: str,
    positions: Sequence[Mapping[str, Any]],
    note: str = "",
    goal: Mapping[str, Any] | None = None,
    due_on: datetime.date | None = None,
    uuid: uuids.UUID | None = None,
) -> Assignment:
    """Set a pupil what to try. Raises Refused where the pupil has not agreed, or withdrew."""
    coaching = Coaching.objects.select_for_update(of=("self",)).get(pk=coaching_id)
    if not coaching.holds:
        raise Refused("not-agreed", said("The player has not agreed to you as a coach."))
    return Assignment.objects.create(
        uuid=uuid or uuids.uuid4(),
        coaching=coaching,
        name=name,
        note=note,
        positions=list(positions),
        goal=goal,
        due_on=due_on,
    )


def do_add_position(owner: Any, **fields: Any) -> PracticePosition:
    """Add a position of a user's own."""
    return PracticePosition.objects.create(owner=owner, **fields)
