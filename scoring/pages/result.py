"""A result that an organiser writes: a walkover, an award, totals of a match without its innings."""

from __future__ import annotations

import uuid
from typing import Any

from django import forms
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from scoring import ledger
from scoring.access import Actor
from scoring.ledger import Author
from scoring.models import Match
from scoring.rules.match.checks import Refused
from scoring.rules.match.fields import MAX_TEXT
from scoring.rules.said import Malformed
from scoring.undecided import awaits_extra, do_let_play_on

from .fields import PlainForm, add_reason, number
from .gate import match_or_404, page
from .words import short_name, speak

OUTCOMES = (
    ("walkover", _("a walkover: the opponent did not appear")),
    ("award", _("awarded by decision")),
    ("disqualified", _("won because the opponent was disqualified")),
    ("annulled", _("annulled: it counts for nobody")),
    ("played", _("played; only the totals are known")),
)
TOTALS = ("score", "innings", "high_run")


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@page
def result(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Ask an organiser for the result, and write it."""
    match = match_or_404(actor, pk, "correct")
    letting = request.POST.get("act") == "play-on"
    form = ResultForm(
        request.POST if request.method == "POST" and not letting else None,
        # Whoever comes from the counter has said what it is about.
        initial={name: request.GET[name] for name in ("outcome", "player") if name in request.GET},
        match=match,
        actor=actor,
    )
    if request.method == "POST" and not letting and form.is_valid() and do_write_result(form, match, actor):
        return redirect("match", pk=match.pk)
    playing_on = PlayOnForm(request.POST if letting else None, auto_id="on_%s")
    if letting and playing_on.is_valid() and _let_play_on(playing_on, match, actor):
        return redirect("match", pk=match.pk)
    drawn = match.projection.status == "confirmed" and awaits_extra(match)
    context = {"form": form, "match": match, "opened": form.opened}
    return render(request, "scoring/result.html", context | {"playing_on": playing_on if drawn else None})


class ResultForm(PlainForm):
    """A result as an organiser tells it."""

    outcome = forms.ChoiceField(label=_("The result is"), choices=OUTCOMES, widget=forms.RadioSelect)
    player = forms.TypedChoiceField(
        label=_("In favour of"),
        coerce=int,
        empty_value=None,
        required=False,
        help_text=_("For a match that was played, left open: who has the better share of the own distance."),
    )
    starter = forms.TypedChoiceField(
        label=_("Who started, where it was played"), coerce=int, empty_value=None, required=False
    )
    score_a = number(_("Points of the first player"), 100_000)
    score_b = number(_("Points of the second player"), 100_000)
    innings_a = number(_("Innings of the first player"), 100_000)
    innings_b = number(_("Innings of the second player"), 100_000)
    high_run_a = number(_("High run of the first player"), 100_000)
    high_run_b = number(_("High run of the second player"), 100_000)
    source = forms.CharField(label=_("Where the totals are from"), max_length=MAX_TEXT, required=False)
    why = forms.CharField(
        label=_("Why"),
        max_length=MAX_TEXT,
        help_text=_("Kept with the entry, for organisers and those at the table."),
    )

    def __init__(self, *args: Any, match: Match, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.match = match
        self.opened = match.projection.white_id is not None
        names = [(one.pk, short_name(one, actor)) for one in (match.entrant_a, match.entrant_b)]
        for field in ("player", "starter"):
            self.fields[field].choices = [("", _("not said")), *names]
        for letter, (_pk, name) in zip("ab", names, strict=True):
            self.fields[f"score_{letter}"].label = _("Points of %(name)s") % {"name": name}
            self.fields[f"innings_{letter}"].label = _("Innings of %(name)s") % {"name": name}
            self.fields[f"high_run_{letter}"].label = _("High run of %(name)s") % {"name": name}
        if self.opened:
            del self.fields["starter"]

    def clean(self) -> dict[str, Any]:
        """Ask for what the outcome needs, and for nothing else."""
        told = super().clean() or self.cleaned_data
        outcome = told.get("outcome")
        if outcome == "played":
            needed = ["score_a", "score_b", "innings_a", "innings_b"]
            if not self.opened:
                needed.append("starter")
            for name in needed:
                if name not in self.errors and told.get(name) is None:
                    self.add_error(name, _("A match that was played needs this."))
            if (told.get("high_run_a") is None) != (told.get("high_run_b") is None):
                self.add_error("high_run_a", _("Write the high runs of both, or of none."))
        elif outcome not in (None, "annulled") and told.get("player") is None:
            self.add_error("player", _("Name the player whom the result favours."))
        return told

    def entries(self) -> list[dict[str, Any]]:
        """Return what is written: the opening where it is missing, and the result."""
        told = self.cleaned_data
        result: dict[str, Any] = {"kind": "result", "outcome": told["outcome"], "why": told["why"]}
        if told["player"] is not None and told["outcome"] != "annulled":
            result["player"] = told["player"]
        if told["outcome"] != "played":
            return [result]
        first_is_white = self._white() == self.match.entrant_a_id
        for name in TOTALS:
            first, second = told[f"{name}_a"], told[f"{name}_b"]
            if first is not None:
                white, yellow = (first, second) if first_is_white else (second, first)
                result[name] = {"white": white, "yellow": yellow}
        if told["source"]:
            result["source"] = told["source"]
        if self.opened:
            return [result]
        return [{"kind": "open", "starter": told["starter"], "decided_by": "other"}, result]

    def _white(self) -> int:
        return self.match.projection.white_id if self.opened else self.cleaned_data["starter"]


class PlayOnForm(PlainForm):
    """Why a draw that was confirmed is played on."""

    why = forms.CharField(
        label=_("Why it is played on"),
        max_length=MAX_TEXT,
        help_text=_("Kept with the entry, for organisers and those at the table."),
    )


def _let_play_on(form: PlayOnForm, match: Match, actor: Actor) -> bool:
    """Strike the confirmation out; say in the form what was refused."""
    try:
        do_let_play_on(match, form.cleaned_data["why"], _author(actor))
    except Malformed as refusal:
        add_reason(form, refusal.field, refusal)
    except Refused as refusal:
        form.add_error(None, speak(refusal.reason))
    return not form.errors


def _author(actor: Actor) -> Author:
    return Author(user_id=actor.user.pk if actor.user is not None else None, organises=True)


def do_write_result(form: ResultForm, match: Match, actor: Actor) -> bool:
    """Write the result through the ledger; say in the form what was refused, and write nothing."""
    author = _author(actor)
    after = match.projection.seq
    sent = [{"uuid": str(uuid.uuid4()), "after": after} | entry for entry in form.entries()]
    with transaction.atomic():
        outcomes, _state = ledger.append_list(match.pk, sent, author)
        refused = next((one.error for one in outcomes if one.error is not None), None)
        if refused is not None:
            transaction.set_rollback(True)
    if isinstance(refused, Malformed):
        add_reason(form, refused.field, refused)
    elif isinstance(refused, Refused):
        form.add_error(None, speak(refused.reason))
    elif refused is not None:
        raise refused
    return refused is None
