"""Positions to practise from: those of the product, of the club, and one's own."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from scoring.access import Actor, Forbidden
from scoring.coaching import do_add_position
from scoring.models import Club, PracticePosition
from scoring.positions import name_of, note_of
from scoring.practice_rights import access_position, access_sharing, visible_positions
from scoring.regulations import disciplines_of
from scoring.rules.contacts import BALLS
from scoring.rules.families import FAMILIES
from scoring.rules.lying import MATCH, check_lying
from scoring.rules.match import fields as read
from scoring.rules.said import Malformed
from scoring.templatetags.table_drawing import table_svg

from .fields import PlainForm, add_reason
from .gate import page
from .words import ball_name, family_name

# Where the balls lie before anybody has placed them: a point by three cushions is there.
USUAL = {"white": [0.7, 1.1], "yellow": [3.0, 1.9], "red": [1.3, 3.6]}
CUE = "white"
COLOURS = ("white", "yellow")
SMALL = 27  # [px a diamond] of a drawing in a list


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@page
def positions(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show the library; take a position of one's own into it."""
    form = PositionForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        kept = form.keep(actor)
        if kept is not None:
            return redirect("practice-positions")
    asked = form.placed()
    context = {
        "form": form,
        "may_share": _may_share(actor),
        "groups": shelves(_drawn(one, actor) for one in visible_positions(actor)),
        "current": {"layout": asked["layout"], "cue_ball": asked["cue_ball"]},
        "board_data": {"layout": asked["layout"], "cue_ball": asked["cue_ball"], "table": SIZE},
        **board_fields(asked["layout"]),
    }
    return render(request, "scoring/practice/positions.html", context)


@require_POST
@page
def position_share(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Give a position of one's own to the club, or take it back."""
    position = get_object_or_404(visible_positions(actor), pk=pk)
    access_position(actor, position, "write")
    wanted = request.POST.get("shared") == "1"
    if wanted:
        access_sharing(actor)
    position.shared = wanted
    position.save(update_fields=["shared"])
    return redirect("practice-positions")


def _may_share(actor: Actor) -> bool:
    try:
        access_sharing(actor)
    except Forbidden:
        return False
    return True


SIZE = asdict(MATCH)


def board_fields(layout: dict[str, Any]) -> dict[str, Any]:
    """Return what practice/balls.html shows beside the drawing."""
    return {
        "cue_balls": [(ball, ball_name(ball)) for ball in COLOURS],
        "balls": [(ball, ball_name(ball), f"{layout[ball][0]:g}", f"{layout[ball][1]:g}") for ball in BALLS],
    }


def shown(position: PracticePosition, actor: Actor | None = None) -> dict[str, Any]:
    """Return a position as lists and scripts show it."""
    plays = gettext("%(name)s plays") % {"name": ball_name(position.cue_ball)}
    family = family_name(position.family)
    mine = actor is not None and actor.user is not None and position.owner_id == actor.user.pk
    return {
        "id": position.pk,
        "name": name_of(position),
        "layout": position.layout,
        "cue_ball": position.cue_ball,
        "family": position.family,
        "more": ", ".join(part for part in (family, note_of(position)) if part),
        "plays": plays,
        "of": "product" if position.shipped else "own" if mine else "club" if position.shared else "other",
        "shared": position.shared,
    }


def _drawn(position: PracticePosition, actor: Actor) -> dict[str, Any]:
    """Return a position with its drawing, small enough for a list, its names full size."""
    drawing = table_svg(position.layout, position.cue_ball, scale=SMALL, rails=False)
    return shown(position, actor) | {"drawing": drawing}


def shelves(rows: Iterable[dict[str, Any]]) -> list[tuple[str, list[dict[str, Any]]]]:
    """Return (title, positions) of one's own, the club's and the product's; empty shelves are left out."""
    titles = {
        "own": gettext("My own"),
        "other": gettext("Set for me, or of pupils"),
        "club": gettext("Of the club"),
        "product": gettext("Of the library"),
    }
    kept: dict[str, list[dict[str, Any]]] = {code: [] for code in titles}
    for row in rows:
        kept[row["of"]].append(row)
    return [(titles[code], found) for code, found in kept.items() if found]


class PositionForm(PlainForm):
    """A position of one's own: the name, who plays, where the balls lie."""

    name = forms.CharField(label=_("Name"), max_length=80)
    family = forms.ChoiceField(label=_("What is to be tried"), required=False)
    note = forms.CharField(label=_("Note"), max_length=500, required=False)
    discipline = forms.ChoiceField(label=_("Discipline"))
    shared = forms.BooleanField(label=_("Share it with the club"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        games = disciplines_of(Club.objects.the_first())
        self.fields["discipline"].choices = [(code, gettext(one.name)) for code, one in games.items()]
        self.fields["discipline"].initial = "three-cushion"
        self.fields["family"].choices = [("", _("not said"))] + [
            (code, family_name(code)) for code in FAMILIES
        ]

    def placed(self) -> dict[str, Any]:
        """Return where the balls lie as the form says, the usual where it cannot be read."""
        try:
            return self._read()
        except Malformed:
            return {"layout": USUAL, "cue_ball": CUE}

    def _read(self) -> dict[str, Any]:
        if not self.is_bound:
            return {"layout": USUAL, "cue_ball": CUE}
        layout = {ball: [_number(self.data.get(f"{ball}_{axis}")) for axis in "xy"] for ball in BALLS}
        return {
            "layout": read.layout(layout, "layout"),
            "cue_ball": read.one_of(*COLOURS)(self.data.get("cue_ball"), "cue_ball"),
        }

    def keep(self, actor: Actor) -> PracticePosition | None:
        """Keep the position, or say in the form what is to be mended."""
        chosen = self.cleaned_data
        if chosen["shared"]:
            access_sharing(actor)
        try:
            placed = self._read()
            check_lying(placed["layout"])
        except Malformed as refusal:
            add_reason(self, None, refusal)
            return None
        return do_add_position(
            actor.user,
            name=chosen["name"],
            note=chosen["note"],
            family=chosen["family"] or None,
            discipline_code=chosen["discipline"],
            shared=chosen["shared"],
            **placed,
        )


def _number(text: str | None) -> Any:
    try:
        return json.loads((text or "").strip().replace(",", "."))
    except ValueError:
        return None
