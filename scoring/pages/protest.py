"""A protest about a match: written with its reason by whoever is at the table, decided by an organiser."""

from __future__ import annotations

import uuid
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from scoring import ledger
from scoring.access import Actor, Forbidden, organises_match
from scoring.ledger import Author
from scoring.models import Match, MatchEntry
from scoring.rules.match.checks import Refused
from scoring.rules.match.entry import PLACED
from scoring.rules.match.fields import MAX_TEXT
from scoring.rules.said import Malformed

from .fields import PlainForm, add_reason
from .gate import match_or_404, page
from .reading import show_match
from .words import speak


class ProtestForm(PlainForm):
    """A protest."""

    why = forms.CharField(
        label=_("What is protested against, and why"),
        max_length=MAX_TEXT,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=_("Kept with the entry, for organisers and those at the table."),
    )


class DecisionForm(PlainForm):
    """What an organiser decides about every protest that is open."""

    decision = forms.CharField(
        label=_("The decision"), max_length=MAX_TEXT, widget=forms.Textarea(attrs={"rows": 4})
    )


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@page
def protest(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show the protests of a match; write one, or decide."""
    match = match_or_404(actor, pk, "write")
    decides = organises_match(actor, match)
    deciding = request.POST.get("act") == "settle"
    if deciding and not decides:
        raise Forbidden
    sent = request.POST if request.method == "POST" else None
    writing = ProtestForm(sent if not deciding else None)
    decision = DecisionForm(sent if deciding else None)
    form = decision if deciding else writing
    if sent is not None and form.is_valid() and _written(form, match, actor, deciding):
        return redirect("match-protest", pk=match.pk)
    protests = _open_protests(match)
    context = {
        "match": match,
        "shown": show_match(match, actor),
        "protests": protests,
        "decides": decides,
        "form": form,
        "writing": writing,
        "decision": decision,
        "begun": match.projection.seq > 0,
    }
    return render(request, "scoring/protest.html", context)


def _open_protests(match: Match) -> list[dict[str, Any]]:
    """Return the open protests: which entry, since when, and the reason while it is kept."""
    about = sorted({one["seq"] for one in match.projection.state["flags"] if one["code"] == "disputed"})
    if not about:
        return []
    rows = match.entries.filter(kind="dispute").select_related("text").order_by("seq")
    places = {str(one.uuid): one.seq for one in match.entries.filter(seq__in=about)}
    found: list[dict[str, Any]] = []
    for row in rows:
        target = row.data.get("target")
        seq = places.get(str(target), target)
        if seq in about:
            text = getattr(row, "text", None)
            found.append(
                {"at": row.dated_at, "seq": seq, "why": "" if text is None else text.texts.get("why", "")}
            )
    return found


def _written(form: PlainForm, match: Match, actor: Actor, deciding: bool) -> bool:
    """Write the entries; say in the form what was refused."""
    author = Author(
        user_id=actor.user.pk if actor.user is not None else None,
        link_id=actor.link.pk if actor.link is not None else None,
        organises=organises_match(actor, match),
    )
    entries = _decisions(form, match) if deciding else _dispute(form, match)
    if not entries:
        form.add_error(None, gettext("Nothing is written of this match that this could be about."))
        return False
    sent = [{"uuid": str(uuid.uuid4()), "after": match.projection.seq} | entry for entry in entries]
    outcomes, _state = ledger.append_list(match.pk, sent, author)
    refused = next((one.error for one in outcomes if one.error is not None), None)
    if isinstance(refused, Malformed):
        add_reason(form, refused.field, refused)
    elif isinstance(refused, Refused):
        form.add_error(None, speak(refused.reason))
    elif refused is not None:
        raise refused
    return refused is None


def _dispute(form: PlainForm, match: Match) -> list[dict[str, Any]]:
    """Return a protest about how the match stands: about what was written last."""
    last = MatchEntry.objects.filter(match=match, kind__in=PLACED).order_by("-seq").first()
    if last is None:
        return []
    return [{"kind": "dispute", "target": str(last.uuid), "why": form.cleaned_data["why"]}]


def _decisions(form: PlainForm, match: Match) -> list[dict[str, Any]]:
    told = sorted({one["seq"] for one in match.projection.state["flags"] if one["code"] == "disputed"})
    return [{"kind": "settle", "target": seq, "decision": form.cleaned_data["decision"]} for seq in told]
