"""A table as it was measured: its values, book number beside own-table number, the history."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_POST, require_safe

from analytics.aim.diamonds.words import number
from analytics.measuring import correction_in, do_delete, do_use, do_withdraw, finished_sets, open_set
from analytics.models import MeasuredSet
from scoring.access import Actor
from scoring.api.paging import LARGEST_ID
from scoring.models import PlayTable
from scoring.pages.gate import may, page

from .measured_drawing import numbers_svg
from .measuring_words import stroke_name

VALUE_WORDS = {
    "cushion_restitution": (_("Liveliness of the cushion"), 3),
    "cushion_friction": (_("Friction of the cushion's nose"), 3),
    "cloth_rolling_friction": (_("How much the cloth slows a rolling ball"), 4),
}


@require_safe
@page
def measured(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show the set in use, or another one of the history."""
    table = get_object_or_404(PlayTable, pk=pk)
    sets = finished_sets(table)
    asked = request.GET.get("set", "")
    used = next((one for one in sets if one.in_use), None)
    shown = next((one for one in sets if str(one.pk) == asked), used or (sets[0] if sets else None))
    context: dict[str, Any] = {
        "table": table,
        "sets": sets,
        "used": used,
        "shown": shown,
        "may_measure": may(actor, "table-measure"),
        "open": open_set(table),
    }
    if shown is not None:
        context |= _of_set(shown)
    return render(request, "analytics/measured.html", context)


def _of_set(one: MeasuredSet) -> dict[str, Any]:
    """Return what the page says of a set."""
    from analytics.aim.measured.solving import READ
    from analytics.aim.measured.strokes import STROKES

    result = one.result or {}
    fix = correction_in(one)
    found = {
        "values": [_value(value) for value in result["values"]],
        "scatter": number(result["scatter"]),
        "careful": number(READ),
        "side": signed(result["side"]["value"]),
        "side_low": signed(result["side"]["low"]),
        "side_high": signed(result["side"]["high"]),
        "left": [
            {
                "name": stroke_name(STROKES[left["code"]]),
                "seconds": left["seconds"],
                "read": f"{left['read']:.1f}",
                "fitted": f"{left['fitted']:.2f}",
                "left": signed(left["left"]),
            }
            for left in result["left"]
            if left["code"] in STROKES
        ],
    }
    if fix is None:
        return found
    rows = []
    for book in range(round(fix.low), round(fix.high) + 1):
        told = fix.arrival(float(book))
        aim = fix.book_for(float(book))
        if told is not None:
            rows.append(
                {
                    "book": book,
                    "own": f"{told[0]:.2f}",
                    "low": f"{told[1]:.2f}",
                    "high": f"{told[2]:.2f}",
                    "aim": None if aim is None else signed(book - aim),
                }
            )
    return found | {
        "fix": fix,
        "finding": _finding(fix),
        "numbers": rows,
        "tracks": [
            {
                "name": f"{number(track.origin)}, {number(track.aim)}",
                "book": number(track.book),
                "own": f"{track.own:.1f}",
                "off": signed(track.own - track.book),
            }
            for track in fix.tracks
        ],
        "svg": numbers_svg(
            fix, gettext("The rail of the arrivals. %(finding)s") % {"finding": _finding(fix)}
        ),
    }


def _finding(fix: Any) -> str:
    """Return the sentence that leads: by how much the table plays long or short, if it is known to."""
    told = {"off": f"{abs(fix.offset):.2f}", "low": f"{fix.offset_low:.2f}", "high": f"{fix.offset_high:.2f}"}
    told = {name: text.replace("-", "−") for name, text in told.items()}
    if fix.offset_low > 0:
        words = gettext(
            "This table takes the ball %(off)s of a diamond farther than the book's arrival"
            " (90 %% interval %(low)s to %(high)s)."
        )
    elif fix.offset_high < 0:
        words = gettext(
            "This table brings the ball %(off)s of a diamond short of the book's arrival"
            " (90 %% interval %(low)s to %(high)s)."
        )
    else:
        words = gettext(
            "Whether this table differs from the book on the whole is too early to tell"
            " (90 %% interval %(low)s to %(high)s of a diamond)."
        )
    sentence = words % told
    if fix.slope:
        changes = gettext("The difference changes along the rail, by %(slope)s for every diamond of arrival.")
        sentence += " " + changes % {"slope": signed(fix.slope)}
    return sentence


def _value(value: dict[str, Any]) -> dict[str, Any]:
    words, digits = VALUE_WORDS.get(value["name"], (value["name"], 3))
    shown = {name: f"{value[name]:.{digits}f}" for name in ("value", "low", "high", "before")}
    return shown | {"words": words, "name": value["name"]}


def signed(value: float) -> str:
    """Return a difference with its sign: two decimals."""
    text = f"{abs(value):.2f}"
    return text if text == "0.00" else ("+" if value > 0 else "−") + text


@require_POST
@page
def measured_act(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Let a table play by a set, withdraw it, or delete a set: `act` and `set` of a form."""
    table = get_object_or_404(PlayTable, pk=pk)
    text = request.POST.get("set", "")
    key = int(text) if text.isascii() and text.isdigit() and len(text) < 20 else 0
    one = (
        MeasuredSet.objects.filter(table=table, pk=key, finished_at__isnull=False).first()
        if 0 < key <= LARGEST_ID
        else None
    )
    act = request.POST.get("act", "")
    if act == "withdraw":
        do_withdraw(table)
        messages.info(request, gettext("The table plays by the usual values of its size again."))
    elif one is not None and act == "use":
        do_use(one)
        messages.info(request, gettext("The table plays by this set now."))
    elif one is not None and act == "delete":
        do_delete(one)
        messages.info(request, gettext("Struck out: one measured set."))
        return redirect("table-measured", pk=pk)
    address = reverse("table-measured", kwargs={"pk": pk})
    return HttpResponseRedirect(f"{address}?set={one.pk}" if one is not None else address)
