"""Two records of one player: the pairs that may be, both with their figures, and undoing."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods

from scoring.access import Actor
from scoring.merging import check_merge, do_merge, do_undo_merge, proposals
from scoring.models import ExternalNumber, Match, Player, PlayerMerge
from scoring.rules.match.checks import Refused
from scoring.totals import read_totals

from .fields import PlainForm
from .gate import page
from .words import speak

MOST_LISTED = 50


class _PlayerChoice(forms.ModelChoiceField):
    def label_from_instance(self, obj: Player) -> str:
        return f"{obj.full_name} ({obj.pk})"


class PairForm(PlainForm):
    """Two players to look at beside each other."""

    gone = _PlayerChoice(Player.objects.none(), label=_("This record"), empty_label=_("choose"))
    into = _PlayerChoice(Player.objects.none(), label=_("is read as"), empty_label=_("choose"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        players = Player.objects.filter(merged_into__isnull=True).named()
        for name in ("gone", "into"):
            self.fields[name].queryset = players.order_by("name__family", "name__given", "pk")


@require_http_methods(["GET", "HEAD", "POST"])
@page
def players_merge(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show the pairs that may be one person, or two beside each other; merge and undo."""
    refusal = ""
    if request.method == "POST":
        try:
            return _act(request, actor)
        except Refused as error:
            refusal = speak(error.reason)
    asked = request.POST if request.method == "POST" else request.GET
    pair = _pair(asked)
    context: dict[str, Any] = {"refusal": refusal, "form": PairForm(initial=asked.dict())}
    if pair is not None:
        try:
            check_merge(*pair)
        except Refused as error:
            context["stands_against"] = speak(error.reason)
        gone, into = pair
        both = Match.objects.none() if gone.pk == into.pk else _side([gone.pk, *_merged(into)])
        context |= {"gone": gone, "into": into, "sides": [_told(gone), _told(into)], "together": both}
    else:
        context["proposals"] = [
            {"one": one, "two": two, "by_number": why == "number"} for one, two, why in proposals()
        ]
    context["merges"] = PlayerMerge.objects.select_related(
        "gone__name", "into__name", "made_by", "undone_by"
    )[:MOST_LISTED]
    return render(request, "scoring/players_merge.html", context)


def _act(request: HttpRequest, actor: Actor) -> HttpResponse:
    if request.POST.get("action") == "undo":
        do_undo_merge(get_object_or_404(PlayerMerge, pk=_id(request.POST.get("merge"))), actor.user)
        return redirect(reverse("players-merge"))
    pair = _pair(request.POST)
    if pair is None:
        return redirect(reverse("players-merge"))
    do_merge(*pair, actor.user, request.POST.get("why", "").replace("\0", "").strip())
    return redirect("player", pk=pair[1].pk)


def _id(value: Any) -> int:
    text = str(value or "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 19 else 0


def _pair(asked: Any) -> tuple[Player, Player] | None:
    found = Player.objects.named().in_bulk([_id(asked.get("gone")), _id(asked.get("into"))])
    gone, into = found.get(_id(asked.get("gone"))), found.get(_id(asked.get("into")))
    return None if gone is None or into is None else (gone, into)


def _merged(player: Player) -> list[int]:
    return [player.pk, *player.merged.values_list("pk", flat=True)]


def _side(ids: list[int]) -> list[Any]:
    return read_totals(ids, Match.objects.all())


def _told(player: Player) -> dict[str, Any]:
    numbers = ExternalNumber.objects.filter(player=player).order_by("issuer", "number")
    return {
        "player": player,
        "numbers": ", ".join(str(one) for one in numbers),
        "user": player.user,
        "matches": Match.objects.of_player(player).count(),
        "sessions": player.sessions.count(),
        "totals": _side(_merged(player)),
    }
