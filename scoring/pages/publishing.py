"""What of a competition everybody may read, and the notice on its page."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods, require_POST

from scoring.access import Actor
from scoring.conducting import read_state
from scoring.ledger import Author
from scoring.publishing import (
    do_notice,
    do_publish,
    do_show_exactly,
    do_unpublish,
    read_notice,
    shown_parts,
)
from scoring.rules.event.publication import PARTS
from scoring.storable import fit_to_store

from .competitions import competition_or_404
from .fields import PlainForm
from .gate import page

NAMES = {
    "standings": _("Standings"),
    "schedule": _("Schedule: who plays when, and where"),
    "bracket": _("Draw: groups and bracket, with what repeats it"),
    "results": _("Results"),
    "sheets": _("Score sheets and matches under way"),
    "prizes": _("Prizes"),
}
LONGEST_NOTICE = 1000


class PartsForm(PlainForm):
    """Which parts everybody reads."""

    parts = forms.MultipleChoiceField(
        label=_("Everybody reads"),
        choices=[(one, NAMES[one]) for one in PARTS],
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text=_("Names stand there in full, shortened or not at all, as each player agreed."),
    )


class NoticeForm(PlainForm):
    """A few sentences for everybody who reads the page."""

    notice = forms.CharField(
        label=_("Notice on the page"),
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=LONGEST_NOTICE,
        required=False,
        help_text=_("Left empty, no notice stands there."),
    )

    def clean_notice(self) -> str:
        """Return the notice in one line each, without signs that no text can hold."""
        text = " ".join(self.cleaned_data["notice"].split())
        if not fit_to_store({"notice": text}) or (not text.replace(" ", "a").isprintable() and text):
            raise forms.ValidationError(_("Leave out signs that cannot be seen."))
        return text


def author_of(actor: Actor) -> Author:
    """Return an organiser as the author of an entry."""
    return Author(user_id=None if actor.user is None else actor.user.pk, organises=True)


@require_http_methods(["GET", "HEAD", "POST"])
@page
def publish(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Say which parts everybody reads; `to` says all or nothing at once."""
    found = competition_or_404(actor, pk, "manage")
    if request.method == "POST" and "to" in request.POST:
        if request.POST["to"] == "everybody":
            do_publish(found, author_of(actor))
        elif request.POST["to"] == "own-people":
            do_unpublish(found, author_of(actor))
        return redirect("competition", pk=pk)
    form = PartsForm(
        request.POST if request.method == "POST" else None,
        initial={"parts": shown_parts(found) if found.published else list(PARTS)},
    )
    if request.method == "POST" and form.is_valid():
        do_show_exactly(found, author_of(actor), form.cleaned_data["parts"])
        messages.info(
            request, gettext("Published.") if found.published else gettext("Nothing of it is published.")
        )
        return redirect("competition", pk=pk)
    return _page(request, found, form, None)


@require_POST
@page
def notice(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Put a notice up, or take it down."""
    found = competition_or_404(actor, pk, "manage")
    form = NoticeForm(request.POST)
    if not form.is_valid():
        return _page(request, found, None, form)
    do_notice(found, author_of(actor), form.cleaned_data["notice"])
    return redirect("competition", pk=pk)


def _page(
    request: HttpRequest, found, form: PartsForm | None, notice_form: NoticeForm | None
) -> HttpResponse:
    now = {"parts": shown_parts(found) if found.published else list(PARTS)}
    standing = read_notice(found, read_state(found))
    address = request.build_absolute_uri(reverse("competition-permanent", args=[found.uuid]))
    context = {
        "competition": found,
        "form": form or PartsForm(initial=now),
        "notice_form": notice_form or NoticeForm(initial={"notice": standing}),
        "wrong": notice_form or form,
        "address": address,
    }
    return render(request, "scoring/competition_publish.html", context)
