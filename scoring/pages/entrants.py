"""Entrants: who is in, present, a reserve, gone; the order of strength; one entrant leaving or coming back."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from django import forms
from django.db.models import Sum
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods

from scoring.access import Actor, named_players
from scoring.conducting import read_state
from scoring.drawing import do_replace
from scoring.entering import (
    Change,
    annuls,
    do_enter,
    do_leave,
    do_mark,
    do_reinstate,
    do_seed,
    what_leaving_does,
)
from scoring.models import ColourProjection, Competition, Player
from scoring.regulations import find_discipline
from scoring.rules.averages import shown
from scoring.rules.event.entrants import IN, OUT, playing
from scoring.rules.formats import complete_format
from scoring.stages import read_stages

from .competitions import competition_or_404
from .event_forms import Names, OnceForm, author_of, did, sent_id, sent_uuid
from .event_words import change_word, status_word
from .gate import page

# A list of more players than this is searched, not read.
MOST_OFFERED = 200
WHERE = {"players": "players", "why": "why"}


class EnterForm(OnceForm):
    """Players of the club who are not in yet."""

    players = forms.ModelMultipleChoiceField(
        Player.objects.none(), label=_("Players"), widget=forms.CheckboxSelectMultiple
    )
    reserve = forms.BooleanField(label=_("on the list of reserves"), required=False)

    def __init__(self, *args: Any, actor: Actor, entered: set[int], search: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offered = named_players(actor).exclude(pk__in=entered).named()
        if search and not self.is_bound:
            offered = offered.matching(search)
        self.fields["players"].queryset = offered.order_by("name__family", "name__given", "pk")
        self.fields["players"].label_from_instance = lambda player: player.shown_name(actor.names_open)
        self.offered = offered.count()


@require_http_methods(["GET", "HEAD", "POST"])
@page
def entrants(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """List who takes part; enter players, tick off who is there, write the order of strength."""
    competition = competition_or_404(actor, pk, "manage")
    state = read_state(competition)
    entered = {int(key) for key in state["entrants"]}
    what = request.POST.get("what") if request.method == "POST" else None
    bound = request.POST if what == "enter" else None
    search = request.GET.get("search", "")[:80]
    form = EnterForm(bound, actor=actor, entered=entered, search=search)
    author = author_of(actor)
    if what == "enter" and form.is_valid():
        players = [one.pk for one in form.cleaned_data["players"]]
        reserve = form.cleaned_data["reserve"]
        if form.does(lambda: do_enter(competition, players, author, reserve=reserve, uuid=form.uuid), WHERE):
            return redirect("competition-entrants", pk=pk)
    elif what in ("present", "absent"):
        did(request, lambda: do_mark(competition, what, sent_id(request.POST.get("player")), author))
        return redirect("competition-entrants", pk=pk)
    elif what == "move-up":
        did(request, lambda: do_enter(competition, [sent_id(request.POST.get("player"))], author))
        return redirect("competition-entrants", pk=pk)
    elif what in ("by-hand", "by-average"):
        order = _by_average(competition, state) if what == "by-average" else _by_hand(request, state)
        did(request, lambda: do_seed(competition, order, author, uuid=sent_uuid(request)))
        return redirect("competition-entrants", pk=pk)
    context = {
        "competition": competition,
        "form": form,
        "search": search,
        "rows": _rows(competition, state, actor),
        "counts": _counts(state),
        "many": form.offered > MOST_OFFERED,
    }
    return render(request, "scoring/entrants.html", context)


def _counts(state: dict[str, Any]) -> dict[str, int]:
    statuses = [one["status"] for one in state["entrants"].values()]
    return {
        "within": sum(status in IN for status in statuses),
        "present": statuses.count("present"),
        "reserve": statuses.count("reserve"),
        "gone": sum(status in OUT for status in statuses),
    }


def _rows(competition: Competition, state: dict[str, Any], actor: Actor) -> list[dict[str, Any]]:
    ids = [int(key) for key in state["entrants"]]
    named, averages = Names(actor, ids), _averages(competition, ids)
    game = find_discipline(competition.club, competition.discipline)
    cut = complete_format(None, competition.format_defaults, game)
    rank = {"entered": 0, "present": 0, "reserve": 1}
    order = sorted(
        ids,
        key=lambda pk: (
            rank.get(state["entrants"][str(pk)]["status"], 2),
            state["entrants"][str(pk)]["seed"] or 10_000,
            state["entrants"][str(pk)]["number"],
        ),
    )
    return [
        state["entrants"][str(pk)]
        | {
            "player": pk,
            "name": named(pk),
            "word": status_word(state["entrants"][str(pk)]["status"]),
            "within": state["entrants"][str(pk)]["status"] in IN,
            "average": shown(*averages[pk], cut["average_decimals"], cut["average_rounding"])
            if pk in averages
            else None,
        }
        for pk in order
    ]


def _averages(competition: Competition, ids: list[int]) -> dict[int, tuple[int, int]]:
    """Return points and innings of players, over their confirmed matches in the discipline."""
    rows = (
        ColourProjection.objects.filter(
            player__in=ids,
            counted=True,
            match__discipline_code=competition.discipline,
            match__projection__status="confirmed",
        )
        .order_by()
        .values_list("player")
        .annotate(points_all=Sum("points"), innings_all=Sum("innings"))
    )
    return {pk: (points, innings) for pk, points, innings in rows if innings}


def _by_average(competition: Competition, state: dict[str, Any]) -> list[int]:
    within = playing(state)
    averages = _averages(competition, within)
    numbers = {pk: state["entrants"][str(pk)]["number"] for pk in within}
    return sorted(
        within,
        key=lambda pk: (
            pk not in averages,
            -Fraction(*averages[pk]) if pk in averages else 0,
            numbers[pk],
        ),
    )


def _by_hand(request: HttpRequest, state: dict[str, Any]) -> list[int]:
    """Return the order that was written: by the numbers in the fields, ties as they stood."""
    within = playing(state)
    written = {pk: sent_id(request.POST.get(f"seed-{pk}")) for pk in within}
    return sorted((pk for pk in within if written[pk]), key=lambda pk: written[pk])


# --- one entrant ------------------------------------------------------------------


class LeaveForm(OnceForm):
    """Why and how somebody leaves."""

    kind = forms.ChoiceField(
        label=_("What happened"),
        choices=[
            ("withdraw", _("withdrew")),
            ("no-show", _("did not come")),
            ("disqualify", _("is disqualified")),
        ],
        widget=forms.RadioSelect,
    )
    annul = forms.ChoiceField(label=_("The player's matches"), widget=forms.RadioSelect)
    why = forms.CharField(
        label=_("Why"), max_length=1000, help_text=_("Kept with the entry, for organisers.")
    )

    def __init__(self, *args: Any, by_rule: bool, **kwargs: Any) -> None:
        kwargs["initial"] = {"annul": "annul" if by_rule else "keep", "kind": "withdraw"}
        super().__init__(*args, **kwargs)
        said = gettext(" (as the regulations have it)")
        keep = gettext("what was played stays, the rest goes to the opponents")
        drop = gettext("all of them count for nobody")
        self.fields["annul"].choices = [
            ("keep", keep + ("" if by_rule else said)),
            ("annul", drop + (said if by_rule else "")),
        ]


class BackForm(OnceForm):
    """Why somebody is back."""

    why = forms.CharField(
        label=_("Why"), max_length=1000, help_text=_("Kept with the entry, for organisers.")
    )


@require_http_methods(["GET", "HEAD", "POST"])
@page
def entrant(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Let one entrant leave, come back, or hand the seat on; what follows is shown beforehand."""
    competition = competition_or_404(actor, pk, "manage")
    state = read_state(competition)
    player = sent_id(request.GET.get("player"))
    one = state["entrants"].get(str(player))
    if one is None:
        return redirect("competition-entrants", pk=pk)
    author, gone = author_of(actor), one["status"] in OUT
    by_rule = annuls(competition)
    what = request.POST.get("what") if request.method == "POST" else None
    if what == "seat":
        stage, by = sent_id(request.POST.get("stage")), sent_id(request.POST.get("by"))
        if did(
            request,
            lambda: do_replace(competition, stage, player, by, author, uuid=sent_uuid(request)),
        ):
            return redirect("competition-entrants", pk=pk)
    form: OnceForm
    bound = request.POST if what == "status" else None
    form = BackForm(bound) if gone else LeaveForm(bound, by_rule=by_rule)
    if bound is not None and form.is_valid():
        told = form.cleaned_data

        def write() -> Any:
            if gone:
                return do_reinstate(competition, player, told["why"], author, uuid=form.uuid)
            annul = told["annul"] == "annul"
            return do_leave(
                competition, told["kind"], player, told["why"], author, annul=annul, uuid=form.uuid
            )

        if form.does(write, WHERE):
            return redirect("competition-entrants", pk=pk)
    names = Names(actor, [int(key) for key in state["entrants"]])
    context = {
        "competition": competition,
        "one": one,
        "player": player,
        "name": names(player),
        "word": status_word(one["status"]),
        "gone": gone,
        "form": form,
        "seats": _seats(competition, state, player),
        "free": [{"player": pk, "name": names(pk)} for pk in _free(state) if pk != player],
        "plans": [] if gone else _plans(competition, state, player, names),
    }
    return render(request, "scoring/entrant.html", context)


