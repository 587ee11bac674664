"""Teams of a season: the tables and rounds, one team with its squad, and what is to be done now."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from scoring.access import Actor, NotVisible
from scoring.conducting import read_state
from scoring.encounter_rights import access_league, author_of, captain_of, find_league, reads_part
from scoring.encounter_view import in_squad_order
from scoring.league_tables import League, late, read_league, reasons_of
from scoring.models import Competition, Encounter, Player, SquadMember, Team
from scoring.rules.averages import shown
from scoring.rules.event.leaving_teams import has_left
from scoring.rules.event.season import begun, rule_of
from scoring.rules.match.checks import Refused
from scoring.rules.ranking import Ranked
from scoring.rules.said import Malformed
from scoring.seasons import do_deduct
from scoring.standing import criterion_name, exactly
from scoring.teams import (
    do_change_team,
    do_enter_team,
    do_register,
    do_reinstate_team,
    do_release,
    do_withdraw_team,
    read_leaving,
)

from .event_forms import sent_id
from .fields import NameField, PlainForm, add_reason, number
from .gate import page
from .words import short_name, speak

# Rows of a list that are shown at once; of more, a part and the way to the rest.
MOST_ROWS = 60


class TeamForm(PlainForm):
    """A team that is entered."""

    name = NameField(label=_("Name of the team"), max_length=120)
    captain = forms.TypedChoiceField(label=_("Captain"), coerce=int, empty_value=None, required=False)
    division = number(_("Division"), 20, _("1 is the highest."), least=1, initial=1, required=True)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["captain"].choices = player_choices(gettext("named later"))


class MemberForm(PlainForm):
    """A player who is registered for a team."""

    player = forms.TypedChoiceField(label=_("Player"), coerce=int)
    points = number(
        _("Points"), 1_000_000, _("Of the average the player is registered with; none: a newcomer.")
    )
    innings = number(_("in innings"), 1_000_000, least=1)
    distance = number(_("Distance"), 1000, _("Left empty: the own one, or that of the season."), least=1)
    substitute = forms.BooleanField(label=_("a substitute"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["player"].choices = player_choices()


class CaptainForm(PlainForm):
    """Who is the captain of a team."""

    captain = forms.TypedChoiceField(label=_("Captain"), coerce=int, empty_value=None, required=False)

    def __init__(self, *args: Any, squad: list[SquadMember], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = [(one.player_id, one.player.full_name) for one in squad]
        first = self.initial.get("captain")
        if first is not None and first not in dict(known):
            known.append((first, self.initial["captain_name"]))
        self.fields["captain"].choices = [("", gettext("nobody")), *known]


class LeaveForm(PlainForm):
    """Why a whole team withdraws, or comes back."""

    why = forms.CharField(label=_("Why"), max_length=500)


class DeductForm(PlainForm):
    """Points that are taken from a team."""

    match_points = number(_("Match points"), 1000)
    board_points = number(_("Board points"), 1000)
    why = forms.CharField(label=_("Why"), max_length=500, help_text=_("The table shows it."))


def player_choices(empty: str | None = None) -> list[tuple[Any, str]]:
    """Return the players of the club to choose from, by name."""
    rows = Player.objects.named().filter(merged_into=None, name__isnull=False)
    listed = [(one.pk, one.full_name) for one in rows.order_by("name__family", "name__given", "pk")]
    return [("", empty if empty is not None else gettext("choose")), *listed]


def tried(form: forms.Form, act: Any) -> bool:
    """Do what a form asks for; what the rules refuse is said in the form."""
    if not form.is_valid():
        return False
    try:
        act(form.cleaned_data)
    except Malformed as refusal:
        add_reason(form, refusal.field.rpartition(".")[2], refusal)
    except Refused as refusal:
        form.add_error(None, speak(refusal.reason))
    return not form.errors


# --- the teams of a competition ------------------------------------------------


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@page
def teams(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show the tables, the rounds and the players of a season; organisers enter teams."""
    competition = find_league(actor, pk, "manage" if request.method == "POST" else "read")
    form = TeamForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and tried(form, lambda told: _enter(competition, actor, told)):
        return redirect("competition-teams", pk=pk)
    league = read_league(competition)
    shown = len(league.players) if "everybody" in request.GET else MOST_ROWS
    schedule = reads_part(actor, competition, "schedule")
    context = {
        "competition": competition,
        "manages": actor.organises(competition.club_id, competition.pk),
        "league": league,
        "begun": begun(league.state),
        "divisions": [_division(league, part) for part in league.divisions],
        **(
            _rounds(league, request.GET.get("round"), reads_part(actor, competition, "results"))
            if schedule
            else {}
        ),
        "players": [_player_row(league, one, actor) for one in league.players[:shown]],
        "more_players": len(league.players) > shown and len(league.players),
        "deductions": _deductions(league) if actor.names_open else [],
        "teams": sorted(league.teams.values(), key=lambda one: one.name),
        "form": form,
    }
    return render(request, "scoring/teams.html", context)


