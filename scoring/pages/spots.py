"""Which ball goes where: the opening position, frozen balls, balls off the table.

Everything stands in the query string, so an answer has an address to keep.
"""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from scoring.access import Actor
from scoring.models import Club
from scoring.regulations import disciplines_of, rule_sets_of
from scoring.rules.contacts import BALLS, CUE_BALLS
from scoring.rules.disciplines import Discipline
from scoring.rules.rulesets import DEFAULT, RuleSet
from scoring.rules.spots import Spotting, opening_position, spot_frozen, spot_off_table, spot_positions

from .gate import page
from .words import ball_name, speak

HAPPENED = {
    "off": _("A ball left the table"),
    "frame": _("A ball touched the frame and came back"),
    "frozen": _("The cue ball lies against a ball"),
    "opening": _("The opening position is set up"),
}
TAKEN = {
    "top": _("on the top spot"),
    "centre": _("on the centre spot"),
    "bottom": _("on the bottom spot"),
}


def one_of(query: QueryDict, name: str, choices: Any, default: str) -> str:
    """Return a choice of the query string, the default for anything else."""
    value = query.get(name, "")
    return value if value in choices else default


@require_safe
@page
def spots(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Say where the balls go, and draw it."""
    club = Club.objects.the_first()
    disciplines, rule_sets = disciplines_of(club), rule_sets_of(club)
    query = request.GET
    code = one_of(query, "discipline", disciplines, "three-cushion")
    rules = one_of(query, "rules", rule_sets, DEFAULT)
    happened = one_of(query, "happened", HAPPENED, "off")
    colour = one_of(query, "colour", CUE_BALLS, "white")
    side = one_of(query, "side", ("left", "right"), "right")
    balls = [ball for ball in BALLS if ball in query.getlist("balls")]
    lying = {ball: one_of(query, f"at_{ball}", TAKEN, "") for ball in BALLS}
    found = find(disciplines[code], rule_sets[rules], happened, colour, balls, lying, side)
    places = spot_positions(rule_sets[rules].starting_spot_tenths_mm)
    resting = {ball: places[spot] for ball, spot in lying.items() if spot}
    context = {
        "disciplines": [(key, gettext(one.name)) for key, one in disciplines.items()],
        "discipline": code,
        "rule_sets": [(key, gettext(one.name)) for key, one in rule_sets.items()],
        "rules": rules,
        "happened": happened,
        "happenings": HAPPENED.items(),
        "colour": colour,
        "colours": [(one, ball_name(one)) for one in CUE_BALLS],
        "side": side,
        "balls": [(ball, ball_name(ball), ball in balls, lying[ball]) for ball in BALLS],
        "taken": TAKEN.items(),
        "asked": bool(query),
        "positions": resting | dict(found.positions) if found else resting,
        "sentences": [sentence(speak(one)) for one in found.why] if found else [],
        "remark": remark(happened, colour, balls, found),
    }
    return render(request, "scoring/spots.html", context)


def find(
    discipline: Discipline,
    rule_set: RuleSet,
    happened: str,
    colour: str,
    balls: list[str],
    lying: dict[str, str],
    side: str,
) -> Spotting | None:
    """Return where the balls go, or None where no ball is named yet."""
    beside = rule_set.starting_spot_tenths_mm
    if happened == "opening":
        return opening_position(colour, side, beside)
    layout = {ball: spot_positions()[spot] for ball, spot in lying.items() if spot and ball not in balls}
    if happened in ("off", "frame"):
        if not balls:
            return None
        off = balls if happened == "off" or rule_set.frame_contact_is_off_table else []
        return spot_off_table(
            discipline, off, played=colour, layout=layout, side=side, starting_tenths_mm=beside
        )
    against = [ball for ball in balls if ball != colour]
    if not against:
        return None
    return spot_frozen(
        discipline, against, on_turn=colour, layout=layout, side=side, starting_tenths_mm=beside
    )


def sentence(words: str) -> str:
    """Return words as a sentence."""
    return words[:1].upper() + words[1:] + "."


def remark(happened: str, colour: str, balls: list[str], found: Spotting | None) -> str:
    """Return what the referee says beside the spots."""
    if happened == "opening":
        return gettext("%(ball)s plays from the starting spot of choice; the red is met first, directly.") % {
            "ball": ball_name(colour)
        }
    if found is None:
        return gettext("Name the balls, and the answer stands here.")
    if happened in ("off", "frame") and found.spots:
        other = "yellow" if colour == "white" else "white"
        return gettext("The inning is over; %(ball)s is to play.") % {"ball": ball_name(other)}
    if found.spots:
        return gettext("Only if the player asks for it; playing away from the ball is allowed too.")
    return gettext("No ball is moved.")
