"""Who may do what: the actor of a request, the right of every address, and of every object.

`ADDRESSES` (in `scoring.rights`) states the right of each named address and method; a test walks the URLs and
fails for one that is not listed, and the API refuses it. A right that depends on the
object (a match, a competition, a player) is judged by the `access_` functions, which
raise `NotVisible` (answered 404: even the existence is private) or `Forbidden` (403, or
401 for somebody whom the site does not know).

Roles: a superuser is an organiser everywhere; an administrator of a club is an organiser
of it, and alone changes who the users are and what they may do; a superuser's account
is for a superuser to change. A role with a competition holds for that competition alone. Somebody who is linked
to a player has the role of a player: may open a match of their own outside any
competition, and write it; a match of a competition they write where it lets players
score. Whoever has no role may write practice sessions of their own and nothing else.
A table link reads and writes the matches of its table in its competition; a pen reads
and writes its match.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

from django.db.models import Q, QuerySet

from scoring.models import Club, Competition, Match, Pen, Player, Role, TableLink
from scoring.rights import ADDRESSES, PARTS, Right

ORGANISING = frozenset({Role.Kind.ADMINISTRATOR, Role.Kind.ORGANISER})
REFEREEING = frozenset({Role.Kind.REFEREE})


class NotVisible(Exception):
    """The object does not exist, or not for this actor."""


class Forbidden(Exception):
    """The actor may know of the object but not do this."""


@dataclass
class Actor:
    """Who calls: a signed-in user, a table link's device, a pen's device, or nobody."""

    user: Any = None
    link: TableLink | None = None
    pen: Pen | None = None

    @property
    def unknown(self) -> bool:
        """Nobody whom the site knows."""
        return self.user is None and self.link is None and self.pen is None

    @property
    def link_id(self) -> int | None:
        """The table link that let the device in, be it by a pen that was taken through it."""
        if self.link is not None:
            return self.link.pk
        return None if self.pen is None else self.pen.link_id

    @property
    def names_open(self) -> bool:
        """Whether whole names are shown, whatever a player agreed to for outsiders."""
        return not self.unknown

    @property
    def is_superuser(self) -> bool:
        return self.user is not None and self.user.is_superuser

    @cached_property
    def roles(self) -> list[Role]:
        """The roles of the user today."""
        return list(Role.objects.current(self.user))

    @cached_property
    def own_players(self) -> frozenset[int]:
        """The ids of the player of the user, and of those merged into it."""
        if self.user is None:
            return frozenset()
        own = Q(user=self.user) | Q(merged_into__user=self.user)
        # The user may be linked to the record that is read as another one.
        own |= Q(merged__user=self.user) | Q(merged_into__merged__user=self.user)
        return frozenset(Player.objects.filter(own).values_list("pk", flat=True))

    def holds(self, kinds: Collection[str], club: int, competition: int | None = None) -> bool:
        """Whether a role of these kinds covers the club, or the competition in it."""
        return any(
            role.kind in kinds
            and role.club_id == club
            and (role.competition_id is None or role.competition_id == competition)
            for role in self.roles
        )

    def holds_anywhere(self, kinds: Collection[str]) -> bool:
        """Whether the user has a role of these kinds in any club or competition."""
        return any(role.kind in kinds for role in self.roles)

    def organises(self, club: int, competition: int | None = None) -> bool:
        """Whether the actor organises the club, or the competition in it."""
        return self.is_superuser or self.holds(ORGANISING, club, competition)

    def organises_a_club(self) -> bool:
        """Whether the actor organises a club, not only a competition of one."""
        return self.is_superuser or any(
            role.kind in ORGANISING and role.competition_id is None for role in self.roles
        )

    def administers_a_club(self) -> bool:
        """Whether the actor administers a club: its users and their roles."""
        return self.is_superuser or any(
            role.kind == Role.Kind.ADMINISTRATOR and role.competition_id is None for role in self.roles
        )


def actor_of(request) -> Actor:
    """Return who calls: `request` is Django's, or the API's after authentication."""
    user = getattr(request, "user", None)
    auth = getattr(request, "auth", None)
    return Actor(
        user=user if user is not None and user.is_authenticated else None,
        link=auth if isinstance(auth, TableLink) else None,
        pen=auth if isinstance(auth, Pen) else None,
    )


# --- addresses ---------------------------------------------------------------


def access_address(actor: Actor, name: str | None, method: str) -> None:
    """Check what an address asks before any object is looked at."""
    methods = ADDRESSES.get(name or "")
    if methods is None:
        raise Forbidden
    right = methods.get("GET" if method == "HEAD" else method)
    if right is None:
        return  # the view answers 405
    allowed = {
        Right.SIGNED_IN: lambda: actor.user is not None,
        Right.ORGANISE: actor.organises_a_club,
        Right.ADMINISTER: actor.administers_a_club,
        Right.LINK: lambda: actor.is_superuser or actor.holds_anywhere(ORGANISING),
        Right.ENROL: lambda: actor.is_superuser or actor.holds_anywhere(ORGANISING | REFEREEING),
        Right.ARRANGE: lambda: (
            actor.is_superuser or actor.holds_anywhere(ORGANISING | REFEREEING) or bool(actor.own_players)
        ),
        Right.PLAYER_EDIT: lambda: actor.user is not None,
        Right.COACH: lambda: actor.holds_anywhere({Role.Kind.COACH}),
    }.get(right)
    if allowed is not None and not allowed():
        raise Forbidden


# --- competitions ------------------------------------------------------------


def runs_competition(actor: Actor, competition: Competition) -> bool:
    """Whether `actor` sees all of a competition, published or not."""
    club, own = competition.club_id, competition.pk
    return (
        actor.organises(club, own)
        or actor.holds(REFEREEING, club, own)
        or (actor.link is not None and actor.link.competition_id == own)
    )


def access_competition(
    actor: Actor, competition: Competition, right: Literal["read", "manage"], part: str | None = None
) -> None:
    """Check that `actor` may see or manage a competition; `part`: may see what is published apart."""
    shown = competition.published if part is None else competition.shows(part)
    if not shown and not runs_competition(actor, competition):
        raise NotVisible
    if right != "read" and not actor.organises(competition.club_id, competition.pk):
        raise Forbidden


def access_part(actor: Actor, name: str | None, keys: Mapping[str, Any]) -> None:
    """Check that an address of `PARTS` about a competition shows a part that `actor` may see."""
    part = PARTS.get(name or "")
    if part is not None and not actor.is_superuser:
        found = Competition.objects.filter(pk=keys["pk"]).first()
        if found is None:
            raise NotVisible
        access_competition(actor, found, "read", part)


def _covered(actor: Actor, kinds: Collection[str], club: str, competition: str) -> Q:
    """Return the rows that a role of these kinds covers; the arguments name the columns."""
    found = Q(pk__in=[])
    for role in actor.roles:
        if role.kind in kinds:
            found |= (
                Q(**{club: role.club_id})
                if role.competition_id is None
                else Q(**{competition: role.competition_id})
            )
    return found


def visible_competitions(actor: Actor) -> QuerySet[Competition]:
    """Return the competitions that `access_competition` lets `actor` read."""
    if actor.is_superuser:
        return Competition.objects.all()
    seen = Q(published=True) | _covered(actor, ORGANISING | REFEREEING, "club", "pk")
    if actor.link is not None:
        seen |= Q(pk=actor.link.competition_id)
    return Competition.objects.filter(seen)


def managed_competitions(actor: Actor) -> QuerySet[Competition]:
    """Return the competitions that `access_competition` lets `actor` manage."""
    if actor.is_superuser:
        return Competition.objects.all()
    return Competition.objects.filter(_covered(actor, ORGANISING, "club", "pk"))


# --- matches -----------------------------------------------------------------

# Matches that everybody may read.
PUBLISHED = Q(competition__published=True) & ~Q(competition__withheld__contains="sheets")


def organises_match(actor: Actor, match: Match) -> bool:
    """Whether `actor` is an organiser of the match."""
    return actor.organises(match.club_id, match.competition_id)


def _at_the_table(actor: Actor, match: Match) -> bool:
    """Whether `actor` is a device that was let in for this match."""
    if actor.pen is not None:
        return actor.pen.match_id == match.pk
    link = actor.link
    return (
        link is not None
        and link.table_id == match.projection.table_id
        and link.competition_id == match.competition_id
    )


def plays_match(actor: Actor, match: Match) -> bool:
    """Whether `actor` is one of the two players."""
    return not actor.own_players.isdisjoint(match.entrant_ids)


def writes_match(actor: Actor, match: Match) -> bool:
    """Whether `actor` may write play into the match; says nothing about who holds the pen."""
    if organises_match(actor, match) or _at_the_table(actor, match):
        return True
    if match.competition_id is not None:
        return actor.holds(REFEREEING, match.club_id, match.competition_id) or (
            match.competition.players_score and plays_match(actor, match)
        )
    opened_it = actor.user is not None and match.created_by_id == actor.user.pk
    return opened_it and (plays_match(actor, match) or actor.holds(REFEREEING, match.club_id))


def reads_match(actor: Actor, match: Match) -> bool:
    """Whether `actor` may know of the match."""
    if match.competition is not None and match.competition.shows("sheets"):
        return True
    if writes_match(actor, match) or plays_match(actor, match):
        return True
    if match.competition is not None or actor.user is None:
        return False
    return match.created_by_id == actor.user.pk or match.pens.filter(user_id=actor.user.pk).exists()


def access_match(actor: Actor, match: Match, right: Literal["read", "write", "correct"]) -> None:
    """Check that `actor` may read or write a match, or correct it after its confirmation."""
    # Who may write may read: the usual case asks nothing of the competition.
    if right == "write" and writes_match(actor, match):
        return
    if not reads_match(actor, match):
        raise NotVisible
    if right == "write" or (right == "correct" and not organises_match(actor, match)):
        raise Forbidden


def visible_matches(actor: Actor) -> QuerySet[Match]:
    """Return the matches that `access_match` lets `actor` read."""
    if actor.is_superuser:
        return Match.objects.all()
    seen = PUBLISHED
    seen |= _covered(actor, ORGANISING, "club", "competition")
    seen |= _covered(actor, REFEREEING, "club", "competition") & Q(competition__isnull=False)
    if actor.user is not None:
        seen |= Q(entrant_a__in=actor.own_players) | Q(entrant_b__in=actor.own_players)
        alone = Q(created_by=actor.user) | Q(pk__in=Pen.objects.filter(user=actor.user).values("match"))
        seen |= Q(competition__isnull=True) & alone
    if actor.link is not None:
        seen |= Q(competition=actor.link.competition_id, projection__table=actor.link.table_id)
    if actor.pen is not None:
        seen |= Q(pk=actor.pen.match_id)
    return Match.objects.filter(seen)


def access_new_match(
    actor: Actor, club: Club, competition: Competition | None, entrants: Collection[int]
) -> None:
    """Check that `actor` may arrange a match between these players."""
    own = None if competition is None else competition.pk
    if actor.organises(club.pk, own) or actor.holds(REFEREEING, club.pk, own):
        return
    if competition is None and not actor.own_players.isdisjoint(entrants):
        return
    raise Forbidden


# --- players -----------------------------------------------------------------

# What a player may change of the own row; everything else is an organiser's.
OWN_FIELDS = frozenset({"consent", "report_open"})


def access_player(actor: Actor, player: Player, fields: Collection[str]) -> None:
    """Check that `actor` may change these fields of a player."""
    own = player.pk in actor.own_players
    # Whether the report is open to outsiders is for the player alone to say.
    if "report_open" in fields and not own:
        raise Forbidden
    if actor.organises_a_club() or (own and OWN_FIELDS.issuperset(fields)):
        return
    raise Forbidden


def access_new_player(actor: Actor, fields: Mapping[str, Any]) -> None:
    """Check that `actor` may enrol a player; referees enrol guests only.

    Linking a user gives that user the player's rights: an organiser of the club does it.
    """
    if actor.organises_a_club():
        return
    bare = fields.get("user") is None and not fields.get("report_open")
    if bare and actor.holds_anywhere(ORGANISING):
        return
    if bare and fields.get("guest") and actor.holds_anywhere(REFEREEING):
        return
    raise Forbidden


def reads_player(actor: Actor, player: Player) -> bool:
    """Whether `actor` sees the private columns of a player: user, consent, numbers."""
    return actor.organises_a_club() or player.pk in actor.own_players


def named_players(actor: Actor) -> QuerySet[Player]:
    """Return the players whose name `actor` is shown."""
    players = Player.objects.filter(merged_into__isnull=True)
    if actor.names_open:
        return players
    return players.filter(published=True, name__isnull=False).exclude(consent=Player.Consent.NONE)


# --- users -------------------------------------------------------------------


def access_person(actor: Actor, person: Any) -> None:
    """Check that `actor` may change a user: the roles, the player, the password, the way in."""
    if actor.is_superuser or (actor.administers_a_club() and not person.is_superuser):
        return
    raise Forbidden
