"""Another player comes in on a board that has not begun: the form, warned of limits before it is written."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import HttpRequest
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from scoring.access import Actor
from scoring.encounter_steps import do_step
from scoring.encounter_view import squad_choices
from scoring.models import Encounter
from scoring.rules.averages import shown

from .fields import PlainForm
from .teams import tried
from .words import speak


def squad_options(found: Encounter, side: str) -> list[tuple[int, str]]:
    """Return who may be set on a board of a side, those by average first, with the average in words."""
    options = []
    for one in squad_choices(found, side):
        average = shown(one.points or 0, one.innings, 3, "truncate") if one.innings else gettext("newcomer")
        words = f"{one.player.full_name}, {average}"
        if one.substitute:
            words = gettext("%(player)s, substitute") % {"player": words}
        options.append((one.player_id, words))
    return options


class ChangeForm(PlainForm):
    """Who comes in on which board, and why."""

    board = forms.TypedChoiceField(label=_("Board"), coerce=int)
    player = forms.TypedChoiceField(label=_("Who comes in"), coerce=int)
    why = forms.CharField(label=_("Why"), max_length=500, help_text=_("Both sides read it."))

    def __init__(
        self, *args: Any, boards: list[tuple[int, str]], players: list[tuple[int, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["board"].choices = boards
        self.fields["player"].choices = players


def change_forms(found: Encounter, told: Mapping[str, Any], posted: Any) -> dict[str, ChangeForm]:
    """Return the form of each side that the reader may change: one with boards to come and players left."""
    built = {}
    for side in ("home", "away"):
        if told["status"] != Encounter.Status.LINED_UP:
            continue
        if not (told["organises"] or side in told["your_sides"]):
            continue
        line_up = told["line_ups"][side]
        boards = [
            (one["board"], f"{one['board']}: {one[side]['name'] or gettext('nobody')}")
            for one in told["boards"]
            if not one["begun"]
        ]
        players = [one for one in squad_options(found, side) if one[0] not in line_up["players"]]
        if boards and players:
            mine = posted is not None and posted.get("side") == side
            form = ChangeForm(
                posted if mine else None, prefix=f"change-{side}", boards=boards, players=players
            )
            built[side] = form
    return built


def do_change(
    request: HttpRequest, found: Encounter, actor: Actor, built: Mapping[str, ChangeForm]
) -> dict[str, Any] | None:
    """Let the player come in; one who is irregular is shown with the warnings first. None once it is done."""
    side = request.POST.get("side", "")
    form = built.get(side)
    if form is None:
        return {"refusal": gettext("Every board of this side has begun, or nobody is left to come in.")}
    warned: list[str] = []

    def act(given: dict[str, Any]) -> None:
        fields = {"side": side, **given}
        if request.POST.get("knowing") != f"{given['board']}:{given['player']}":
            warned.extend(speak(one) for one in do_step(found, actor, "check-change", fields)["warnings"])
        if not warned:
            do_step(found, actor, "change-line-up", fields)

    if tried(form, act) and not warned:
        return None
    told: dict[str, Any] = {"changing": side}
    if warned:
        given = form.cleaned_data
        told |= {"change_warned": warned, "knowing": f"{given['board']}:{given['player']}"}
    return told
