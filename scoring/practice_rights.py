"""The rights of practice: private to the player, and to coaches whom the player agreed to.

Nobody else opens a session, organisers and superusers included: for them it is not there.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from django.db.models import Q, QuerySet

from scoring.access import Actor, Forbidden, NotVisible
from scoring.models import Assignment, Coaching, Player, PracticePosition, PracticeSession, Role

COACHES = frozenset({Role.Kind.COACH})


def is_coach(actor: Actor) -> bool:
    """Whether the actor holds the role of a coach today, anywhere."""
    return actor.holds_anywhere(COACHES)


def coachings_that_hold(actor: Actor) -> QuerySet[Coaching]:
    """Return the coachings by which the actor sees what pupils do, now."""
    if actor.user is None or not is_coach(actor):
        return Coaching.objects.none()
    return Coaching.objects.filter(coach=actor.user, agreed_at__isnull=False, withdrawn_at__isnull=True)


def pupils(actor: Actor) -> QuerySet[Player]:
    """Return the players whom the actor coaches, with those merged into them."""
    agreed = coachings_that_hold(actor).values("player")
    return Player.objects.filter(Q(pk__in=agreed) | Q(merged_into__in=agreed))


def coaches_player(actor: Actor, player: Player) -> bool:
    """Whether the player agreed to the actor as a coach: reports open to an agreed coach ask this."""
    return actor.user is not None and pupils(actor).filter(pk=player.pk).exists()


# --- sessions ----------------------------------------------------------------


def visible_sessions(actor: Actor) -> QuerySet[PracticeSession]:
    """Return the sessions that `access_session` lets the actor read."""
    if actor.user is None:
        return PracticeSession.objects.none()
    seen = Q(player__in=actor.own_players)
    if is_coach(actor):
        seen |= Q(player__in=pupils(actor))
    return PracticeSession.objects.filter(seen)


def access_session(actor: Actor, session: PracticeSession, right: Literal["read", "write"]) -> None:
    """Check that the actor may read a session, or write in it: the player alone writes."""
    if actor.user is None:
        raise NotVisible
    if session.player_id in actor.own_players:
        return
    if not (is_coach(actor) and pupils(actor).filter(pk=session.player_id).exists()):
        raise NotVisible
    if right == "write":
        raise Forbidden


def access_new_session(actor: Actor, player: Player) -> None:
    """Check that the actor may begin a session of this player."""
    if player.pk not in actor.own_players:
        raise Forbidden


# --- positions ---------------------------------------------------------------


def visible_positions(actor: Actor) -> QuerySet[PracticePosition]:
    """Return the positions that the actor may look at and try.

    Those of the product and of the club, one's own, those a coach set, and those of pupils.
    """
    seen = Q(shipped=True) | Q(shared=True)
    if actor.user is None:
        return PracticePosition.objects.filter(seen)
    seen |= Q(owner=actor.user)
    plans = Assignment.objects.filter(coaching__player__in=actor.own_players)
    seen |= Q(pk__in=ids_of_plans(plans.values_list("positions", flat=True)))
    if is_coach(actor):
        seen |= Q(owner__player__in=pupils(actor))
    return PracticePosition.objects.filter(seen)


def ids_of_plans(plans: Iterable[list[dict]]) -> set[int]:
    """Return the ids of the positions that plans name."""
    return {step["position"] for plan in plans for step in plan}


def access_position(actor: Actor, position: PracticePosition, right: Literal["read", "write"]) -> None:
    """Check that the actor may look at a position, or change what its owner may change."""
    own = actor.user is not None and position.owner_id == actor.user.pk
    if own:
        return
    if not visible_positions(actor).filter(pk=position.pk).exists():
        raise NotVisible
    if right == "write":
        raise Forbidden


def access_sharing(actor: Actor) -> None:
    """Check that the actor may give a position to the club: a player of it, or whoever has a role."""
    if not (actor.is_superuser or actor.roles or actor.own_players):
        raise Forbidden


# --- coaching ----------------------------------------------------------------


def visible_coachings(actor: Actor) -> QuerySet[Coaching]:
    """Return the coachings that are about the actor, on either side."""
    if actor.user is None:
        return Coaching.objects.none()
    return Coaching.objects.filter(Q(coach=actor.user) | Q(player__in=actor.own_players))


def access_coaching(actor: Actor, coaching: Coaching, right: Literal["agree", "withdraw"]) -> None:
    """Check that the actor may agree, which is the player's alone, or withdraw, which either may."""
    if actor.user is None:
        raise NotVisible
    if coaching.player_id in actor.own_players:
        return
    if coaching.coach_id != actor.user.pk:
        raise NotVisible
    if right == "agree":
        raise Forbidden


def visible_assignments(actor: Actor) -> QuerySet[Assignment]:
    """Return what was set for the actor, and what the actor set pupils whose agreement holds."""
    if actor.user is None:
        return Assignment.objects.none()
    return Assignment.objects.filter(
        Q(coaching__player__in=actor.own_players) | Q(coaching__in=coachings_that_hold(actor))
    )
