"""Brackets, groups and free series: who meets whom, and how it stands."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods

from scoring.access import Actor, named_players
from scoring.conducting import read_state
from scoring.drawing import do_add_pair, do_unlock
from scoring.models import Competition, CompetitionEntry, Player
from scoring.rules.brackets import EMPTY
from scoring.rules.event.draws import GROUPS, KNOCKOUT, LEAGUE, ROUND_ROBIN, SERIES
from scoring.rules.event.entrants import playing
from scoring.rules.event.entry import State
from scoring.stages import Fixture, GroupNow, StageNow, read_stages
from scoring.standing import Standings, read_group_standings

from .bracket_drawing import drawing
from .competition_front import visible_parts
from .competitions import competition_or_404
from .event_forms import Names, OnceForm, author_of, sent_id
from .event_words import fixture_words, kind_word, round_word, side_words
from .gate import page
from .reading import show_match
from .words import short_name


class UnlockForm(OnceForm):
    """Why a bracket that has begun is opened for a corrected result."""

    why = forms.CharField(
        label=_("Why"),
        max_length=1000,
        help_text=_("Everybody sees that it was unlocked; the reason is for organisers."),
    )


class ShortNames(Names):
    """Names for narrow columns."""

    def __call__(self, pk: int) -> str:
        player = self.players.get(pk)
        return "" if player is None else short_name(player, self.actor)


# --- knock-out --------------------------------------------------------------------


@require_http_methods(["GET", "HEAD", "POST"])
@page
def bracket(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show the brackets of a competition, drawn and as lists; an organiser lets a correction through."""
    posted = request.method == "POST"
    competition = competition_or_404(actor, pk, "manage" if posted else "read")
    state = read_state(competition)
    found = [one for one in read_stages(competition, state) if one.kind == KNOCKOUT and one.draw is not None]
    stage = sent_id(request.POST.get("stage")) if posted else 0
    form = UnlockForm(request.POST if posted else None)
    if posted and form.is_valid():
        why = form.cleaned_data["why"]
        if form.does(lambda: do_unlock(competition, stage, why, author_of(actor), uuid=form.uuid)):
            messages.success(request, gettext("Unlocked. The corrected result stands in the bracket."))
            return redirect(f"{reverse('competition-bracket', args=[pk])}#stage-{stage}")
    manages = actor.organises(competition.club_id, competition.pk)
    context = {
        "competition": competition,
        "manages": manages,
        "form": form,
        "brackets": [_bracket(now, actor, competition, manages) for now in found],
    }
    return render(request, "scoring/bracket.html", context)


def _bracket(now: StageNow, actor: Actor, competition: Competition, manages: bool) -> dict[str, Any]:
    sheets = visible_parts(actor, competition)["sheets"]
    ids = {pk for group in now.groups for pk in group.drawn}
    names, short = Names(actor, ids), ShortNames(actor, ids)
    last = now.bracket.rounds if now.bracket else 0
    rounds: dict[Any, list[dict[str, Any]]] = {}
    for one in now.fixtures:
        if one.state != EMPTY:
            rounds.setdefault((one.round, one.third), []).append(_fixture(one, actor, names, sheets))
    return {
        "now": now,
        "stage": now.stage,
        "drawing": drawing(now, short),
        "rounds": [
            {"word": round_word(number, last, third), "fixtures": rounds[number, third]}
            for number, third in sorted(rounds, key=lambda key: (key[0], not key[1]))
        ],
        "held": [one.tie for one in now.fixtures if one.held],
        "disturbed": [
            show_match(match, actor)
            for match in now.matches
            if now.resolved is not None and match.pk in now.resolved.disturbed
        ],
        "aside": [show_match(match, actor) for match in now.aside],
        "unlocks": _unlocks(competition, now, manages),
        "extra": [show_match(one.match, actor) for one in now.fixtures if one.extra and one.match],
    }


def _unlocks(competition: Competition, now: StageNow, manages: bool) -> list[dict[str, Any]]:
    """Return when the bracket was unlocked, and why for those who may read it."""
    rows = CompetitionEntry.objects.filter(
        competition=competition, kind="unlock", data__stage=now.stage.pk
    ).select_related("text")
    found = []
    for row in rows.order_by("seq"):
        text = getattr(row, "text", None)
        found.append(
            {
                "at": row.received_at,
                "why": text.texts.get("why", "") if manages and text else "",
                "matches": len(row.data["matches"]),
            }
        )
    return found


