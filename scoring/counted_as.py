"""Whom a record counts as in a competition: merges that were made after it was closed move nothing in it."""

from __future__ import annotations

import datetime
from collections.abc import Iterable

from django.db.models import Q

from scoring.models import Player, PlayerMerge


def counted_as(players: Iterable[Player], closed_at: datetime.datetime | None) -> dict[int, Player]:
    """Return the record that each of some records counts as, by id; at the closing where there was one.

    No query while a competition is open: `merged_into` is read with the players. One where it is closed.
    """
    if closed_at is None:
        return {one.pk: one.merged_into or one for one in players}
    found = {one.pk: one for one in players}
    held = PlayerMerge.objects.filter(gone__in=found, made_at__lte=closed_at)
    held = held.filter(Q(undone_at__isnull=True) | Q(undone_at__gt=closed_at))
    merges = held.select_related("into__name", "into__merged_into__name")
    return found | {one.gone_id: one.into for one in merges}
