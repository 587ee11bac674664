"""A season of teams: its regulations, its plan, what is taken, who moves, and the season after.

Each verb is an entry of the competition's ledger, and makes the rows that follow from it.
"""

from __future__ import annotations

import datetime
import uuid as uuids
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db import transaction
from django.db.models import F, Sum
from django.db.models.functions import Coalesce
from django.utils import timezone
from django.utils.translation import gettext

from scoring.conducting import do_record, read_state
from scoring.handicapping import Request, do_propose
from scoring.league_tables import League, read_league
from scoring.ledger import Author
from scoring.models import (
    ColourProjection,
    Competition,
    CompetitionEntry,
    Encounter,
    Group,
    MatchProjection,
    Player,
    SquadMember,
    Stage,
    Team,
)
from scoring.rules.event.entry import State
from scoring.rules.event.leaving_teams import has_left
from scoring.rules.event.ranks import drawn_order
from scoring.rules.event.regulations import Regulations
from scoring.rules.event.season import begun, read_rounds, rounds_of, rule_of
from scoring.rules.handicaps import METHODS
from scoring.rules.match.checks import Refused
from scoring.rules.reading import a_text
from scoring.rules.said import said
from scoring.teams import do_enter_team, do_register


@transaction.atomic
def do_set_rule(
    competition: Competition, rule: Mapping[str, Any], author: Author, uuid: uuids.UUID | None = None
) -> State:
    """Change the regulations of a league; what is left out stays as it is."""
    return do_record(competition, "league", {"rule": dict(rule)}, author, uuid=uuid).state


# --- the plan ------------------------------------------------------------------


@transaction.atomic
def do_plan_season(
    competition: Competition,
    author: Author,
    *,
    divisions: Sequence[Sequence[int]] | None = None,
    rounds: Sequence[Mapping[str, Any]] = (),
    seed: str | None = None,
    uuid: uuids.UUID | None = None,
) -> Stage:
    """Plan who meets whom, home and away, by the Berger tables; again, as long as nothing happened.

    divisions: team ids in the order of their numbers, the highest division first; else the teams by their
    division, in the order that `seed` draws, or in which they were entered. rounds: {on, due} of each.
    """
    uuid = uuid or uuids.uuid4()
    known = CompetitionEntry.objects.filter(uuid=uuid, kind="season").first()
    if known is not None:
        return Stage.objects.get(groups=known.data["divisions"][0]["group"])
    Competition.objects.select_for_update(of=("self",)).get(pk=competition.pk)
    state = read_state(competition)
    if begun(state):
        raise Refused("begun", said("The season has begun, so its plan stays. Postpone encounters instead."))
    chosen = [list(one) for one in divisions] if divisions is not None else _by_division(state, seed)
    if not chosen:
        raise Refused("no-teams", said("Enter teams first."))
    stage = _empty_stage(competition)
    days = read_rounds(list(rounds), "rounds")
    double = rule_of(state).double
    planned = []
    for number, teams in enumerate(chosen, 1):
        name = gettext("Division %(number)s") % {"number": number} if len(chosen) > 1 else gettext("Season")
        group = Group.objects.create(
            uuid=uuids.uuid5(uuid, f"division {number}"), stage=stage, name=name, order=number
        )
        _check_teams(competition, teams)
        Encounter.objects.bulk_create(
            Encounter(
                uuid=uuids.uuid5(uuid, f"division {number} encounter {place}"),
                group=group,
                home_id=home,
                away_id=away,
                round=at,
                **_days_of(days, at),
            )
            for place, (at, home, away) in enumerate(rounds_of(teams, double))
        )
        rows = Encounter.objects.filter(group=group).order_by("pk").values_list("pk", flat=True)
        planned.append({"group": group.pk, "teams": teams, "encounters": list(rows)})
    fields = {"divisions": planned, "double": double, "rounds": days, "seed": seed}
    do_record(competition, "season", fields, author, uuid=uuid)
    return stage