def _enter(competition: Competition, actor: Actor, told: dict[str, Any]) -> None:
    captain = None if told["captain"] is None else Player.objects.get(pk=told["captain"])
    do_enter_team(
        competition, told["name"], author_of(actor, True), division=told["division"], captain=captain
    )


def _division(league: League, part: Any) -> dict[str, Any]:
    rows = []
    for at, one in enumerate(part.ranked):
        after = part.ranked[at + 1] if at + 1 < len(part.ranked) else None
        rows.append(
            {
                "rank": one.rank,
                "shared": one.shared,
                "team": league.teams[one.row.key],
                "match_points": exactly(one.row.match_points),
                "board_points": exactly(one.row.board_points),
                "points": one.row.points,
                "innings": one.row.innings,
                "average": league.cut(one.row.points, one.row.innings),
                "moves": league.step(one.row.key),
                "left": has_left(league.state, one.row.key),
                "why": _why(league, one, after),
            }
        )
    return {"name": part.name, "provisional": part.provisional, "rows": rows}


def _why(league: League, one: Ranked, after: Ranked | None) -> dict[str, str] | None:
    if one.by is None or after is None:
        return None
    return {
        "criterion": speak(criterion_name(one.by.criterion)),
        "better": exactly(one.by.better),
        "worse": exactly(one.by.worse),
        "next": league.teams[after.row.key].name,
    }


def _rounds(league: League, chosen: str | None, results: bool) -> dict[str, Any]:
    """Return the encounters by round, of all divisions together; of a long season one round and the others' numbers.

    The round that is shown unless another is chosen: the first that is not finished, else the last.
    """
    by_round: dict[int, list[Encounter]] = {}
    for one in league.encounters:
        by_round.setdefault(one.round, []).append(one)
    numbers = sorted(by_round)
    shown = numbers
    if len(league.encounters) > MOST_ROWS:
        now = next((at for at in numbers if any(is_open(one) for one in by_round[at])), numbers[-1])
        shown = [int(chosen) if chosen in map(str, numbers) else now]
    return {
        "rounds": [
            {"number": at, "encounters": [brief(league, one, results) for one in by_round[at]]}
            for at in shown
        ],
        "other_rounds": numbers if len(shown) < len(numbers) else [],
    }


def is_open(one: Encounter) -> bool:
    """Whether an encounter is still to come to an end."""
    return one.status not in (Encounter.Status.CONFIRMED, Encounter.Status.AWARDED, Encounter.Status.ANNULLED)


def brief(league: League, one: Encounter, results: bool = True) -> dict[str, Any]:
    """Return an encounter as a list shows it; results: the reader may see them."""
    points = league.points_of(one) if results else None
    return {
        "encounter": one,
        "division": one.group.name if len(league.divisions) > 1 else "",
        "late": late(one, league.state["encounters"][str(one.pk)], league.rule),
        "score": None if points is None else [exactly(value) for value in points["match_points"]],
        "boards": None if points is None else [exactly(value) for value in points["board_points"]],
    }


def _player_row(league: League, one: Ranked, actor: Actor) -> dict[str, Any]:
    player = league.named[one.row.key]
    return {
        "rank": one.rank,
        "shared": one.shared,
        "pk": player.pk,
        "name": player.shown_name(actor.names_open),
        "points": one.row.points,
        "innings": one.row.innings,
        "average": league.cut(one.row.points, one.row.innings),
        "best": league.cut(*one.row.best) if one.row.best else None,
        "high_run": one.row.high_run,
    }


def _deductions(league: League) -> list[dict[str, Any]]:
    if not league.deductions:
        return []
    why = reasons_of(league.competition, "deduct")
    return [
        {
            "team": league.teams[one.team].name if one.team in league.teams else "",
            "match_points": one.match_points,
            "board_points": one.board_points,
            "why": why.get(seq, ""),
        }
        for seq, one in league.deductions
    ]


