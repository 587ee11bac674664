"""The documentation page of the simulator; its parameters are read from the simulator itself."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from scoring.access import Actor
from scoring.pages.gate import page

# What each parameter is, in plain words.
WORDS = {
    "table_length": _("length between the noses"),
    "table_width": _("width between the noses"),
    "radius": _("radius of a ball"),
    "mass": _("weight of a ball"),
    "nose_height": _("height of the cushion's nose"),
    "gravity": _("gravity"),
    "cloth_sliding_friction": _("friction of a ball sliding on the cloth"),
    "cloth_rolling_friction": _("how much the cloth slows a rolling ball"),
    "spin_deceleration": _("how fast side dies away"),
    "ball_restitution": _("liveliness of two balls that meet"),
    "ball_friction_fast": _("friction between balls that slip fast"),
    "ball_friction_slow": _("what slow slip adds to it"),
    "ball_friction_decay": _("how soon that addition fades with speed"),
    "cushion_restitution": _("liveliness of the cushion"),
    "cushion_friction": _("friction of the cushion's nose"),
}
PRESET_WORDS = {
    "match-heated": _("match table, heated"),
    "club": _("match table, not heated"),
    "small-230": _("2.30 by 1.15 m, not heated"),
    "small-210": _("2.10 by 1.05 m, not heated"),
}
UNITS = {"1": "", "m/s2": "m/s²", "rad/s2": "rad/s²"}

# How far a contact moves [mm] for a tenth of a degree of direction: the middle one of 20,000
# random strokes of 2 to 5 m/s, and what nine in ten stay below. Linear growth, measured with
# directions 1e-8 rad apart, among strokes that met the same things up to that contact.
SHIFTS = (
    # contact; up to the first ball: middle, nine in ten; after it: the same
    (1, 1.6, 4, 35, 200),
    (2, 4.4, 10, 93, 580),
    (3, 6.6, 17, 170, 1200),
    (4, 8.6, 22, 220, 2600),
)


def parameter_rows() -> list[dict[str, Any]]:
    """Return name, words, value, bounds, unit and source of every parameter."""
    from analytics.table.parameters import TableParameters

    return [
        {
            "name": one.name,
            "words": WORDS[one.name],
            "value": one.default,
            "low": one.metadata["low"],
            "high": one.metadata["high"],
            "unit": UNITS.get(one.metadata["unit"], one.metadata["unit"]),
            "source": one.metadata["source"],
        }
        for one in fields(TableParameters)
    ]


def preset_rows() -> list[dict[str, Any]]:
    """Return each preset with the values in which presets differ."""
    from analytics.table.parameters import PRESETS

    return [
        {
            "words": PRESET_WORDS[code],
            "length": preset.table_length,
            "width": preset.table_width,
            "rolling": preset.cloth_rolling_friction,
        }
        for code, preset in PRESETS.items()
    ]


@require_safe
@page
def docs_simulator(request: HttpRequest, actor: Actor) -> HttpResponse:
    """How a stroke is predicted, out of what, and how far to trust it."""
    context = {"parameters": parameter_rows(), "presets": preset_rows(), "shifts": SHIFTS}
    return render(request, "docs/simulator.html", context)
