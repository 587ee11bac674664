"""The users of a club: making them, what they may do, and shutting them out.

Whoever keeps the club can always be found: the last administrator stays one.
"""

from __future__ import annotations

import datetime
import secrets
from typing import Any

from django.contrib.auth import get_user_model
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from scoring.models import Club, Competition, Pen, Player, Role
from scoring.models.base import today
from scoring.rules.said import Malformed, said

# Without signs that are taken for one another when read off a slip of paper.
SIGNS = "abcdefghjkmnpqrstuvwxyz23456789"


def new_password() -> str:
    """Return a password to hand over: four groups of four signs, 79 random bits."""
    return "-".join("".join(secrets.choice(SIGNS) for _place in range(4)) for _group in range(4))


def keepers(*, without_user: int | None = None, without_role: int | None = None):
    """Return the active users who administer the club today and have no last day set."""
    roles = Role.objects.on(today()).filter(
        kind=Role.Kind.ADMINISTRATOR, competition__isnull=True, until__isnull=True
    )
    if without_role is not None:
        roles = roles.exclude(pk=without_role)
    users = get_user_model().objects.filter(is_active=True)
    if without_user is not None:
        users = users.exclude(pk=without_user)
    return users.filter(Q(is_superuser=True) | Q(pk__in=roles.values("user")))


def lock_people() -> None:
    """Let two changes of who administers the club happen one after the other."""
    Club.objects.the_first()
    list(Club.objects.select_for_update().order_by("pk").values_list("pk", flat=True))


@transaction.atomic
def do_create_user(username: str, player: Player | None = None) -> tuple[Any, str]:
    """Create a user; return it and the password, which is kept as a hash alone."""
    password = new_password()
    user = get_user_model().objects.create_user(username=username, password=password)
    _hand_over(user)
    if player is not None:
        do_link_player(user, player)
    return user, password


def do_renew_password(user: Any) -> str:
    """Give a user another password and return it; open sessions of the user end."""
    password = new_password()
    user.set_password(password)
    _hand_over(user)
    return password


def _hand_over(user: Any) -> None:
    """Keep in mind that the user is to replace the password, which somebody else has seen."""
    user.password_handed_over = True
    user.save(update_fields=["password", "password_handed_over"])


@transaction.atomic
def do_link_player(user: Any, player: Player | None) -> None:
    """Say which player a user is; None unlinks. Raises Malformed (`player`)."""
    if player is not None:
        player = Player.objects.select_for_update().get(pk=player.pk)
        if player.user_id not in (None, user.pk):
            raise Malformed("player", said("Another user is linked to this player."))
        if player.merged_into_id is not None:
            raise Malformed("player", said("This player was merged into another one."))
    Player.objects.filter(user=user).update(user=None)
    if player is not None:
        player.user = user
        player.save(update_fields=["user"])


@transaction.atomic
def do_give_role(
    user: Any,
    kind: str,
    *,
    club: Club,
    competition: Competition | None = None,
    since: datetime.date | None = None,
    until: datetime.date | None = None,
) -> Role:
    """Give a user a role. Raises Malformed (`competition`, `kind`, `until`)."""
    since = since or today()
    if kind == Role.Kind.ADMINISTRATOR and competition is not None:
        raise Malformed(
            "competition",
            said("An administrator is one of the whole club; an organiser may be of one competition."),
        )
    if until is not None and until < since:
        raise Malformed("until", said("The last day comes after the first."))
    lock_people()
    there = Role.objects.filter(user=user, kind=kind, club=club, competition=competition)
    if there.filter(
        Q(until__isnull=True) | Q(until__gte=since), since__lte=until or datetime.date.max
    ).exists():
        raise Malformed("kind", said("The user holds this role in that time already."))
    return Role.objects.create(
        user=user, club=club, competition=competition, kind=kind, since=since, until=until
    )


@transaction.atomic
def do_end_role(role: Role) -> None:
    """End a role at once. Raises Malformed (`role`) for the last administrator's."""
    lock_people()
    role.refresh_from_db()
    if role.until is not None and role.until < today():
        return
    if keepers().exists() and not keepers(without_role=role.pk).exists():
        raise Malformed("role", said("This is the last administrator. Make another one first."))
    # Both days of a role count, so one that ends now had its last day yesterday.
    role.until = today() - datetime.timedelta(days=1)
    role.save(update_fields=["until"])


@transaction.atomic
def do_set_active(user: Any, active: bool) -> None:
    """Shut a user out, or let one in again. Raises Malformed (`user`) for the last administrator."""
    lock_people()
    if not active and keepers().exists() and not keepers(without_user=user.pk).exists():
        raise Malformed("user", said("This is the last administrator. Make another one first."))
    user.is_active = active
    user.save(update_fields=["is_active"])
    if not active:
        Pen.objects.filter(user=user, ended_at__isnull=True).update(ended_at=timezone.now())
