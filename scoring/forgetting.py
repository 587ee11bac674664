"""Forgetting a person, while the record of what was played still proves itself."""

from __future__ import annotations

from django.db import transaction

from scoring.models import EntryText, ExternalNumber, Match, Player


@transaction.atomic
def do_forget(player: Player, *, texts: bool = False) -> dict[str, int]:
    """Erase a player's name, numbers and log-in; return how many rows of each went.

    `texts` erases the remarks written in the player's matches too: they may hold the
    name. Scores, averages and fingerprints stay as they are.
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
    Player.objects.filter(pk=player.pk).update(
        user=None, consent=Player.Consent.NONE, published=False, report_open=False
    )
    return found
