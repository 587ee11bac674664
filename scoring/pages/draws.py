"""Stages and draws: making them, drawing with a look beforehand, and how anybody repeats a draw."""

from __future__ import annotations

from shlex import quote
from typing import Any

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods, require_safe

from scoring.access import Actor
from scoring.conducting import read_state
from scoring.drawing import Asked, do_draw, do_make_stage, do_undraw, draw_fields, group_name
from scoring.models import Competition
from scoring.regulations import find_discipline
from scoring.rules.brackets import LARGEST, bracket, round_pairs
from scoring.rules.event.drawn import digests, tiers
from scoring.rules.event.draws import GROUPS, KNOCKOUT, ROUND_ROBIN, SERIES, players_of
from scoring.rules.event.entrants import playing
from scoring.rules.event.entry import State
from scoring.rules.event.regulations import Regulations
from scoring.rules.formats import complete_format
from scoring.stages import StageNow, read_stages
from scoring.standing import read_group_standings, read_standings

from .competitions import competition_or_404
from .event_forms import Names, OnceForm, author_of, did, sent_id, sent_uuid
from .event_words import kind_word, way_words
from .fields import NameField, number
from .gate import page

WHERE = {
    "format.distance": "distance",
    "format.innings_limit": "innings_limit",
    "groups": "group_size",
    "seed": "seed",
    "way": "way",
    "players": "players",
}


# --- stages -----------------------------------------------------------------------


class StageForm(OnceForm):
    """A stage that is made; what is drawn in it is asked for on the page of the draw."""

    kind = forms.ChoiceField(
        label=_("Kind"),
        widget=forms.RadioSelect,
        choices=[
            (ROUND_ROBIN, _("round robin: everybody meets everybody")),
            (GROUPS, _("groups, each a small round robin")),
            (KNOCKOUT, _("knock-out: who loses is out")),
            (SERIES, _("free series: matches are added one by one, as on a club evening")),
        ],
    )
    name = NameField(label=_("Name"), required=False, help_text=_("Left empty, it is called by its kind."))


