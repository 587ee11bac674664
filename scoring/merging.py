"""Two records of one player, read as one from a merge until it is undone.

Nothing of either record changes: `gone.merged_into` says how both are read, so undoing leaves no trace.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from typing import Any

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from scoring.models import CompetitionProjection, ExternalNumber, Match, Player, PlayerMerge
from scoring.rules.event.entrants import OUT
from scoring.rules.importing.drafts import plain_name
from scoring.rules.likeness import pairs
from scoring.rules.match.checks import Refused
from scoring.rules.said import said

# Told after each merge and each undoing: (gone, into).
Follower = Callable[[Player, Player], None]
_followers: dict[str, Follower] = {}
MOST_PROPOSED = 100


def register_merging(name: str, follower: Follower) -> None:
    """Let what was computed of players follow merges. Once a name."""
    _followers[name] = follower


def check_merge(gone: Player, into: Player) -> None:
    """Raise Refused where two records cannot be read as one."""
    if gone.pk == into.pk:
        raise Refused("same", said("Choose two different players."))
    if gone.merged_into_id is not None or into.merged_into_id is not None:
        raise Refused("chain", said("One of them is read as another player already. Undo that merge first."))
    if Player.objects.filter(merged_into=gone).exists():
        raise Refused(
            "chain",
            said(
                "Another record is read as this player. Undo that merge first, or merge the other way round."
            ),
        )
    if gone.user_id is not None and into.user_id is not None:
        raise Refused("two-users", said("Both have a user. Unlink one of the users first."))
    _check_draws(gone, into)
    if Match.objects.filter(Q(entrant_a=gone, entrant_b=into) | Q(entrant_a=into, entrant_b=gone)).exists():
        raise Refused("met", said("They played one another, so they are two people."))
    others = Player.objects.filter(merged_into=into)
    if Match.objects.filter(
        Q(entrant_a=gone, entrant_b__in=others) | Q(entrant_a__in=others, entrant_b=gone)
    ).exists():
        raise Refused("met", said("They played one another, so they are two people."))


def _check_draws(gone: Player, into: Player) -> None:
    """Raise Refused where both may yet meet, as two seats of one knock-out or group that is not closed."""
    whole = [into.pk, *Player.objects.filter(merged_into=into).values_list("pk", flat=True)]
    entered = CompetitionProjection.objects.filter(
        competition__closed_at__isnull=True, state__entrants__has_key=str(gone.pk)
    )
    for one in entered.select_related("competition"):
        entrants = one.state["entrants"]
        seats = {
            pk: str(entrants[str(pk)]["number"])
            for pk in (gone.pk, *whole)
            if str(pk) in entrants and entrants[str(pk)]["status"] not in OUT
        }
        if gone.pk not in seats or len(seats) < 2:
            continue
        own = seats.pop(gone.pk)
        draws = [stage["draw"] for stage in one.state.get("stages", {}).values() if stage["draw"] is not None]
        groups = [group for draw in draws for group in draw["groups"]]
        if any(own in group and not set(group).isdisjoint(seats.values()) for group in groups):
            raise Refused(
                "one-draw",
                said(
                    "Both stand in one draw of %(name)s, and nobody meets oneself. Withdraw one of them "
                    "there, or draw again without one, then merge.",
                    name=one.competition.name,
                ),
            )


@transaction.atomic
def do_merge(gone: Player, into: Player, user: Any, why: str = "") -> PlayerMerge:
    """Read `gone` as `into` from now on. Raises Refused."""
    locked = Player.objects.select_for_update(of=("self",)).order_by("pk").in_bulk([gone.pk, into.pk])
    gone, into = locked[gone.pk], locked[into.pk]
    check_merge(gone, into)
    merge = PlayerMerge.objects.create(gone=gone, into=into, made_by=user, why=why[:300])
    gone.merged_into = into
    gone.save(update_fields=["merged_into"])
    _tell(gone, into)
    return merge


@transaction.atomic
def do_undo_merge(merge: PlayerMerge, user: Any) -> PlayerMerge:
    """Read two records as two again. Raises Refused where that was done already."""
    merge = PlayerMerge.objects.select_for_update(of=("self",)).get(pk=merge.pk)
    if merge.undone_at is not None:
        raise Refused("undone", said("This merge was undone already."))
    gone = Player.objects.select_for_update(of=("self",)).get(pk=merge.gone_id)
    gone.merged_into = None
    gone.save(update_fields=["merged_into"])
    merge.undone_at, merge.undone_by = timezone.now(), user
    merge.save(update_fields=["undone_at", "undone_by"])
    _tell(gone, merge.into)
    return merge


def _tell(gone: Player, into: Player) -> None:
    for follower in _followers.values():
        follower(gone, into)


def proposals() -> list[tuple[Player, Player, str]]:
    """Return pairs that may be one person, (older, newer, why): `number` or `name`."""
    players = {
        one.pk: one for one in Player.objects.named().filter(merged_into__isnull=True, name__isnull=False)
    }
    found: dict[tuple[int, int], str] = {}
    numbers = defaultdict(set)
    for pk, number in ExternalNumber.objects.filter(player__in=players).values_list("player", "number"):
        numbers["".join(sign for sign in number.casefold() if sign.isalnum()).lstrip("0")].add(pk)
    for same in numbers.values():
        ids = sorted(same)
        found |= {(one, two): "number" for place, one in enumerate(ids) for two in ids[place + 1 :]}
    names = [(pk, plain_name(one.full_name)) for pk, one in players.items()]
    for pair in pairs(names):
        found.setdefault(pair, "name")
    undone = PlayerMerge.objects.filter(undone_at__isnull=False).values_list("gone", "into")
    judged = {tuple(sorted(pair)) for pair in undone}
    told = [
        (players[one], players[two], why) for (one, two), why in found.items() if (one, two) not in judged
    ]
    return told[:MOST_PROPOSED]
