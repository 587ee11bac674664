"""Measuring a table: one test stroke at a time, what to shoot and a field for what was read.

Every reading is stored as it comes, so a page that is closed half-way loses nothing.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from analytics.measuring import do_begin, do_delete, do_finish, do_leave_out, do_read, open_set
from analytics.models import MeasuredSet
from analytics.tables import unmeasured_parameters
from scoring.access import Actor
from scoring.models import PlayTable
from scoring.pages.gate import page
from scoring.pages.words import speak
from scoring.rules.said import Malformed

from .diamond_asked import number_of
from .measured_drawing import stroke_svg
from .measuring_words import stroke_name, told_of

MOST_NOTE = MeasuredSet._meta.get_field("note").max_length


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@page
def measure(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show a stroke of the set that is open; `act` of a form: begin, read, forget, finish, drop."""
    table = get_object_or_404(PlayTable, pk=pk)
    if request.method != "POST":
        return _shown(request, table, open_set(table))
    act = request.POST.get("act", "")
    if act == "begin":
        note = " ".join(request.POST.get("note", "").split())[:MOST_NOTE]
        do_begin(table, request.user, note if note.isprintable() else "")
        return redirect("table-measure", pk=pk)
    one = open_set(table)
    if one is None:
        return redirect("table-measure", pk=pk)
    if act == "read":
        return _read(request, table, one)
    if act == "forget":
        do_leave_out(one, request.POST.get("stroke", ""))
        return _to(table, request.POST.get("stroke", ""))
    if act == "drop":
        do_delete(one)
        messages.info(request, gettext("Struck out: the readings of this set."))
        return redirect("table-measured", pk=pk)
    return _finished(request, table, one) if act == "finish" else redirect("table-measure", pk=pk)


def _read(request: HttpRequest, table: PlayTable, one: MeasuredSet) -> HttpResponse:
    """Store a reading and go on to the next stroke; what cannot be read stays in its field."""
    from analytics.aim.measured.strokes import STROKES

    code = request.POST.get("stroke", "")
    stroke = STROKES.get(code)
    if stroke is None:
        return redirect("table-measure", pk=table.pk)
    names = ("read", "seconds")[: stroke.fields]
    written = {name: request.POST.get(name, "")[:40] for name in names}
    numbers = {name: number_of(text) for name, text in written.items()}
    wrong = {name: gettext("A number is needed.") for name, value in numbers.items() if value is None}
    if not wrong:
        try:
            do_read(one, code, [value for value in numbers.values() if value is not None])
        except Malformed as fault:
            wrong = {fault.field: speak(fault.reason)}
    if wrong:
        return _shown(request, table, one, code, written=written, wrong=wrong)
    return _to(table, _next(one, code))


def _next(one: MeasuredSet, code: str) -> str:
    """Return the stroke to shoot after one: the next unread, from the start again at the end."""
    from analytics.aim.measured.strokes import STROKES

    codes = list(STROKES)
    at = codes.index(code) + 1 if code in codes else 0
    return next((other for other in codes[at:] + codes[:at] if other not in one.readings), code)


def _to(table: PlayTable, code: str) -> HttpResponseRedirect:
    address = reverse("table-measure", kwargs={"pk": table.pk})
    return HttpResponseRedirect(f"{address}?{urlencode({'stroke': code})}#shoot")


def _finished(request: HttpRequest, table: PlayTable, one: MeasuredSet) -> HttpResponse:
    """Work the set out; what cannot be made of it is said above the stroke it is about."""
    from analytics.aim.measured.results import Unfit

    try:
        do_finish(one)
    except Unfit as unfit:
        named = unfit.stroke or ""
        return _shown(request, table, one, named, refusal=speak(unfit.reason), named=named)
    except Malformed as fault:
        return _shown(request, table, one, refusal=speak(fault.reason))
    address = reverse("table-measured", kwargs={"pk": table.pk})
    return HttpResponseRedirect(f"{address}?set={one.pk}")


def _shown(
    request: HttpRequest,
    table: PlayTable,
    one: MeasuredSet | None,
    code: str = "",
    *,
    written: dict[str, str] | None = None,
    wrong: dict[str, str] | None = None,
    refusal: str = "",
    named: str = "",
) -> HttpResponse:
    from analytics.aim.measured.fitting import LEAST_READ
    from analytics.aim.measured.strokes import STROKES

    context: dict[str, Any] = {"table": table, "one": one, "count": len(STROKES), "least": LEAST_READ}
    try:
        base = unmeasured_parameters(table)
    except Malformed as fault:
        return render(
            request, "analytics/measure.html", context | {"one": None, "refusal": speak(fault.reason)}
        )
    if one is None:
        return render(
            request, "analytics/measure.html", context | {"may_begin": True, "most_note": MOST_NOTE}
        )
    code = code or request.GET.get("stroke", "")
    if code not in STROKES:
        code = _next(one, "")
    stroke = STROKES[code]
    told = told_of(stroke, base.radius)
    codes = list(STROKES)
    place = codes.index(code)
    read = one.readings.get(code, [])
    shown = dict(zip(("read", "seconds"), (f"{value:g}" for value in read), strict=False)) | (written or {})
    wrong = wrong or {}
    fields = [("read", told.read, gettext("diamonds"), told.help)]
    if told.seconds:
        fields.append(("seconds", told.seconds, gettext("seconds"), ""))
    context |= {
        "code": code,
        "told": told,
        "place": place + 1,
        "read_count": len(one.readings),
        "is_read": bool(read),
        "svg": stroke_svg(stroke, base, " ".join([told.name + ".", *told.steps])),
        "fields": [
            {
                "name": name,
                "label": label,
                "unit": unit,
                "help": words,
                "value": shown.get(name, ""),
                "wrong": wrong.get(name),
            }
            for name, label, unit, words in fields
        ],
        "skip": codes[(place + 1) % len(codes)],
        "strokes": [
            {
                "code": other.code,
                "name": stroke_name(other),
                "read": readings_words(one.readings.get(other.code)),
                "now": other.code == code,
            }
            for other in STROKES.values()
        ],
        "enough": len(one.readings) >= LEAST_READ,
        "refusal": refusal,
        "named": stroke_name(STROKES[named]) if named in STROKES else "",
    }
    return render(request, "analytics/measure.html", context)


def readings_words(read: list[float] | None) -> str:
    """Return what was read of a stroke, empty where nothing was."""
    if not read:
        return ""
    if len(read) == 1:
        return f"{read[0]:g}"
    return gettext("%(read)s, %(seconds)s s") % {"read": f"{read[0]:g}", "seconds": f"{read[1]:g}"}