def _by_division(state: State, seed: str | None) -> list[list[int]]:
    parts: dict[int, list[int]] = {}
    for key, one in state["season"]["teams"].items():
        if has_left(state, int(key)):
            continue
        parts.setdefault(one["division"], []).append(int(key))
    listed = [parts[number] for number in sorted(parts)]
    return [drawn_order(seed, one) for one in listed] if seed else listed


def _empty_stage(competition: Competition) -> Stage:
    stage = Stage.objects.filter(competition=competition, kind=Stage.Kind.LEAGUE).first()
    if stage is None:
        return Stage.objects.create(
            competition=competition, name=gettext("Season"), kind=Stage.Kind.LEAGUE, order=1
        )
    stage.groups.all().delete()
    return stage


def _check_teams(competition: Competition, teams: Sequence[int]) -> None:
    if Team.objects.filter(competition=competition, pk__in=teams).count() < len(set(teams)):
        raise Refused("no-team", said("This team takes no part in the season."))


def _days_of(days: Sequence[Mapping[str, str | None]], number: int) -> dict[str, datetime.date | None]:
    day = days[number - 1] if number <= len(days) else {"on": None, "due": None}
    on, due = day["on"], day["due"] or day["on"]
    return {
        "scheduled_on": None if on is None else datetime.date.fromisoformat(on),
        "due_on": None if due is None else datetime.date.fromisoformat(due),
    }


# --- points taken, who moves ---------------------------------------------------


@transaction.atomic
def do_deduct(
    team: Team,
    why: str,
    author: Author,
    *,
    match_points: Any = None,
    board_points: Any = None,
    uuid: uuids.UUID | None = None,
) -> None:
    """Take points from a team, with the reason. Raises Malformed."""
    taken = {"match_points": match_points, "board_points": board_points}
    fields = {name: value for name, value in taken.items() if value not in (None, 0, "0", "")}
    do_record(team.competition, "deduct", {"team": team.pk, "why": why, **fields}, author, uuid=uuid)


@transaction.atomic
def do_settle_season(
    competition: Competition,
    author: Author,
    *,
    up: Sequence[int] | None = None,
    down: Sequence[int] | None = None,
    uuid: uuids.UUID | None = None,
) -> State:
    """Record who goes up and who goes down: as the tables and the regulations say, unless named.

    In the only division of a competition both leave it; nobody leaves the highest upwards or the lowest
    downwards where there are several.
    """
    if up is None or down is None:
        by_table = movers(read_league(competition))
        up = by_table[0] if up is None else up
        down = by_table[1] if down is None else down
    fields = {"up": list(up), "down": list(down)}
    return do_record(competition, "season-settle", fields, author, uuid=uuid).state


@transaction.atomic
def do_unsettle_season(
    competition: Competition, why: str, author: Author, uuid: uuids.UUID | None = None
) -> State:
    """Take it back who goes up and who goes down. Raises Refused once the season after was started."""
    if Competition.objects.filter(follows=competition).exists():
        raise Refused("followed", said("The next season was started from it already."))
    return do_record(competition, "season-unsettle", {"why": why}, author, uuid=uuid).state


def movers(league: League) -> tuple[list[int], list[int]]:
    """Return the teams that go up and those that go down, as the tables stand now."""
    up: list[int] = []
    down: list[int] = []
    alone = len(league.divisions) == 1
    for number, division in enumerate(league.divisions, 1):
        keys = [one.row.key for one in division.ranked]
        there = [key for key in keys if not has_left(league.state, key)]
        rising = there[: league.rule.up] if alone or number > 1 else []
        left = [key for key in keys if key not in rising]
        up += rising
        if league.rule.down and (alone or number < len(league.divisions)):
            down += left[-league.rule.down :]
    return up, down


# --- the season after ----------------------------------------------------------


