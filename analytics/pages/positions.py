"""The positions that were written down in a match: what was promised, what came of it, and the way to the aim page."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from scoring.access import Actor
from scoring.beside import told_beside
from scoring.models import Match, StrokeProjection
from scoring.pages.gate import match_or_404, page
from scoring.pages.reading import show_match
from scoring.pages.words import ball_name, family_name
from scoring.rules.contacts import BALLS

OUTCOMES = {"point": _("point"), "miss": _("miss"), "foul": _("foul")}
# When a prediction was made, in words.
KINDS = {"blind": _("before the stroke"), "same-time": _("with the stroke"), "hindsight": _("afterwards")}


@require_safe
@page
def positions(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """List the strokes of a match whose layout is known."""
    match = match_or_404(actor, pk)
    strokes = [one for one in match.stroke_projections.order_by("order") if (one.details or {}).get("layout")]
    beside = told_beside(match, [one.place for one in strokes])
    rows = [_shown(one, match, beside[one.place].get("prediction")) for one in strokes]
    if actor.own_players:
        for row, stroke in zip(rows, strokes, strict=True):
            row["practise"] = f"{reverse('practice')}?{urlencode({'match': pk, 'place': stroke.place})}"
    return render(
        request,
        "analytics/positions.html",
        {"match": match, "shown": show_match(match, actor), "rows": rows},
    )


def _shown(stroke: StrokeProjection, match: Match, prediction: dict[str, Any] | None) -> dict[str, Any]:
    aim, planned = addresses(stroke, match)
    found = {
        "inning": stroke.inning,
        "ball": ball_name((stroke.details or {}).get("cue_ball") or stroke.colour),
        "outcome": OUTCOMES.get(stroke.kind, stroke.kind),
        "family": family_name(stroke.family_tried),
        "aim": aim,
        "stroke": planned,
        "times": None,
    }
    if prediction:
        found |= {
            "times": round(prediction["success"] * 100),
            "promise": f"{prediction['success']:.2f} ± {prediction['stderr']:.2f}",
            "when": KINDS[prediction["kind"]],
        }
    return found


def addresses(stroke: StrokeProjection, match: Match) -> tuple[str, str]:
    """Return where the aim page has the balls of a stroke, and the stroke page what was planned; "" without."""
    details = stroke.details or {}
    if not details.get("layout"):
        return "", ""
    question = {ball: ",".join(f"{part:g}" for part in details["layout"][ball]) for ball in BALLS}
    cue = details.get("cue_ball") or stroke.colour
    question |= {"cue": cue, "discipline": match.discipline_code}
    if match.table_now is not None:
        question["table"] = str(match.table_now.pk)
    aim = f"{reverse('aim')}?{urlencode(question, safe=',')}"
    line = details.get("line")
    if not line:
        return aim, ""
    struck = question | {
        name: f"{line[name]:g}" for name in ("direction", "speed", "side", "height") if name in line
    }
    return aim, f"{reverse('stroke')}?{urlencode(struck, safe=',')}"