def _fixture(one: Fixture, actor: Actor, names: Names, sheets: bool) -> dict[str, Any]:
    """Return a fixture for the page; what is played just now is for those who see score sheets."""
    shown = show_match(one.match, actor) if one.match is not None else None
    scores = {side.player.pk: side for side in shown.sides} if shown else {}
    played = shown is not None and shown.scored and (sheets or shown.over)
    return {
        "fixture": one,
        "match": one.match,
        "shown": shown,
        "sides": [
            {
                "name": side_words(one, place, names),
                "known": one.sides[place] is not None,
                "won": one.winner is not None and one.winner == one.sides[place],
                "score": scores[pk].score if played and (pk := one.sides[place]) in scores else None,
            }
            for place in (0, 1)
        ],
        "word": fixture_words(one) if shown is None or one.drawn or one.extra else shown.state_words,
        "bye": one.state == "bye",
        "played": played,
        "opens": sheets and one.match is not None,
    }


# --- groups and free series -------------------------------------------------------


class PairForm(OnceForm):
    """Two players who meet next in a free series; the first named starts."""

    first = forms.ModelChoiceField(Player.objects.none(), label=_("First player"))
    second = forms.ModelChoiceField(Player.objects.none(), label=_("Second player"))

    def __init__(self, *args: Any, actor: Actor, state: State, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        gone = [int(key) for key, one in state["entrants"].items() if one["status"] in GONE]
        offered = named_players(actor).exclude(pk__in=gone).named().order_by("name__family", "name__given")
        for name in ("first", "second"):
            self.fields[name].queryset = offered
            self.fields[name].empty_label = _("choose a player")

    def clean(self) -> dict[str, Any]:
        """Check that these are two."""
        told = super().clean() or self.cleaned_data
        if told.get("first") and told.get("first") == told.get("second"):
            self.add_error("second", _("Two different players are needed."))
        return told


GONE = ("withdrawn", "no-show", "disqualified")


@require_http_methods(["GET", "HEAD", "POST"])
@page
def groups(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show groups, round robins and free series with their matches and tables; add a match to a series."""
    posted = request.method == "POST"
    competition = competition_or_404(actor, pk, "manage" if posted else "read")
    state = read_state(competition)
    form = PairForm(request.POST if posted else None, actor=actor, state=state)
    if posted and form.is_valid():
        stage = sent_id(request.POST.get("stage"))
        pair = (form.cleaned_data["first"].pk, form.cleaned_data["second"].pk)
        where = {"players": "second"}
        if form.does(lambda: do_add_pair(competition, stage, pair, author_of(actor), uuid=form.uuid), where):
            return redirect(f"{reverse('competition-groups', args=[pk])}#stage-{stage}")
    found = [
        one
        for one in read_stages(competition, state)
        if one.kind not in (KNOCKOUT, LEAGUE) and _is_there(one)
    ]
    tables = read_group_standings(competition, state)
    context = {
        "competition": competition,
        "manages": actor.organises(competition.club_id, competition.pk),
        "form": form,
        "stages": [_stage(now, actor, tables, visible_parts(actor, competition)["sheets"]) for now in found],
        "present": len(playing(state)),
    }
    return render(request, "scoring/groups.html", context)


def _is_there(now: StageNow) -> bool:
    return now.draw is not None or now.kind == SERIES


def _stage(now: StageNow, actor: Actor, tables: dict[int, Standings], sheets: bool) -> dict[str, Any]:
    ids = {pk for group in now.groups for pk in group.drawn}
    ids |= {pk for match in now.matches for pk in match.entrant_ids}
    names = Names(actor, ids)
    return {
        "now": now,
        "stage": now.stage,
        "kind": kind_word(now.kind),
        "series": now.kind == SERIES,
        "in_groups": now.kind == GROUPS,
        "groups": [_group(now, group, actor, tables, names, sheets) for group in now.groups],
    }


def _group(
    now: StageNow,
    group: GroupNow,
    actor: Actor,
    tables: dict[int, Standings],
    names: Names,
    sheets: bool,
) -> dict[str, Any]:
    table = tables.get(group.group.pk) if group.group is not None else None
    rounds: dict[int, list[dict[str, Any]]] = {}
    for one in group.fixtures:
        rounds.setdefault(one.round, []).append(_fixture(one, actor, names, sheets))
    if now.kind == SERIES:
        rounds = {1: list(reversed(rounds.get(1, [])))}
    return {
        "group": group.group,
        "name": group.group.name if group.group else "",
        "gone": [names(pk) for pk in group.gone],
        "rounds": [{"number": number, "fixtures": rounds[number]} for number in sorted(rounds)],
        "many_rounds": now.kind == ROUND_ROBIN or len(rounds) > 1,
        "rows": table.to_json(actor) if table is not None else [],
    }