# --- one team ------------------------------------------------------------------


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@page
def team(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show a team: what is to be done now, its squad, its encounters; organisers change it."""
    found = Team.objects.select_related("competition__club", "captain__name").filter(pk=pk).first()
    if found is None:
        raise NotVisible
    access_league(actor, found.competition, "manage" if request.method == "POST" else "read")
    squad = in_squad_order(SquadMember.objects.filter(team=found, until=None).select_related("player__name"))
    act = request.POST.get("act") if request.method == "POST" else None
    built = _forms(found, squad, request.POST if act else None, act)
    if act == "release" and _release(request, found, actor):
        return redirect("team", pk=pk)
    if act in built and tried(built[act], lambda told: _change(found, actor, act, told)):
        return redirect("team", pk=pk)
    manages = actor.organises(found.competition.club_id, found.competition_id)
    state = read_state(found.competition)
    rule = rule_of(state)
    rows = Encounter.objects.select_related("home", "away", "group")
    own = list((rows.filter(home=found) | rows.filter(away=found)).order_by("round", "pk"))
    shown = own if reads_part(actor, found.competition, "schedule") else []
    met = [{"encounter": one, "late": late(one, state["encounters"][str(one.pk)], rule)} for one in shown]
    acts = manages or captain_of(actor, found)
    gone = has_left(state, found.pk)
    context = {
        "gone": gone,
        "leaving": read_leaving(found, state, own) if manages and not gone else None,
        "team": found,
        "competition": found.competition,
        "manages": manages,
        "squad": [_member(one, actor) for one in squad],
        "captain": found.captain.shown_name(actor.names_open) if found.captain else None,
        "encounters": met,
        "planned": bool(own),
        "to_do": [told for one in met for told in to_do(one, found, state)] if acts else [],
        "forms": built,
        "acted": act,
    }
    return render(request, "scoring/team.html", context)


def _forms(found: Team, squad: list[SquadMember], posted: Any, act: str | None) -> dict[str, forms.Form]:
    captain = {"captain": found.captain_id, "captain_name": str(found.captain or "")}
    return {
        "register": MemberForm(posted if act == "register" else None, prefix="register"),
        "captain": CaptainForm(
            posted if act == "captain" else None, prefix="captain", initial=captain, squad=squad
        ),
        "deduct": DeductForm(posted if act == "deduct" else None, prefix="deduct"),
        "leave": LeaveForm(posted if act == "leave" else None, prefix="leave"),
        "return": LeaveForm(posted if act == "return" else None, prefix="return"),
    }


def _change(found: Team, actor: Actor, act: str | None, told: dict[str, Any]) -> None:
    author = author_of(actor, True)
    if act == "register":
        player = Player.objects.get(pk=told["player"])
        registered = {name: told[name] for name in ("points", "innings", "distance", "substitute")}
        do_register(found, player, registered, author)
    elif act == "captain":
        captain = None if told["captain"] is None else Player.objects.get(pk=told["captain"])
        do_change_team(found, {"captain": captain}, author)
    elif act == "leave":
        do_withdraw_team(found, told["why"], author)
    elif act == "return":
        do_reinstate_team(found, told["why"], author)
    else:
        amounts = {name: told[name] for name in ("match_points", "board_points")}
        do_deduct(found, told["why"], author, **amounts)


def _release(request: HttpRequest, found: Team, actor: Actor) -> bool:
    player = sent_id(request.POST.get("player"))
    row = SquadMember.objects.filter(team=found, until=None, player=player).first()
    if row is None:
        return False
    do_release(found, row.player, author_of(actor, True))
    return True


def _member(one: SquadMember, actor: Actor) -> dict[str, Any]:
    return {
        "pk": one.player_id,
        "name": one.player.shown_name(actor.names_open),
        "short": short_name(one.player, actor),
        "points": one.points,
        "innings": one.innings,
        "average": shown(one.points, one.innings, 3, "truncate") if one.innings else None,
        "distance": one.distance,
        "substitute": one.substitute,
        "since": one.since,
    }


def to_do(row: dict[str, Any], team: Team, state: Any) -> list[dict[str, Any]]:
    """Return what a team has to do in an encounter now, in words, with what is late."""
    encounter: Encounter = row["encounter"]
    one = state["encounters"][str(encounter.pk)]
    side = "home" if encounter.home_id == team.pk else "away"
    said: list[str] = []
    asked = one["proposed"]
    if asked is not None and asked["side"] != side:
        said.append(gettext("answer the postponement"))
    if encounter.status == Encounter.Status.PLANNED and one["line_ups"][side] is None:
        # Only the next one: a whole season of line-ups is nobody's list.
        earlier = [
            other["round"]
            for other in state["encounters"].values()
            if team.pk in (other["home"], other["away"])
            and other["award"] is None
            and other["line_ups"]["home" if other["home"] == team.pk else "away"] is None
        ]
        if encounter.round == min(earlier):
            said.append(gettext("enter the line-up"))
    if encounter.status == Encounter.Status.LINED_UP and side == "home":
        said.append(gettext("enter the sheet"))
    if encounter.status == Encounter.Status.ENTERED and side == "away":
        said.append(gettext("confirm the sheet, or dispute a board"))
    return [{"encounter": encounter, "what": what, "late": row["late"]} for what in said]
