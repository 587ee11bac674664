"""Closing a competition, opening it again, and proving that nothing was changed in between."""

from __future__ import annotations

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from scoring.access import Actor, runs_competition
from scoring.closing import MOST_FOR_VISITORS, count_entries, do_close, do_reopen, open_matches
from scoring.closing import verify as verified
from scoring.conducting import read_state
from scoring.models import Competition
from scoring.publishing import whys
from scoring.rules.match.checks import Refused
from scoring.storable import fit_to_store

from .competition_front import reopened
from .competitions import competition_or_404
from .fields import PlainForm
from .gate import page
from .publishing import author_of
from .words import speak


class WhyForm(PlainForm):
    """Why; everybody reads it."""

    why = forms.CharField(label=_("Why"), max_length=300, required=False)

    def __init__(self, *args, needed: bool, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["why"].required = needed
        self.fields["why"].help_text = _("Everybody who reads the page reads it.")

    def clean_why(self) -> str:
        """Return the reason in one line."""
        text = " ".join(self.cleaned_data["why"].split())
        if not fit_to_store({"why": text}) or not all(sign.isprintable() for sign in text):
            raise forms.ValidationError(_("Leave out signs that cannot be seen."))
        return text


@require_http_methods(["GET", "HEAD", "POST"])
@page
def close(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Freeze a competition; with a reason where matches are open."""
    found = competition_or_404(actor, pk, "manage")
    still_open = open_matches(found)
    form = WhyForm(request.POST if request.method == "POST" else None, needed=bool(still_open))
    if request.method == "POST" and form.is_valid():
        try:
            do_close(found, author_of(actor), why=form.cleaned_data["why"])
        except Refused as refusal:
            form.add_error(None, speak(refusal.reason))
        else:
            return redirect("competition-verify", pk=pk)
    return _page(request, found, form, still_open)


@require_POST
@page
def reopen(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Let a competition be written again; when and why stands on its page from then on."""
    found = competition_or_404(actor, pk, "manage")
    form = WhyForm(request.POST, needed=True)
    if form.is_valid():
        try:
            do_reopen(found, author_of(actor), why=form.cleaned_data["why"])
        except Refused as refusal:
            form.add_error(None, speak(refusal.reason))
        else:
            return redirect("competition", pk=pk)
    return _page(request, found, form, 0)


def _page(request: HttpRequest, found: Competition, form: WhyForm, still_open: int) -> HttpResponse:
    context = {"competition": found, "form": form, "open": still_open}
    if found.closed_at is not None and not form.is_bound:
        context["form"] = WhyForm(needed=True)
    return render(request, "scoring/competition_close.html", context)


@require_safe
@page
def verify(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Say whether a closed competition still is what it was closed as."""
    found = competition_or_404(actor, pk, "read")
    # Reading every entry costs time; a long season is read for its own people, or by the command.
    too_many = not runs_competition(actor, found) and count_entries(found) > MOST_FOR_VISITORS
    state = read_state(found)
    closed = state["publication"]["closed"]
    context = {
        "competition": found,
        "verdict": None if too_many else verified(found),
        "closed": closed
        and {"at": parse_datetime(closed["at"]), "why": whys(found, "close").get(closed["seq"], "")},
        "reopened": reopened(found, state),
    }
    return render(request, "scoring/competition_verify.html", context)
