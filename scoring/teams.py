"""Teams of a season: entering one, its captain, its squad. Every step is an entry of the competition's ledger."""

from __future__ import annotations

import datetime
import uuid as uuids
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from scoring.conducting import Recorded, do_record
from scoring.encounters import follow
from scoring.ledger import CLOSED, Author
from scoring.models import Club, Competition, Encounter, Player, SquadMember, Team
from scoring.rules.event.entry import State
from scoring.rules.event.leaving_teams import decided_by_leaving
from scoring.rules.event.regulations import Regulations
from scoring.rules.event.season import a_day
from scoring.rules.match.checks import Refused
from scoring.rules.reading import a_text
from scoring.rules.said import Malformed, said

# What a player is registered with.
REGISTERED = ("points", "innings", "distance", "substitute", "since")


@transaction.atomic
def do_enter_team(
    competition: Competition,
    name: str,
    author: Author,
    *,
    division: int = 1,
    club: Club | None = None,
    captain: Player | None = None,
    uuid: uuids.UUID | None = None,
) -> Team:
    """Let a team take part; again with the same uuid gives the team it made. Raises Malformed (`name`)."""
    uuid = uuid or uuids.uuid4()
    found = Team.objects.filter(uuid=uuid).first()
    if found is not None:
        return found
    name = " ".join(a_text(name, "name", 120).split())
    _check_name(competition, name)
    team = Team.objects.create(uuid=uuid, competition=competition, club=club, name=name)
    do_record(
        competition,
        "team",
        {"team": team.pk, "division": division},
        author,
        uuid=uuids.uuid5(uuid, "entered"),
    )
    if captain is not None:
        do_name_captain(team, captain, author, uuid=uuids.uuid5(uuid, "captain"))
    return team


def _check_name(competition: Competition, name: str, but: int | None = None) -> None:
    if Team.objects.filter(competition=competition, name__iexact=name).exclude(pk=but).exists():
        raise Malformed("name", said("Another team of this season has that name."))


@transaction.atomic
def do_name_captain(
    team: Team, player: Player | None, author: Author, uuid: uuids.UUID | None = None
) -> None:
    """Say who enters the line-ups and sheets of a team."""
    fields = {"team": team.pk, "player": None if player is None else player.pk}
    do_record(team.competition, "captain", fields, author, uuid=uuid)
    team.captain = player
    team.save(update_fields=["captain"])


@transaction.atomic
def do_change_team(team: Team, changes: Mapping[str, Any], author: Author) -> Team:
    """Change the name, the captain, the division or the club of a team. Raises Refused once it is closed."""
    held = Competition.objects.select_for_update(of=("self",)).get(pk=team.competition_id)
    if held.closed_at is not None:
        raise Refused("closed", CLOSED)
    if "name" in changes:
        name = " ".join(a_text(changes["name"], "name", 120).split())
        _check_name(team.competition, name, team.pk)
        team.name = name
    if "club" in changes:
        team.club = changes["club"]
    team.save(update_fields=["name", "club"])
    if "captain" in changes and changes["captain"] != team.captain:
        do_name_captain(team, changes["captain"], author)
    if changes.get("division") is not None:
        do_record(team.competition, "team", {"team": team.pk, "division": changes["division"]}, author)
    return team


@transaction.atomic
def do_register(
    team: Team,
    player: Player,
    registered: Mapping[str, Any],
    author: Author,
    uuid: uuids.UUID | None = None,
) -> SquadMember:
    """Take a player into a squad, or change what the player is registered with.

    registered: points in innings, the average that boards are ordered by (neither: a newcomer), distance,
    substitute, since. Raises Malformed and Refused.
    """
    told = {name: value for name, value in registered.items() if value is not None}
    unknown = next((name for name in told if name not in REGISTERED), None)
    if unknown is not None:
        raise Malformed(unknown, said("this name is not known here"))
    if isinstance(told.get("since"), datetime.date):
        told["since"] = a_day(told["since"], "since")
    fields = {"team": team.pk, "player": player.pk, **told}
    done = do_record(team.competition, "squad", fields, author, uuid=uuid)
    held = SquadMember.objects.filter(team=team, player=player, until=None).first()
    if done.known and held is not None:
        return held
    member = held or SquadMember(
        team=team, player=player, uuid=uuids.uuid5(done.entry.uuid, "member"), since=timezone.localdate()
    )
    data = done.entry.data
    member.points, member.innings = data.get("points"), data.get("innings")
    member.distance, member.substitute = data.get("distance"), bool(data.get("substitute"))
    if "since" in data:
        member.since = datetime.date.fromisoformat(data["since"])
    member.save()
    return member


@transaction.atomic
def do_release(
    team: Team,
    player: Player,
    author: Author,
    until: datetime.date | None = None,
    uuid: uuids.UUID | None = None,
) -> None:
    """Let a player leave a squad; what was played for the team stays."""
    day = until or timezone.localdate()
    fields = {"team": team.pk, "player": player.pk, "until": day.isoformat()}
    if do_record(team.competition, "squad-leave", fields, author, uuid=uuid).known:
        return
    changed = SquadMember.objects.filter(team=team, player=player, until=None).update(until=day)
    if not changed:
        raise Refused("not-in-the-squad", said("This player is not in the squad."))


# --- a whole team leaves -------------------------------------------------------


@dataclass(frozen=True)
class Leaving:
    """What a team's leaving decides: annul, encounters that stay as played, and those it decides."""

    annul: bool
    kept: list[Encounter]
    decided: list[Encounter]


def read_leaving(team: Team, state: State, own: Sequence[Encounter]) -> Leaving:
    """Return what would follow for the team's own encounters if it withdrew now, by its regulations."""
    annul = Regulations.stored(team.competition.regulations).withdrawals == "annul"
    decided = set(decided_by_leaving(state, team.pk, annul))
    return Leaving(
        annul, [one for one in own if one.pk not in decided], [one for one in own if one.pk in decided]
    )


@transaction.atomic
def do_withdraw_team(
    team: Team, why: str, author: Author, *, annul: bool | None = None, uuid: uuids.UUID | None = None
) -> None:
    """Let a whole team leave the season: what it played is kept and the rest goes to the others, or all is annulled.

    annul: None: as the regulations of the competition have it.
    """
    if annul is None:
        annul = Regulations.stored(team.competition.regulations).withdrawals == "annul"
    fields = {"team": team.pk, "annul": annul, "why": why}
    _follow_all(team, do_record(team.competition, "team-withdraw", fields, author, uuid=uuid))


@transaction.atomic
def do_reinstate_team(team: Team, why: str, author: Author, uuid: uuids.UUID | None = None) -> None:
    """Bring a team back that withdrew: its encounters stand as before. Raises Refused once more followed."""
    _follow_all(
        team, do_record(team.competition, "team-reinstate", {"team": team.pk, "why": why}, author, uuid=uuid)
    )


def _follow_all(team: Team, done: Recorded) -> None:
    if not done.known:
        for one in Encounter.objects.filter(Q(home=team) | Q(away=team)):
            follow(one, done.state)
