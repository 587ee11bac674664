"""Lots and deductions of a competition: recorded by an organiser, for everybody to read."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods, require_safe

from scoring.access import Actor
from scoring.ledger import Author
from scoring.models import Competition
from scoring.prizes import read_prizes
from scoring.ranking import do_deduct, do_draw_lot, do_give_back
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed
from scoring.standing import Standings, exactly, read_standings

from .competitions import competition_or_404
from .fields import NameField, PlainForm, add_reason
from .gate import page
from .ranking_rules import PRIZE_NAMES
from .words import short_name, speak

LONGEST_REASON = 1000


class LotForm(PlainForm):
    """A lot among some: by a seed that anybody can repeat, or in the order in which it was drawn by hand."""

    how = forms.ChoiceField(
        label=_("How it is drawn"),
        choices=[("seed", _("by a seed")), ("hand", _("by hand"))],
        widget=forms.RadioSelect,
        initial="seed",
    )
    seed = forms.CharField(
        label=_("Seed"),
        required=False,
        max_length=80,
        help_text=_("Something that nobody present chooses: a number that a child draws, say."),
    )

    def __init__(self, *args: Any, players: Sequence[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.players = players
        for place in range(len(players)):
            self.fields[f"place_{place}"] = forms.TypedChoiceField(
                label=gettext("Drawn as number %(number)s") % {"number": place + 1},
                required=False,
                coerce=int,
                empty_value=None,
                choices=[("", "–"), *players],
            )
        self.speak_plainly()

    def places(self) -> list[Any]:
        return [self[f"place_{place}"] for place in range(len(self.players))]

    def clean(self) -> dict[str, Any]:
        """Check that there is a seed, or that everybody stands in one place."""
        chosen = super().clean() or self.cleaned_data
        if chosen.get("how") == "seed" and not chosen.get("seed"):
            self.add_error("seed", _("A seed is needed to draw by it."))
        if chosen.get("how") == "hand" and set(self.drawn(chosen)) != {key for key, _name in self.players}:
            self.add_error("place_0", _("Everybody stands in one place of the drawn order."))
        return chosen

    def drawn(self, chosen: dict[str, Any]) -> list[int]:
        """Return the players in the order that was written."""
        return [key for at in range(len(self.players)) if (key := chosen.get(f"place_{at}")) is not None]


class DeductionForm(PlainForm):
    """Points that are taken from a player, with the reason."""

    player = forms.TypedChoiceField(label=_("Player"), coerce=int)
    match_points = forms.CharField(label=_("Match points that are taken"), max_length=10)
    why = NameField(label=_("Why"), max_length=LONGEST_REASON)

    def __init__(self, *args: Any, players: Sequence[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["player"].choices = players

    def clean_match_points(self) -> str:
        """Return the number as the rules read it: 1, 0.5 or 1/2."""
        return self.cleaned_data["match_points"].strip().replace(",", ".")


class GiveBackForm(PlainForm):
    """Giving points back: why."""

    entry = forms.IntegerField(widget=forms.HiddenInput)
    why = NameField(label=_("Why"), max_length=LONGEST_REASON)


@require_http_methods(["GET", "HEAD", "POST"])
@page
def competition_lot(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Draw lots, take points and give them back; `do` of the form says which."""
    competition = competition_or_404(actor, pk, "manage")
    found = read_standings(competition)
    names = {key: short_name(player, actor) for key, player in found.players.items()}
    author = Author(user_id=None if actor.user is None else actor.user.pk, organises=True)
    wanted = request.POST.get("do") if request.method == "POST" else None
    context = {"competition": competition} | _forms(request, found, names, wanted)
    if wanted is not None and _done(wanted, context, competition, author):
        return redirect("competition-lot", pk=pk)
    return render(request, "scoring/competition_lot.html", context)


def _forms(
    request: HttpRequest, found: Standings, names: dict[int, str], wanted: str | None
) -> dict[str, Any]:
    """Return the forms of the page; the one that was sent is filled in."""
    lots = []
    for players in found.waiting:
        name = "lot-" + "-".join(map(str, players))
        chosen = [(key, names[key]) for key in players]
        sent = request.POST if wanted == name else None
        form = LotForm(sent, players=chosen, auto_id=f"{name}_%s")
        lots.append({"do": name, "names": [names[key] for key in players], "form": form})
    taken = []
    for one in found.deductions:
        name = f"back-{one.entry}"
        form = GiveBackForm(
            request.POST if wanted == name else None, initial={"entry": one.entry}, auto_id=f"{name}_%s"
        )
        told = {"name": names[one.player], "points": exactly(one.match_points), "why": one.why}
        taken.append({"do": name, "entry": one.entry, "form": form} | told)
    listed = sorted(names.items(), key=lambda pair: pair[1])
    deduct = DeductionForm(request.POST if wanted == "deduct" else None, players=listed)
    return {"lots": lots, "taken": taken, "deduct": deduct, "anybody": bool(names)}


def _done(wanted: str, context: dict[str, Any], competition: Competition, author: Author) -> bool:
    """Do what the form that was sent asks for; False where it is to be mended."""
    for lot in context["lots"]:
        form = lot["form"]
        if lot["do"] == wanted and form.is_valid():
            by_hand = form.cleaned_data["how"] == "hand"
            players = form.drawn(form.cleaned_data) if by_hand else [key for key, _name in form.players]
            seed = None if by_hand else form.cleaned_data["seed"]
            return _tried(form, partial(do_draw_lot, competition, author, players, seed=seed))
    for one in context["taken"]:
        form = one["form"]
        if one["do"] == wanted and form.is_valid():
            return _tried(
                form, partial(do_give_back, competition, author, one["entry"], form.cleaned_data["why"])
            )
    form = context["deduct"]
    if wanted == "deduct" and form.is_valid():
        return _tried(form, partial(do_deduct, competition, author, **form.cleaned_data))
    return False


def _tried(form: forms.Form, verb: Callable[[], Any]) -> bool:
    try:
        verb()
    except Malformed as refusal:
        add_reason(form, refusal.field, refusal)
        return False
    except Refused as refusal:
        form.add_error(None, speak(refusal.reason))
        return False
    return True


@require_safe
@page
def prizes(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show the prizes of a competition, as they stand."""
    competition = competition_or_404(actor, pk, "read")
    return render(
        request,
        "scoring/competition_prizes.html",
        {"competition": competition, "prizes": shown_prizes(competition, actor)},
    )


def shown_prizes(competition: Competition, actor: Actor) -> list[dict[str, Any]]:
    """Return the prizes as `scoring/partials/prizes.html` shows them."""
    found = read_prizes(competition)
    return [
        {
            "name": PRIZE_NAMES[one.rule.name],
            "value": one.value,
            "working": speak(one.prize.working),
            "least": one.rule.least_innings,
            "holders": [
                {
                    "player": found.players[won.key].pk,
                    "name": found.players[won.key].shown_name(actor.names_open),
                    "match": won.match,
                }
                for won in one.prize.holders
            ],
        }
        for one in found.given
    ]