@require_http_methods(["GET", "HEAD", "POST"])
@page
def stages(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """List the stages of a competition, and make one."""
    competition = competition_or_404(actor, pk, "manage")
    author = author_of(actor)
    if request.method == "POST" and request.POST.get("what") == "undraw":
        stage = sent_id(request.POST.get("stage"))
        did(request, lambda: do_undraw(competition, stage, author, uuid=sent_uuid(request)))
        return redirect("competition-stages", pk=pk)
    form = StageForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        kind, name = form.cleaned_data["kind"], form.cleaned_data["name"]
        made: list[int] = []
        if form.does(lambda: made.append(do_make_stage(competition, kind, name, author, uuid=form.uuid).pk)):
            to = "competition-groups" if kind == SERIES else "competition-draw"
            return redirect(f"{reverse(to, args=[pk])}?stage={made[0]}")
    found = read_stages(competition)
    context = {
        "competition": competition,
        "form": form,
        "stages": [_stage(now) for now in found],
    }
    return render(request, "scoring/stages.html", context)


def _stage(now: StageNow) -> dict[str, Any]:
    statuses = [match.projection.status for match in now.matches]
    return {
        "now": now,
        "pk": now.stage.pk,
        "name": now.stage.name,
        "kind": kind_word(now.kind),
        "players": sum(len(group.drawn) for group in now.groups),
        "groups": len(now.groups) if now.kind == GROUPS else 0,
        "matches": len(statuses),
        "played": statuses.count("confirmed"),
        "drawable": now.kind in (ROUND_ROBIN, GROUPS, KNOCKOUT),
        "page": "competition-bracket" if now.kind == KNOCKOUT else "competition-groups",
    }


# --- a draw -----------------------------------------------------------------------


class DrawForm(OnceForm):
    """How a stage is drawn. The places of players are read beside it: `place-<id>`."""

    way = forms.ChoiceField(label=_("How"), widget=forms.RadioSelect)
    seed = forms.CharField(
        label=_("Seed"),
        required=False,
        max_length=200,
        help_text=_(
            "A text of one line that nobody present chose: the number a child draws, say."
            " Needed where something is drawn; published with the draw."
        ),
    )
    group_size = number(_("Players in a group"), 100, least=2, initial=4)
    double = forms.BooleanField(label=_("everybody meets everybody twice"), required=False)
    third_place = forms.BooleanField(label=_("third place is played for"), required=False)
    order_of_four = forms.ChoiceField(
        label=_("Order in groups of four"),
        choices=[
            ("berger", _("by the Berger table")),
            ("winners-last", _("winners meet losers, then the winners meet")),
        ],
    )
    after_draw = forms.ChoiceField(
        label=_("After a drawn first match of three"),
        choices=[("berger", _("by the Berger table")), ("third-first", _("the first meets the third next"))],
    )
    apart = forms.ChoiceField(
        label=_("Kept apart where it can be"),
        choices=[
            ("", _("nobody")),
            ("clubs", _("members of one club")),
            ("groups", _("those who met in a group")),
        ],
        required=False,
    )
    distance = number(_("Distance"), 1000, _("Left empty, it is as the competition says; 0 means none."))
    innings_limit = number(
        _("Limit of innings"), 1000, _("Left empty, as the competition says; 0 means none.")
    )
    players = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        ways = [
            ("ranking", _("by ranking: the order below stands")),
            ("lots", _("by lots: everybody is drawn")),
        ]
        if kind == GROUPS:
            ways.insert(1, ("pots", _("by pots: each pot is drawn, and sends one to each group")))
        if kind == KNOCKOUT:
            ways.insert(1, ("pots", _("1 and 2 stand; 3-4, 5-8, 9-16 ... are drawn among themselves")))
        self.fields["way"].choices = ways
        self.fields["way"].initial = "ranking"
        unused = {
            ROUND_ROBIN: ("group_size", "third_place", "order_of_four", "after_draw", "apart"),
            GROUPS: ("third_place",),
            KNOCKOUT: ("group_size", "double", "order_of_four", "after_draw"),
        }[kind]
        for name in unused:
            del self.fields[name]
        self.speak_plainly()

    def asked(self, now: StageNow, players: list[int], game: Any) -> Asked:
        """Return the draw as it is asked for."""
        told = self.cleaned_data
        form: dict[str, Any] = {}
        if told["distance"] is not None:
            form["distance"] = [told["distance"] or None] * 2
        if told["innings_limit"] is not None:
            form["innings_limit"] = told["innings_limit"] or None
        return Asked(
            kind=ROUND_ROBIN if now.kind == GROUPS else now.kind,
            players=players,
            format=form,
            stage=now.stage.pk,
            way=told["way"],
            seed=told["seed"].strip(),
            group_size=(told.get("group_size") or 4) if now.kind == GROUPS else None,
            double=told.get("double", False),
            third_place=told.get("third_place", False),
            after_draw=told.get("after_draw") or "berger",
            order_of_four=told.get("order_of_four") or "berger",
            apart=told.get("apart") or "",
        )


@require_http_methods(["GET", "HEAD", "POST"])
@page
def draw(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Choose who is drawn and how, look at what comes of it, and make the matches."""
    competition = competition_or_404(actor, pk, "manage")
    state = read_state(competition)
    now = _asked_stage(competition, state, request)
    if now is None:
        return redirect("competition-stages", pk=pk)
    posted = request.method == "POST"
    initial = {"third_place": Regulations.stored(competition.regulations).third_place}
    form = DrawForm(request.POST if posted else None, kind=now.kind, initial=initial)
    listed, chosen = _players(request, competition, state, now)
    preview = None
    if posted and form.is_valid():
        asked = form.asked(now, chosen, None)
        if request.POST.get("what") == "draw":
            if form.does(lambda: do_draw(competition, asked, author_of(actor), uuid=form.uuid), WHERE):
                to = "competition-bracket" if now.kind == KNOCKOUT else "competition-groups"
                return redirect(f"{reverse(to, args=[pk])}#stage-{now.stage.pk}")
        else:
            found: list[dict[str, Any]] = []
            if form.does(lambda: found.append(_preview(competition, state, asked, actor)), WHERE):
                preview = found[0]
    names = Names(actor, [one for one, _place in listed])
    context = {
        "competition": competition,
        "now": now,
        "stage": now.stage,
        "kind": kind_word(now.kind),
        "form": form,
        "players": [{"player": one, "name": names(one), "place": place} for one, place in listed],
        "locked": now.locked,
        "preview": preview,
        "before": [one.stage for one in _group_stages(competition, state, now)],
        "take": sent_id(request.GET.get("take")) or 2,
        "most": LARGEST,
    }
    return render(request, "scoring/draw.html", context)


def _asked_stage(competition: Competition, state: State, request: HttpRequest) -> StageNow | None:
    """Return the stage of the address, or the last one that can be drawn."""
    asked = sent_id(request.GET.get("stage"))
    found = [
        one
        for one in read_stages(competition, state, [asked] if asked else None)
        if one.kind in (ROUND_ROBIN, GROUPS, KNOCKOUT) and (asked or not one.locked)
    ]
    return found[-1] if found else None


def _group_stages(competition: Competition, state: State, now: StageNow) -> list[StageNow]:
    return [
        one
        for one in read_stages(competition, state)
        if one.kind in (GROUPS, ROUND_ROBIN) and one.stage.pk != now.stage.pk and one.draw is not None
    ]


def _players(
    request: HttpRequest, competition: Competition, state: State, now: StageNow
) -> tuple[list[tuple[int, int | None]], list[int]]:
    """Return who may be drawn with the place each stands at, and who is, strongest first."""
    within = playing(state)
    if request.method == "POST":
        written = {pk: sent_id(request.POST.get(f"place-{pk}")) for pk in within}
        chosen = sorted((pk for pk in within if written[pk]), key=lambda pk: written[pk])
    elif request.GET.get("from"):
        chosen = qualified(
            competition, state, sent_id(request.GET.get("from")), sent_id(request.GET.get("take")) or 2
        )
    elif now.draw is not None:
        numbers = players_of(state)
        chosen = [numbers[one] for one in now.draw["given"] if numbers[one] in within]
        chosen += [pk for pk in within if pk not in chosen]
    else:
        chosen = within
    places: dict[int, int | None] = {pk: place for place, pk in enumerate(chosen, 1)}
    rest = [pk for pk in within if pk not in places]
    return [(pk, places.get(pk)) for pk in [*chosen, *rest]], chosen


def qualified(competition: Competition, state: State, stage: int, take: int) -> list[int]:
    """Return an order of seeds from groups: all firsts by the ranking of the stage, then all seconds ..."""
    found = read_stages(competition, state, [stage])
    within = set(playing(state))
    if not found:
        return []
    row = found[0].stage
    overall = [one.row.key for one in read_standings(competition, stage=row, state=state).ranked]
    tables = read_group_standings(competition, state)
    places: list[list[int]] = [[] for _ in range(take)]
    for group in found[0].groups:
        if group.group is None:
            continue
        ranked = tables[group.group.pk].ranked if group.group.pk in tables else []
        there = [one.row.key for one in ranked if one.row.key in within and one.row.key in group.seats]
        for place, player in enumerate(there[:take]):
            places[place].append(player)
    return [pk for level in places for pk in sorted(level, key=lambda pk: _at(overall, pk))]


def _at(order: list[int], pk: int) -> int:
    return order.index(pk) if pk in order else len(order)


def _preview(competition: Competition, state: State, asked: Asked, actor: Actor) -> dict[str, Any]:
    """Return what a draw would give; writes nothing."""
    game = find_discipline(competition.club, competition.discipline)
    complete_format(asked.format, competition.format_defaults, game)
    fields = draw_fields(competition, state, asked)
    numbers = players_of(state)
    names = Names(actor, asked.players)
    named = {number: names(numbers[number]) for number in fields["order"]}
    pairs: list[list[str]] = []
    if asked.stage_kind == KNOCKOUT:
        drawn = bracket([numbers[one] for one in fields["order"]])
        pairs = [[names(side) if side else gettext("bye") for side in pair] for pair in round_pairs(drawn)]
    return {
        "groups": [
            {"name": group_name(at), "names": [named[number] for number in group]}
            for at, group in enumerate(fields["groups"])
        ],
        "pairs": pairs,
        "order": [named[number] for number in fields["order"]],
        "kind": asked.stage_kind,
    }


# --- repeating a draw -------------------------------------------------------------


@require_safe
@page
def drawn(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show a draw with all that is needed to repeat it: the numbers, the seed, the digests, the order."""
    competition = competition_or_404(actor, pk, "read")
    state = read_state(competition)
    asked = sent_id(request.GET.get("stage"))
    found = [one for one in read_stages(competition, state) if one.draw is not None]
    if asked:
        found = [one for one in found if one.stage.pk == asked]
        if not found:
            raise Http404
    numbers = players_of(state)
    context = {
        "competition": competition,
        "draws": [_drawn(now, numbers, actor) for now in found],
    }
    return render(request, "scoring/drawn.html", context)


def _drawn(now: StageNow, numbers: dict[str, int], actor: Actor) -> dict[str, Any]:
    draw = now.told["draw"]
    names = Names(actor, [numbers[number] for number in draw["order"]])
    digest = dict(digests(draw["seed"], draw["given"])) if draw["way"] != "ranking" else {}
    pots = _pots(now, draw)
    came = {number: str(place) for place, number in enumerate(draw["order"], 1)}
    if now.kind == GROUPS:
        came = {number: group_name(at) for at, group in enumerate(draw["groups"]) for number in group}
    return {
        "stage": now.stage,
        "kind": kind_word(now.kind),
        "seed": draw["seed"],
        "way": way_words(draw["way"], now.kind),
        "drew": draw["way"] != "ranking",
        "rows": [
            {
                "place": place,
                "number": number,
                "name": names(numbers.get(number, 0)),
                "pot": pots.get(number),
                "digest": digest.get(number),
                "came": came.get(number),
            }
            for place, number in enumerate(draw["given"], 1)
        ],
        "has_pots": bool(pots),
        "groups": [
            {
                "name": group_name(at),
                "seats": [{"number": number, "name": names(numbers[number])} for number in group],
            }
            for at, group in enumerate(draw["groups"])
        ]
        if now.kind == GROUPS
        else [],
        "apart": bool(draw["clubs"]),
        "replaced": sorted(draw["given"]) != sorted(draw["order"]),
        "recipe": f"printf '%s\\n%s' {quote(draw['seed'])} {quote(draw['given'][0])} | sha256sum",
    }


def _pots(now: StageNow, draw: dict[str, Any]) -> dict[str, str]:
    """Return the pot each number was drawn in."""
    if draw["way"] != "pots":
        return {}
    if now.kind == GROUPS:
        size = len(draw["groups"])
        return {number: str(place // size + 1) for place, number in enumerate(draw["given"])}
    return {
        draw["given"][place - 1]: str(low) if low == high else f"{low}-{high}"
        for low, high in tiers(len(draw["given"]))
        for place in range(low, high + 1)
    }
