"""Planning a season of teams, settling who moves, and starting the season after."""

from __future__ import annotations

import datetime
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from scoring.access import Actor
from scoring.encounter_rights import access_next_season, author_of, find_league
from scoring.league_tables import League, read_league
from scoring.models import Competition, Team
from scoring.rules.event.season import begun, rounds_of
from scoring.seasons import (
    do_plan_season,
    do_set_rule,
    do_settle_season,
    do_start_next_season,
    do_unsettle_season,
    movers,
)

from .fields import DayField, NameField, PlainForm, number
from .gate import page
from .teams import tried


class RuleForm(PlainForm):
    """The regulations of a league."""

    boards = number(_("Boards of an encounter"), 12, least=1, required=True)
    double = forms.BooleanField(label=_("home and away: everybody meets twice"), required=False)
    by_average = forms.BooleanField(label=_("boards are in order of average"), required=False)
    leeway = forms.CharField(
        label=_("Averages may differ by"),
        max_length=12,
        required=False,
        help_text=_(
            "As much higher a player on a lower board may be before the captain is warned, 0.05 say."
        ),
    )
    substitute_average = forms.CharField(
        label=_("Highest average of a substitute"), max_length=12, required=False, help_text=_("Empty: any.")
    )
    substitute_percent = number(
        _("A substitute plays to so many per cent"), 200, _("Of the own distance."), least=50, required=True
    )
    substitute_times = number(_("A substitute plays at most so often"), 1000, _("Empty: as often as needed."))
    entry_hours = number(
        _("Hours to enter the sheet"), 1440, _("From the end of the day."), least=1, required=True
    )
    win = number(_("Match points for an encounter won"), 100, required=True)
    draw = number(_("drawn"), 100, required=True)
    loss = number(_("lost"), 100, required=True)
    board_win = number(_("Board points for a board won"), 100, required=True)
    board_draw = number(_("drawn"), 100, required=True)
    board_loss = number(_("lost"), 100, required=True)
    up = number(_("Teams that go up"), 20, required=True)
    down = number(_("Teams that go down"), 20, required=True)


class PlanForm(PlainForm):
    """When the rounds are, and how the numbers of the teams are found."""

    first_on = DayField(label=_("First round on"), required=False)
    every = number(
        _("Days from round to round"), 365, _("7 for every week."), least=1, initial=7, required=True
    )
    leeway_days = number(
        _("Days of grace"),
        365,
        _("So long after its day an encounter may be played without a postponement."),
        initial=7,
        required=True,
    )
    seed = forms.CharField(
        label=_("Seed of the draw"),
        max_length=80,
        required=False,
        help_text=_("Decides the numbers of the teams; left empty, they are in the order of entering."),
    )


class UnsettleForm(PlainForm):
    """Why promotion and relegation are open again."""

    why = forms.CharField(label=_("Why"), max_length=500)


class NextForm(PlainForm):
    """The competition of the season after."""

    name = NameField(label=_("Name of the next season"), max_length=120)
    starts_on = DayField(label=_("First day"), required=False)
    joining = forms.TypedMultipleChoiceField(
        label=_("Teams that move in from other competitions"),
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, competition: Competition, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        others = Team.objects.filter(
            competition__club=competition.club_id,
            competition__discipline=competition.discipline,
            competition__projection__state__season__settled__isnull=False,
        ).exclude(competition=competition)
        rows = others.select_related("competition").order_by("competition", "name")[:60]
        self.fields["joining"].choices = [(one.pk, f"{one.name}, {one.competition.name}") for one in rows]
        if not rows:
            del self.fields["joining"]


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@page
def season(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Let an organiser plan a season, settle it, and start the one after."""
    competition = find_league(actor, pk, "manage")
    league = read_league(competition)
    act = request.POST.get("act") if request.method == "POST" else None
    posted = request.POST if act else None
    built: dict[str, Any] = {
        "rule": RuleForm(posted if act == "rule" else None, prefix="rule", initial=league.rule.to_json()),
        "plan": PlanForm(posted if act == "plan" else None, prefix="plan"),
        "next": NextForm(posted if act == "next" else None, prefix="next", competition=competition),
        "unsettle": UnsettleForm(posted if act == "unsettle" else None, prefix="unsettle"),
        "settle": PlainForm(posted if act == "settle" else None, prefix="settle"),
    }
    made: list[Competition] = []
    if act in built and tried(built[act], lambda told: made.extend(_do(league, actor, act, told))):
        return redirect("competition-teams" if act in ("plan", "next") else "competition-season", made[0].pk)
    up, down = movers(league)
    context = {
        "competition": competition,
        "starts_next": actor.organises(competition.club_id),
        "league": league,
        "forms": built,
        "acted": act,
        "begun": begun(league.state),
        "planned": bool(league.divisions),
        "team_count": len(league.teams),
        "open": sum(not one.confirmed for one in league.met.values()),
        "up": [league.teams[key].name for key in up],
        "down": [league.teams[key].name for key in down],
        "settled": league.state["season"]["settled"],
    }
    return render(request, "scoring/season_plan.html", context)


def _do(league: League, actor: Actor, act: str | None, told: dict[str, Any]) -> list[Competition]:
    author, competition = author_of(actor, True), league.competition
    if act == "rule":
        do_set_rule(competition, {**told, "leeway": told["leeway"] or "0"} | _or_none(told), author)
    elif act == "plan":
        do_plan_season(competition, author, rounds=_days(league, told), seed=told["seed"] or None)
    elif act == "settle":
        do_settle_season(competition, author)
    elif act == "unsettle":
        do_unsettle_season(competition, told["why"], author)
    else:
        access_next_season(actor, competition)
        joining = Team.objects.filter(pk__in=told.get("joining", [])).select_related("captain", "club")
        return [
            do_start_next_season(
                competition, author, name=told["name"], joining=joining, starts_on=told["starts_on"]
            )
        ]
    return [competition]


def _or_none(told: dict[str, Any]) -> dict[str, Any]:
    return {name: told[name] or None for name in ("substitute_average", "substitute_times")}


def _days(league: League, told: dict[str, Any]) -> list[dict[str, datetime.date]]:
    """Return the days of the rounds, as far apart as told."""
    if told["first_on"] is None:
        return []
    sizes: dict[int, int] = {}
    for one in league.state["season"]["teams"].values():
        sizes[one["division"]] = sizes.get(one["division"], 0) + 1
    most = max(
        (
            at
            for size in sizes.values()
            for at, _h, _a in rounds_of(list(range(1, size + 1)), league.rule.double)
        ),
        default=0,
    )
    step, grace = (datetime.timedelta(days=told[name]) for name in ("every", "leeway_days"))
    days = [told["first_on"] + number * step for number in range(most)]
    return [{"on": day, "due": day + grace} for day in days]
