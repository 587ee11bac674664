"""Players: the list, one player's averages and matches, enrolling and changing."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.paginator import Paginator
from django.db import transaction
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods, require_safe

from scoring.access import (
    ORGANISING,
    PUBLISHED,
    Actor,
    Forbidden,
    access_new_player,
    access_player,
    named_players,
    visible_matches,
)
from scoring.models import Match, Player
from scoring.totals import Totals, read_totals

from .fields import NameField, PlainForm
from .gate import may, page
from .reading import OVER, UNDER_WAY, show_match

A_PAGE = 50
A_PAGE_OF_MATCHES = 20


@require_safe
@page
def player_list(request: HttpRequest, actor: Actor) -> HttpResponse:
    """List the players whose names the reader may see; `q` searches them."""
    query = request.GET.get("q", "").replace("\0", "").strip()[:80]
    players = named_players(actor).filter(name__isnull=False)
    if query:
        if not actor.names_open:
            # A search must not find what the list would not show.
            players = players.filter(consent=Player.Consent.FULL)
        players = players.matching(query)
    players = players.named().order_by("name__family", "name__given", "pk")
    found = Paginator(players, A_PAGE).get_page(request.GET.get("page"))
    context = {
        "query": query,
        "found": found,
        "players": [{"player": one, "name": one.shown_name(actor.names_open)} for one in found],
        "may_enrol": may(actor, "player-new"),
        "may_handicap": may(actor, "handicaps"),
    }
    return render(request, "scoring/players.html", context)


@require_safe
@page
def player(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show a player: the matches that the reader may see, and the totals where they are open."""
    found = get_object_or_404(Player.objects.named(), pk=pk)
    if found.merged_into_id is not None:
        return redirect("player", pk=found.merged_into_id)
    ids = [found.pk, *found.merged.values_list("pk", flat=True)]
    own = found.pk in actor.own_players
    everything = own or actor.organises_a_club()
    played = Match.objects.filter(Q(entrant_a__in=ids) | Q(entrant_b__in=ids))
    seen = visible_matches(actor).filter(pk__in=played.values("pk"))
    totals = _totals(found, ids, everything, played, seen)
    matches = seen.shown().prefetch_related("colour_projections").order_by("-pk")
    listed = Paginator(
        matches.filter(projection__status__in=(*OVER, *UNDER_WAY)), A_PAGE_OF_MATCHES
    ).get_page(request.GET.get("page"))
    context = {
        "player": found,
        "name": found.shown_name(actor.names_open),
        "totals": totals,
        "open": totals is not None,
        "found": listed,
        "matches": [_seen_from(show_match(one, actor), set(ids)) for one in listed],
        "may_edit": everything,
        "own": own,
        "own_players": actor.own_players,
    }
    return render(request, "scoring/player.html", context)


def _totals(
    found: Player, ids: list[int], everything: bool, played: QuerySet[Match], seen: QuerySet[Match]
) -> list[Totals] | None:
    """Return the totals, over published matches alone for outsiders; None where they are shut."""
    if everything:
        return read_totals(ids, played)
    if found.report_open:
        return read_totals(ids, played.filter(PUBLISHED))
    return None


def _seen_from(shown: Any, ids: set[int]) -> dict[str, Any]:
    """Return a match as its player sees it: own side first, and how it went."""
    own, other = sorted(shown.sides, key=lambda side: side.player.pk not in ids)
    return {"shown": shown, "own": own, "other": other}


class GuestForm(PlainForm):
    """A player to be enrolled; a referee enrols guests alone."""

    given = NameField(label=_("Given names"), required=False)
    family = NameField(label=_("Family name"))
    guest = forms.BooleanField(label=_("a guest, who does not belong to the club"), required=False)
    consent = forms.ChoiceField(
        label=_("Outsiders read"),
        choices=Player.Consent.choices,
        initial=Player.Consent.NONE,
        widget=forms.RadioSelect,
        help_text=_("As the player agreed. Signed-in members always read the whole name."),
    )
    published = forms.BooleanField(label=_("put the name on the public pages"), required=False)

    def __init__(self, *args: Any, guests_only: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if guests_only:
            for name in ("guest", "consent", "published"):
                del self.fields[name]


class OwnForm(PlainForm):
    """What a player may change: what outsiders read."""

    consent = forms.ChoiceField(
        label=_("Outsiders read"),
        choices=Player.Consent.choices,
        widget=forms.RadioSelect,
        help_text=_("Signed-in members always read the whole name."),
    )
    report_open = forms.BooleanField(label=_("everybody may read my averages"), required=False)


@require_http_methods(["GET", "HEAD", "POST"])
@page
def player_new(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Enrol a player or a guest."""
    guests_only = not (actor.is_superuser or actor.holds_anywhere(ORGANISING))
    form = GuestForm(request.POST if request.method == "POST" else None, guests_only=guests_only)
    if request.method == "POST" and form.is_valid():
        fields = dict(form.cleaned_data)
        if guests_only:
            fields["guest"] = True
        access_new_player(actor, fields)
        given, family = fields.pop("given"), fields.pop("family")
        with transaction.atomic():
            enrolled = Player.objects.enrol(given, family, created_by=actor.user, **fields)
        return redirect("player", pk=enrolled.pk)
    return render(request, "scoring/player_form.html", {"form": form, "guests_only": guests_only})


@require_http_methods(["GET", "HEAD", "POST"])
@page
def player_edit(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Change a player: an organiser the names and more, the player what outsiders read."""
    found = get_object_or_404(Player.objects.named(), pk=pk)
    organises, own = actor.organises_a_club(), found.pk in actor.own_players
    if not (organises or own):
        raise Forbidden
    form_class: type[PlainForm] = GuestForm if organises else OwnForm
    form = form_class(request.POST if request.method == "POST" else None, initial=_now(found))
    if organises and own:
        form.fields["report_open"] = OwnForm.base_fields["report_open"]
    if request.method == "POST" and form.is_valid():
        access_player(actor, found, set(form.cleaned_data))
        do_change(found, form.cleaned_data)
        return redirect("player", pk=found.pk)
    context = {"form": form, "player": found, "name": found.full_name}
    return render(request, "scoring/player_form.html", context)


def _now(found: Player) -> dict[str, Any]:
    name = found.name_or_none
    columns = {one: getattr(found, one) for one in ("guest", "consent", "published", "report_open")}
    return columns | {"given": name.given if name else "", "family": name.family if name else ""}


@transaction.atomic
def do_change(found: Player, fields: dict[str, Any]) -> None:
    """Write the given fields of a player."""
    fields = dict(fields)
    given, family = fields.pop("given", None), fields.pop("family", None)
    for column, value in fields.items():
        setattr(found, column, value)
    found.save(update_fields=list(fields))
    if family is not None:
        found.write_name(given or "", family)
