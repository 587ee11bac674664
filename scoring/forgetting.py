"""Forgetting a person, while the record of what was played still proves itself."""

from __future__ import annotations

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from scoring.models import (
    Assignment,
    Coaching,
    EntryText,
    ExternalNumber,
    Match,
    Player,
    PracticePosition,
    PracticeSession,
)


@transaction.atomic
def do_forget(player: Player, *, texts: bool = False) -> dict[str, int]:
    """Erase a player's name, numbers and log-in; return how many rows of each went.

    `texts` erases the remarks written in the player's matches too: they may hold the
    name. Scores, averages and fingerprints stay as they are. What was written at practice
    goes with the name, since nobody is left who may read it; what was tried stays, as figures.
    """
    found = {
        "names": int(player.name_or_none is not None),
        "numbers": ExternalNumber.objects.filter(player=player).delete()[0],
        "remarks": 0,
    }
    player.erase_name()
    if texts:
        own = Match.objects.of_player(player)
        found["remarks"] = EntryText.objects.filter(entry__match__in=own).delete()[0]
    _forget_practice(player)
    Player.objects.filter(pk=player.pk).update(
        user=None, consent=Player.Consent.NONE, published=False, report_open=False
    )
    return found


def _forget_practice(player: Player) -> None:
    """End every coaching of a player, and erase the words beside what was tried.

    Positions lose their owner. What the club was given stays in its library; what was kept to
    oneself keeps its balls alone, because attempts refer to them.
    """
    own = Q(player=player) | Q(player__merged_into=player)
    PracticeSession.objects.filter(own).update(name="", note="", created_by=None)
    coachings = Coaching.objects.filter(own)
    Assignment.objects.filter(coaching__in=coachings).update(name="", note="")
    coachings.filter(withdrawn_at__isnull=True).update(withdrawn_at=timezone.now())
    if player.user_id is None:
        return
    positions = PracticePosition.objects.filter(owner=player.user_id)
    positions.filter(shared=False).update(name="", note="", source="")
    positions.update(owner=None)
