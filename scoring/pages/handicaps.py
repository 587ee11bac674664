"""Handicaps at the desk: what a rule proposes, what a secretary answers, what everybody plays to."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods, require_POST

from scoring.access import Actor, NotVisible, reads_player
from scoring.beside import Chance, told_chances
from scoring.handicapping import (
    LEAST_INNINGS,
    LONGEST,
    Request,
    distances_on,
    do_answer,
    do_propose,
    do_set_distance,
    history_of,
    open_proposals,
    working_of,
)
from scoring.models import Club, HandicapDistance, HandicapProposal, Player
from scoring.models.base import today
from scoring.regulations import disciplines_of
from scoring.rules.averages import shown
from scoring.rules.handicaps import METHODS
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed

from .fields import DayField, PlainForm, add_reason, number
from .gate import page
from .words import speak

DEFAULT_DISCIPLINE = "three-cushion"
SAME = ""


class WorkOutForm(PlainForm):
    """Which rule, over which matches."""

    method = forms.ChoiceField(label=_("Rule"))
    source = forms.ChoiceField(
        label=_("It goes by"),
        required=False,
        help_text=_("Averages of this discipline; or its distances, for a rule that starts from a distance."),
    )
    since = DayField(label=_("Matches from"), required=False, help_text=_("Left empty, all of them."))
    least_innings = number(
        _("Innings that are needed"), 10_000, _("With fewer, nothing is proposed."), initial=LEAST_INNINGS
    )
    upwards_only = forms.BooleanField(label=_("only upwards"), required=False)

    def __init__(self, *args: Any, games: Mapping[str, Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["method"].choices = [(code, gettext(one.name)) for code, one in METHODS.items()]
        self.fields["source"].choices = [
            (SAME, _("the same discipline")),
            *((code, gettext(one.name)) for code, one in games.items()),
        ]
        self.speak_plainly()

    def asked(self, discipline: str) -> Request:
        """Return what was asked for; call it once the form is valid."""
        given = self.cleaned_data
        least = given["least_innings"]
        return Request(
            discipline=discipline,
            method=METHODS[given["method"]],
            source=given["source"] or discipline,
            since=given["since"],
            upwards_only=given["upwards_only"],
            least_innings=LEAST_INNINGS if least is None else least,
        )


class DistanceForm(PlainForm):
    """A distance set by hand."""

    discipline = forms.ChoiceField(label=_("Discipline"), initial=DEFAULT_DISCIPLINE)
    distance = number(_("Distance"), LONGEST, least=1, required=True)
    since = DayField(label=_("In force from"), initial=today)
    why = forms.CharField(label=_("Why"), max_length=300, required=False)

    def __init__(self, *args: Any, games: Mapping[str, Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["discipline"].choices = [(code, gettext(one.name)) for code, one in games.items()]
        self.speak_plainly()


@require_http_methods(["GET", "HEAD", "POST"])
@page
def handicaps(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show what is proposed and what holds; POST works proposals out."""
    club = Club.objects.the_first()
    games = disciplines_of(club)
    discipline = _chosen(request, games)
    form = WorkOutForm(request.POST if request.method == "POST" else None, games=games)
    if request.method == "POST" and form.is_valid():
        try:
            made = do_propose(club, form.asked(discipline), today())
        except Malformed as refusal:
            add_reason(form, refusal.field, refusal)
        else:
            return redirect(f"{_address(discipline)}&worked-out={len(made)}#proposals")
    return _show(request, club, games, discipline, form)


def _chosen(request: HttpRequest, games: Mapping[str, Any]) -> str:
    asked = request.POST.get("discipline") or request.GET.get("discipline") or ""
    return (
        asked
        if asked in games
        else next(iter([DEFAULT_DISCIPLINE] if DEFAULT_DISCIPLINE in games else games))
    )


def _address(discipline: str) -> str:
    return f"{reverse('handicaps')}?discipline={discipline}"


def _show(
    request: HttpRequest,
    club: Club,
    games: Mapping[str, Any],
    discipline: str,
    form: WorkOutForm,
    refusal: str = "",
) -> HttpResponse:
    everybody = list(Player.objects.filter(merged_into__isnull=True, name__isnull=False).named())
    holds = distances_on(everybody, discipline, today())
    everybody.sort(key=lambda one: (one.name_or_none is None, one.surname, one.pk))
    rated = [one for one in everybody if one.pk in holds]
    against = _against(request, rated, holds)
    game = games[discipline]
    context = {
        "disciplines": [(code, gettext(one.name), code == discipline) for code, one in games.items()],
        "discipline": discipline,
        "form": form,
        "refusal": refusal,
        "proposals": _proposals(club, discipline, game, against, holds),
        "against": against,
        "rated": [(one, holds[one.pk], None if against is None else one.pk == against.pk) for one in rated],
        "unrated": len(everybody) - len(rated),
        "today": today(),
        "worked_out": request.GET.get("worked-out"),
    }
    return render(request, "scoring/handicaps.html", context)