@transaction.atomic
def do_start_next_season(
    competition: Competition,
    author: Author,
    *,
    name: str,
    joining: Iterable[Team] = (),
    starts_on: datetime.date | None = None,
    uuid: uuids.UUID | None = None,
) -> Competition:
    """Make the competition of the season after, which `follows` this one.

    Regulations, teams and squads are copied, each team into the division it moved to; a player is
    registered with the average of the season just played, if there was one. joining: teams of other
    competitions that move in. Where the competition is handicapped, the distances that follow from the
    averages are proposed to the secretary. Raises Refused while promotion is not settled.
    """
    uuid = uuid or uuids.uuid4()
    found = Competition.objects.filter(uuid=uuid).first()
    if found is not None:
        if found.follows_id != competition.pk:
            raise Refused("uuid-known", said("This uuid was used for something else. Send another one."))
        return found
    state = read_state(competition)
    if state["season"]["settled"] is None:
        raise Refused("not-settled", said("Settle promotion and relegation first."))
    following = Competition.objects.create(
        uuid=uuid,
        club=competition.club,
        name=a_text(name, "name", 120),
        discipline=competition.discipline,
        players_score=competition.players_score,
        format=competition.format,
        rule_set=competition.rule_set,
        average_decimals=competition.average_decimals,
        average_rounding=competition.average_rounding,
        regulations=competition.regulations,
        starts_on=starts_on,
        follows=competition,
        created_by_id=author.user_id,
    )
    do_set_rule(following, state["season"]["rule"], author, uuids.uuid5(uuid, "rule"))
    for team, division in _moved(competition, state):
        _copy_team(team, following, division, author, uuid)
    for team in joining:
        _copy_team(team, following, 1, author, uuid)
    _propose_distances(competition)
    return following


def _moved(competition: Competition, state: State) -> list[tuple[Team, int]]:
    """Return the teams that stay in the competition, each with its division of the next season."""
    settled, count = state["season"]["settled"], len(state["season"]["divisions"])
    stay = []
    for team in Team.objects.filter(competition=competition).select_related("captain", "club").order_by("pk"):
        known = state["season"]["teams"].get(str(team.pk))
        if known is None or has_left(state, team.pk):
            continue
        step = (team.pk in settled["down"]) - (team.pk in settled["up"])
        if 1 <= known["division"] + step <= count:
            stay.append((team, known["division"] + step))
    return stay


def _copy_team(team: Team, into: Competition, division: int, author: Author, uuid: uuids.UUID) -> None:
    fresh = do_enter_team(
        into,
        team.name,
        author,
        division=division,
        club=team.club,
        captain=team.captain,
        uuid=uuids.uuid5(uuid, f"team {team.pk}"),
    )
    averages = season_averages(team.competition_id)
    squad = list(SquadMember.objects.filter(team=team, until=None).select_related("player__merged_into"))
    # Those who stand in last, so that a player with two squads belongs to the own one first.
    for member in sorted(squad, key=lambda one: (one.substitute, one.pk)):
        player: Player = member.player.merged_into or member.player
        points, innings = averages.get(player.pk, (member.points, member.innings))
        registered = {
            "points": points,
            "innings": innings,
            "distance": member.distance,
            "substitute": member.substitute,
        }
        do_register(fresh, player, registered, author, uuids.uuid5(fresh.uuid, f"player {player.pk}"))


def season_averages(competition: int) -> dict[int, tuple[int, int]]:
    """Return points and innings of everybody's confirmed boards in a season; one query."""
    rows = ColourProjection.objects.filter(
        match__competition=competition,
        match__encounter__isnull=False,
        match__projection__status=MatchProjection.Status.CONFIRMED,
        counted=True,
        innings__gt=0,
        player__isnull=False,
    )
    sums = (
        rows.annotate(whole=Coalesce(F("player__merged_into"), F("player")))
        .values("whole")
        .annotate(points=Sum("points"), innings=Sum("innings"))
    )
    return {one["whole"]: (one["points"], one["innings"]) for one in sums.order_by()}


def _propose_distances(competition: Competition) -> None:
    """Propose the distances that follow from the season's averages, where its regulations name a rule."""
    chosen = Regulations.stored(competition.regulations)
    method = METHODS.get(chosen.handicap_method or "")
    if not chosen.handicapped or method is None or method.base == "distance":
        return
    asked = Request(
        competition.discipline,
        method,
        competition.discipline,
        since=competition.starts_on,
        upwards_only=chosen.upwards_only,
    )
    do_propose(competition.club, asked, timezone.localdate())
