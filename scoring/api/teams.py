"""Teams and the season of a competition through the API."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.response import Response

from scoring.access import Actor, NotVisible
from scoring.conducting import read_state
from scoring.encounter_rights import access_league, access_next_season, author_of, find_league
from scoring.encounter_view import in_squad_order
from scoring.league_tables import League, read_league, reasons_of
from scoring.ledger import Author
from scoring.models import Club, Competition, Player, SquadMember, Team
from scoring.rules.event.leaving_teams import has_left
from scoring.rules.said import Malformed, said
from scoring.seasons import (
    do_deduct,
    do_plan_season,
    do_set_rule,
    do_settle_season,
    do_start_next_season,
    do_unsettle_season,
)
from scoring.standing import exactly
from scoring.teams import (
    do_change_team,
    do_enter_team,
    do_register,
    do_reinstate_team,
    do_release,
    do_withdraw_team,
)

from .views import IdField, ObjectField, ScoringView, TextField


class MemberIn(serializers.Serializer):
    """A player of a squad and the average that boards are ordered by; without one, a newcomer."""

    player = IdField()
    points = serializers.IntegerField(min_value=0, max_value=1_000_000, required=False, allow_null=True)
    innings = serializers.IntegerField(min_value=1, max_value=1_000_000, required=False, allow_null=True)
    distance = serializers.IntegerField(min_value=1, max_value=1000, required=False, allow_null=True)
    substitute = serializers.BooleanField(required=False)
    since = serializers.DateField(required=False, allow_null=True)


class TeamIn(serializers.Serializer):
    """A team that takes part. squad: its players, added to those there are."""

    uuid = serializers.UUIDField(required=False)
    name = TextField(max_length=120)
    division = serializers.IntegerField(min_value=1, max_value=20, required=False)
    club = IdField(required=False, allow_null=True)
    captain = IdField(required=False, allow_null=True)
    squad = MemberIn(many=True, required=False)


class TeamChange(TeamIn):
    """What may be changed of a team. leave: players who leave its squad."""

    leave = serializers.ListField(child=IdField(), required=False, max_length=100)


class TeamOut(serializers.Serializer):
    """A team with its squad."""

    id = serializers.IntegerField()
    uuid = serializers.UUIDField()
    competition = serializers.IntegerField()
    name = serializers.CharField()
    division = serializers.IntegerField()
    club = serializers.IntegerField(allow_null=True)
    captain = serializers.IntegerField(allow_null=True)
    squad = serializers.ListField(child=serializers.DictField())


class LeagueStep(serializers.Serializer):
    """A step of a season.

    `rule` (rule), `plan` (divisions, rounds, seed), `deduct` (team, match_points, board_points, why),
    `settle` (up, down), `unsettle` (why), `withdraw` and `reinstate` (team, why) or `next` (name, joining, starts_on).
    """

    verb = serializers.ChoiceField(
        ["rule", "plan", "deduct", "settle", "unsettle", "withdraw", "reinstate", "next"]
    )
    uuid = serializers.UUIDField(required=False)
    rule = ObjectField(required=False)
    divisions = serializers.ListField(
        child=serializers.ListField(child=IdField(), max_length=100), required=False, max_length=20
    )
    rounds = serializers.ListField(child=ObjectField(), required=False, max_length=200)
    seed = TextField(max_length=80, required=False)
    team = IdField(required=False)
    match_points = serializers.IntegerField(min_value=0, max_value=1000, required=False)
    board_points = serializers.IntegerField(min_value=0, max_value=1000, required=False)
    why = TextField(max_length=500, required=False)
    up = serializers.ListField(child=IdField(), required=False)
    down = serializers.ListField(child=IdField(), required=False)
    name = TextField(max_length=120, required=False)
    joining = serializers.ListField(child=IdField(), required=False)
    starts_on = serializers.DateField(required=False, allow_null=True)


class LeagueOut(serializers.Serializer):
    """How a season stands: the regulations, a table a division, its players, points that were taken."""

    competition = serializers.IntegerField()
    rule = serializers.DictField()
    divisions = serializers.ListField(child=serializers.DictField())
    players = serializers.ListField(child=serializers.DictField())
    deductions = serializers.ListField(child=serializers.DictField())
    settled = serializers.DictField(allow_null=True)
    next = serializers.IntegerField(allow_null=True, required=False)


def show_team(team: Team, actor: Actor, division: int, squad: list[SquadMember]) -> dict[str, Any]:
    """Return a team; names as the reader may see them."""
    return {
        "id": team.pk,
        "uuid": str(team.uuid),
        "competition": team.competition_id,
        "name": team.name,
        "division": division,
        "club": team.club_id,
        "captain": team.captain_id,
        "squad": [
            {
                "player": one.player_id,
                "name": one.player.shown_name(actor.names_open),
                "points": one.points,
                "innings": one.innings,
                "distance": one.distance,
                "substitute": one.substitute,
                "since": one.since,
            }
            for one in squad
        ],
    }


class _TeamView(ScoringView):
    serializer_class = TeamOut

    def _player(self, pk: int | None, field: str) -> Player | None:
        if pk is None:
            return None
        found = Player.objects.named().filter(pk=pk, merged_into__isnull=True).first()
        if found is None:
            raise Malformed(field, said("There is no such player."))
        return found

    def _club(self, pk: int | None) -> Club | None:
        found = None if pk is None else Club.objects.filter(pk=pk).first()
        if pk is not None and found is None:
            raise Malformed("club", said("There is no such club."))
        return found

    def _register(self, team: Team, squad: list[dict[str, Any]]) -> None:
        for place, member in enumerate(squad):
            player = self._player(member["player"], f"squad.{place}.player")
            assert player is not None
            told = {name: value for name, value in member.items() if name != "player"}
            do_register(team, player, told, author_of(self.actor, True))

    def _show(self, team: Team) -> dict[str, Any]:
        known = read_state(team.competition)["season"]["teams"].get(str(team.pk), {})
        rows = SquadMember.objects.filter(team=team, until=None).select_related("player__name")
        return show_team(team, self.actor, known.get("division", 1), in_squad_order(rows))


class TeamsView(_TeamView):
    """The teams of a competition."""

    queryset = Team.objects.none()

    @extend_schema(operation_id="teams_list", responses=TeamOut(many=True))
    def get(self, request, pk: int):
        competition = find_league(self.actor, pk, "read")
        known = read_state(competition)["season"]["teams"]
        squads: dict[int, list[SquadMember]] = {}
        members = SquadMember.objects.filter(team__competition=competition, until=None)
        for one in in_squad_order(members.select_related("player__name")):
            squads.setdefault(one.team_id, []).append(one)

        def show(team: Team) -> dict[str, Any]:
            division = known.get(str(team.pk), {}).get("division", 1)
            return show_team(team, self.actor, division, squads.get(team.pk, []))

        return self.page(Team.objects.filter(competition=competition), show)

    @extend_schema(operation_id="teams_create", request=TeamIn, responses={201: TeamOut})
    def post(self, request, pk: int):
        competition = find_league(self.actor, pk, "manage")

        def make() -> Team:
            told = self.read(TeamIn)
            team = do_enter_team(
                competition,
                told["name"],
                author_of(self.actor, True),
                division=told.get("division", 1),
                club=self._club(told.get("club")),
                captain=self._player(told.get("captain"), "captain"),
                uuid=told.get("uuid"),
            )
            self._register(team, told.get("squad", []))
            return team

        return self.create_once(Team, lambda one: one.competition_id == competition.pk, make, self._show)


class TeamView(_TeamView):
    """One team."""

    def _find(self, pk: int, right: Any) -> Team:
        found = Team.objects.select_related("competition__club", "captain").filter(pk=pk).first()
        if found is None:
            raise NotVisible
        access_league(self.actor, found.competition, right)
        return found

    @extend_schema(operation_id="teams_read", responses=TeamOut)
    def get(self, request, pk: int):
        return self.answer(self._show(self._find(pk, "read")))

    @extend_schema(operation_id="teams_change", request=TeamChange, responses=TeamOut)
    def patch(self, request, pk: int):
        team = self._find(pk, "manage")
        told = self.read(TeamChange, partial=True)
        changes = {name: told[name] for name in ("name", "division") if name in told}
        if "club" in told:
            changes["club"] = self._club(told["club"])
        if "captain" in told:
            changes["captain"] = self._player(told["captain"], "captain")
        author = author_of(self.actor, True)
        if changes:
            do_change_team(team, changes, author)
        self._register(team, told.get("squad", []))
        for player in told.get("leave", []):
            one = self._player(player, "leave")
            assert one is not None
            do_release(team, one, author)
        return self.answer(self._show(team))


def show_season(league: League, actor: Actor) -> dict[str, Any]:
    """Return how a season stands; what compared neighbours is answered as exact fractions."""
    why = reasons_of(league.competition, "deduct") if league.deductions and actor.user else {}
    return {
        "competition": league.competition.pk,
        "rule": league.rule.to_json(),
        "divisions": [
            {
                "number": part.number,
                "name": part.name,
                "provisional": part.provisional,
                "rows": [_team_row(league, one) for one in part.ranked],
            }
            for part in league.divisions
        ],
        "players": [
            {
                "rank": one.rank,
                "player": one.row.key,
                "name": league.named[one.row.key].shown_name(actor.names_open),
                "points": one.row.points,
                "innings": one.row.innings,
                "average": league.cut(one.row.points, one.row.innings),
                "best_average": league.cut(*one.row.best) if one.row.best else None,
                "high_run": one.row.high_run,
                "separated_by": one.separated_by,
            }
            for one in league.players
        ],
        "deductions": [
            {
                "entry": seq,
                "team": one.team,
                "match_points": exactly(one.match_points),
                "board_points": exactly(one.board_points),
                "why": why.get(seq),
            }
            for seq, one in league.deductions
        ],
        "settled": league.state["season"]["settled"],
    }


def _team_row(league: League, one: Any) -> dict[str, Any]:
    row = one.row
    return {
        "rank": one.rank,
        "shared": one.shared,
        "team": row.key,
        "name": league.teams[row.key].name,
        "match_points": float(row.match_points) if row.match_points % 1 else int(row.match_points),
        "board_points": float(row.board_points) if row.board_points % 1 else int(row.board_points),
        "points": row.points,
        "innings": row.innings,
        "average": league.cut(row.points, row.innings),
        "pending": row.pending,
        "moves": league.step(row.key),
        "left": has_left(league.state, row.key),
        "separated_by": one.separated_by,
        "values": None if one.by is None else [exactly(one.by.better), exactly(one.by.worse)],
    }


class SeasonView(ScoringView):
    """The season of a competition: its tables, and the steps of its organiser."""

    serializer_class = LeagueOut

    @extend_schema(operation_id="season_read", responses=LeagueOut)
    def get(self, request, pk: int):
        competition = find_league(self.actor, pk, "read")
        return self.answer(show_season(read_league(competition), self.actor))

    @extend_schema(operation_id="season_step", request=LeagueStep, responses=LeagueOut)
    def post(self, request, pk: int):
        competition = find_league(self.actor, pk, "manage")
        told = self.read(LeagueStep)
        following = self._do(competition, told)
        answer = show_season(read_league(competition), self.actor)
        return Response(answer | {"next": following and following.pk}, status=status.HTTP_200_OK)

    def _do(self, competition: Competition, told: dict[str, Any]) -> Competition | None:
        author, uuid, verb = author_of(self.actor, True), told.get("uuid"), told["verb"]
        if verb == "rule":
            do_set_rule(competition, self._needed(told, "rule"), author, uuid)
        elif verb == "plan":
            do_plan_season(
                competition,
                author,
                divisions=told.get("divisions"),
                rounds=told.get("rounds", []),
                seed=told.get("seed"),
                uuid=uuid,
            )
        elif verb == "deduct":
            team = self._team(competition, told)
            amounts = {name: told.get(name) for name in ("match_points", "board_points")}
            do_deduct(team, self._needed(told, "why"), author, uuid=uuid, **amounts)
        elif verb in ("withdraw", "reinstate"):
            act = do_withdraw_team if verb == "withdraw" else do_reinstate_team
            act(self._team(competition, told), self._needed(told, "why"), author, uuid=uuid)
        elif verb == "settle":
            do_settle_season(competition, author, up=told.get("up"), down=told.get("down"), uuid=uuid)
        elif verb == "unsettle":
            do_unsettle_season(competition, self._needed(told, "why"), author, uuid)
        else:
            return self._next(competition, told, author)
        return None

    def _team(self, competition: Competition, told: dict[str, Any]) -> Team:
        pk = self._needed(told, "team")
        team = Team.objects.filter(competition=competition, pk=pk).select_related("competition").first()
        if team is None:
            raise serializers.ValidationError({"team": _("There is no such team.")})
        return team

    def _next(self, competition: Competition, told: dict[str, Any], author: Author) -> Competition:
        access_next_season(self.actor, competition)
        joining = list(Team.objects.filter(pk__in=told.get("joining", [])).select_related("competition"))
        for team in joining:
            access_league(self.actor, team.competition, "manage")
        return do_start_next_season(
            competition,
            author,
            name=self._needed(told, "name"),
            joining=joining,
            starts_on=told.get("starts_on"),
            uuid=told.get("uuid"),
        )

    @staticmethod
    def _needed(told: dict[str, Any], name: str) -> Any:
        if told.get(name) in (None, ""):
            raise serializers.ValidationError({name: _("This field is needed.")})
        return told[name]