def _against(
    request: HttpRequest, rated: list[Player], holds: Mapping[int, HandicapDistance]
) -> Player | None:
    """Return whom chances are told against: who was asked for, else somebody in the middle."""
    for one in rated:
        if str(one.pk) == request.GET.get("against"):
            return one
    in_order = sorted(rated, key=lambda one: (holds[one.pk].distance, one.pk))
    return in_order[len(in_order) // 2] if in_order else None


def _proposals(
    club: Club,
    discipline: str,
    game: Any,
    against: Player | None,
    holds: Mapping[int, HandicapDistance],
) -> list[dict[str, Any]]:
    rows = list(open_proposals(club, discipline))
    now, then = _chances(club, discipline, rows, against, holds)
    rounding = game.default_format["average_rounding"]
    return [
        {
            "row": row,
            "average": shown(row.points, row.innings, game.decimals, rounding) if row.innings else None,
            "working": [speak(line) for line in working_of(row).working],
            "now": now.get(row.pk),
            "then": then.get(row.pk),
        }
        for row in rows
    ]


def _chances(
    club: Club,
    discipline: str,
    rows: list[HandicapProposal],
    against: Player | None,
    holds: Mapping[int, HandicapDistance],
) -> tuple[dict[int, str | None], dict[int, str | None]]:
    """Return, by proposal, the chance against somebody at the distance that holds and at the proposed one."""
    if against is None:
        return {}, {}
    other = holds[against.pk].distance
    meant = [row for row in rows if row.player_id != against.pk]
    before = [row for row in meant if row.current is not None]
    pairings = [(row.player, row.current or 0, against, other) for row in before]
    pairings += [(row.player, row.distance, against, other) for row in meant]
    told = told_chances(club, discipline, pairings)
    words = [None if one is None else chance_words(one) for one in told]
    return (
        {row.pk: word for row, word in zip(before, words[: len(before)], strict=True)},
        {row.pk: word for row, word in zip(meant, words[len(before) :], strict=True)},
    )


def chance_words(chance: Chance) -> str:
    """Return a chance as it is said: about so many in 100, and its range."""
    return gettext("%(mean)s in 100 (%(low)s to %(high)s)") % {
        "mean": round(100 * chance.mean),
        "low": round(100 * chance.low),
        "high": round(100 * chance.high),
    }


@require_POST
@page
def handicaps_answer(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Approve or decline the proposals that were chosen."""
    club = Club.objects.the_first()
    games = disciplines_of(club)
    discipline = _chosen(request, games)
    chosen = [int(one) for one in request.POST.getlist("proposal") if one.isdecimal() and len(one) < 10]
    refusal = ""
    try:
        since = datetime.date.fromisoformat(request.POST.get("since", ""))
    except ValueError:
        since = None
        refusal = gettext("Say from which day on the distances hold.")
    if not chosen:
        refusal = gettext("Choose at least one proposal.")
    if not refusal and since is not None:
        try:
            do_answer(
                club,
                chosen,
                approve=request.POST.get("answer") == "approve",
                since=since,
                user=actor.user,
                why=request.POST.get("why", "")[:300],
            )
        except Refused as refused:
            refusal = speak(refused.reason)
        else:
            return redirect(_address(discipline) + "#holds")
    return _show(request, club, games, discipline, WorkOutForm(games=games), refusal)


@require_http_methods(["GET", "HEAD", "POST"])
@page
def player_distances(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show the distances of a player through time; an organiser sets one by hand."""
    player = get_object_or_404(Player.objects.named(), pk=pk)
    if not reads_player(actor, player):
        raise NotVisible
    organises = actor.organises_a_club()
    club = Club.objects.the_first()
    games = disciplines_of(club)
    form = DistanceForm(request.POST if request.method == "POST" else None, games=games)
    if request.method == "POST" and organises and form.is_valid():
        given = form.cleaned_data
        do_set_distance(
            club,
            player,
            given["discipline"],
            given["distance"],
            since=given["since"],
            user=actor.user,
            why=given["why"],
        )
        return redirect("player-distances", pk=player.pk)
    day = today()
    rows = [
        {
            "row": row,
            "game": gettext(games[row.discipline_code].name)
            if row.discipline_code in games
            else row.discipline_code,
            "rule": gettext(row.method["name"]) if row.method else "",
            "to_come": row.since > day,
        }
        for row in history_of(player).select_related("made_by")
    ]
    context = {"player": player, "rows": rows, "form": form, "organises": organises}
    return render(request, "scoring/player_distances.html", context)