def _plans(
    competition: Competition, state: dict[str, Any], player: int, names: Names
) -> list[dict[str, Any]]:
    """Return what leaving would do, for both regulations."""
    words = ((False, gettext("Where what was played stays")), (True, gettext("Where all count for nobody")))
    return [
        {
            "word": word,
            "changes": [
                _change(one, player, names)
                for one in what_leaving_does(competition, state, "withdraw", player, annul)
            ],
        }
        for annul, word in words
    ]


def _change(one: Change, player: int, names: Names) -> dict[str, Any]:
    other = next(pk for pk in one.match.entrant_ids if pk != player)
    return {"match": one.match.pk, "against": names(other), "what": change_word(one.what)}


def _seats(competition: Competition, state: dict[str, Any], player: int) -> list[dict[str, Any]]:
    """Return the drawn stages in which the player's seat can be handed on."""
    found = []
    for now in read_stages(competition, state):
        seated = any(player in group.drawn for group in now.groups)
        written = any(one.projection.seq and player in one.entrant_ids for one in now.matches)
        if now.draw is not None and seated and not written:
            found.append({"stage": now.stage.pk, "name": now.stage.name})
    return found


def _free(state: dict[str, Any]) -> list[int]:
    """Return who may take a seat: reserves first, then whoever is entered."""
    waiting = [int(key) for key, one in state["entrants"].items() if one["status"] == "reserve"]
    return waiting + playing(state)
