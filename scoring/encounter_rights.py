"""The rights of a season of teams: what captains may do, and who reads before it is published.

Outsiders read tables, teams and squads once the standings are published, encounters with the schedule, and
what they came to with the results. A captain is the user of a team's captain. Line-ups are the captain's
alone until both are in; organisers do everything else, and enter a line-up where a captain cannot, but read
none early unless asked.
"""

from __future__ import annotations

from typing import Literal

from django.db.models import Q

from scoring.access import Actor, Forbidden, NotVisible, access_competition
from scoring.ledger import Author
from scoring.models import Competition, Encounter, SquadMember, Team

Side = Literal["home", "away"]


def captain_of(actor: Actor, team: Team) -> bool:
    """Whether the actor is the captain of a team."""
    return team.captain_id is not None and team.captain_id in actor.own_players


def of_the_league(actor: Actor, competition: Competition) -> bool:
    """Whether the actor belongs to a team of the season: as its captain, or in its squad."""
    own = actor.own_players
    if not own:
        return False
    mine = Q(captain__in=own) | Q(pk__in=SquadMember.objects.filter(player__in=own).values("team"))
    return Team.objects.filter(mine, competition=competition).exists()


def access_league(
    actor: Actor, competition: Competition, right: Literal["read", "manage"], part: str = "standings"
) -> None:
    """Check that the actor may read a part of a season, or manage it; who belongs to it reads all, always."""
    try:
        access_competition(actor, competition, right, part if right == "read" else None)
    except NotVisible:
        if not of_the_league(actor, competition):
            raise
        if right == "manage":
            raise Forbidden from None


def access_next_season(actor: Actor, competition: Competition) -> None:
    """Check that the actor may start the season after: it makes a competition, an organiser's of the club."""
    if not actor.organises(competition.club_id):
        raise Forbidden


def reads_part(actor: Actor, competition: Competition, part: str) -> bool:
    """Whether the actor reads a part of a season: everybody once it is published."""
    try:
        access_league(actor, competition, "read", part)
    except NotVisible:
        return False
    return True


def find_league(
    actor: Actor, pk: int, right: Literal["read", "manage"], part: str = "standings"
) -> Competition:
    """Return a competition once the actor may read a part of its season, or manage it."""
    found = Competition.objects.select_related("club").filter(pk=pk).first()
    if found is None:
        raise NotVisible
    access_league(actor, found, right, part)
    return found


def author_of(actor: Actor, organises: bool = False) -> Author:
    """Return who writes."""
    return Author(user_id=None if actor.user is None else actor.user.pk, organises=organises)


def organises_encounter(actor: Actor, encounter: Encounter) -> bool:
    """Whether the actor organises the season of an encounter."""
    competition = encounter.home.competition
    return actor.organises(competition.club_id, competition.pk)


def sides_of(actor: Actor, encounter: Encounter) -> list[Side]:
    """Return the sides whose captain the actor is."""
    sides: list[Side] = []
    if captain_of(actor, encounter.home):
        sides.append("home")
    if captain_of(actor, encounter.away):
        sides.append("away")
    return sides


def access_encounter(actor: Actor, encounter: Encounter, right: Literal["read", "write"]) -> None:
    """Check that the actor may read an encounter, or act in it: a captain of the two, or an organiser."""
    access_league(actor, encounter.home.competition, "read", "schedule")
    if right == "write" and not (organises_encounter(actor, encounter) or sides_of(actor, encounter)):
        raise Forbidden


def access_side(actor: Actor, encounter: Encounter, side: str) -> None:
    """Check that the actor may act for a side: its captain, or an organiser."""
    if side not in sides_of(actor, encounter) and not organises_encounter(actor, encounter):
        raise Forbidden


def access_organising(actor: Actor, encounter: Encounter) -> None:
    """Check that the actor decides about an encounter."""
    if not organises_encounter(actor, encounter):
        raise Forbidden


def reads_line_up(actor: Actor, encounter: Encounter, side: str) -> bool:
    """Whether the actor reads the line-up of a side before both are in: its captain alone."""
    return side in sides_of(actor, encounter)
