"""The systems checked: what the sums say beside what the simulated table does with the same strokes."""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from analytics.aim.diamonds.systems import SYSTEMS
from analytics.aim.diamonds.words import number
from analytics.api.limits import VisitorShots
from analytics.tables import find_table
from scoring.access import Actor
from scoring.pages.gate import page

from .diamond_checked_drawing import residuals_svg, track_svg
from .diamonds import SYSTEM_WORDS, number_names
from .limits import limited
from .stroke import table_choices

if TYPE_CHECKING:
    from analytics.aim.checked.playing import Checked
    from analytics.aim.checked.trust import Trust

# The track that is drawn before one was chosen: published, or in the middle of the rule.
USUAL_TRACK = {
    "corner": "5-3",
    "plus": "3-2",
    "one-rail": "6-4",
    "two-rail": "7-2",
    "sid": "3-7.5",
    "half": "8-4",
    "base-30": "4.5-3",
}
GRADE_WORDS = {
    "near": _("within a quarter"),
    "off": _("within half"),
    "far": _("farther off"),
    "lost": _("another rail first"),
}
CSV_HEAD = (
    "system",
    "table",
    "origin",
    "aim",
    "arrival",
    "simulated",
    "residual",
    "fourth",
    "fourth_simulated",
    "fourth_residual",
    "grade",
    "fitted",
)


@require_safe
@page
@limited(VisitorShots)
def checked(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show every track of a system on a table: in words, drawn, as a chart and as a table."""
    from analytics.aim.checked.playing import check
    from analytics.aim.checked.tracks import STROKES
    from analytics.aim.checked.trust import judge

    tables = table_choices()
    system = request.GET.get("system", "")
    system = system if system in SYSTEMS else "corner"
    table = next((one for one in tables if one["value"] == request.GET.get("table")), tables[0])
    found = check(system, find_table(table["send"]))
    if request.GET.get("format") == "csv":
        return _as_csv(system, table, found)
    trust = judge(found)
    chosen = _chosen(found, request.GET.get("track") or USUAL_TRACK[system])
    asked = {"system": system, "table": table["value"]}
    context = {
        "systems": [(code, SYSTEM_WORDS[code][0]) for code in SYSTEMS],
        "tables": tables,
        "system": system,
        "system_word": SYSTEM_WORDS[system][0],
        "about": SYSTEM_WORDS[system][1],
        "table": table,
        "finding": _finding(trust, len(found)),
        "advice": _advice(trust),
        "fourth": _fourth_words(trust),
        "fitted": trust.fitted,
        "stroke": _stroke_words(*STROKES[system]),
        "csv_query": urlencode(asked | {"format": "csv"}),
        "options": [(one.track.key, _sum_words(one)) for one in found],
        "chosen": chosen.track.key,
        "chosen_words": _track_words(chosen),
        "sum_query": urlencode(
            {
                "system": system,
                "find": "arrival" if system != "half" else "aim",
                "origin": f"{chosen.track.origin:g}",
            }
            | ({} if system in ("half", "base-30") else {"aim": f"{chosen.track.aim:g}"})
        ),
        "drawing": track_svg(chosen, _track_words(chosen)),
        "chart": residuals_svg(found, [_sum_words(one) for one in found], _finding(trust, len(found))),
        "rows": [_row(one, asked) for one in found],
        "with_fourth": any(one.book_fourth is not None for one in found),
    }
    return render(request, "analytics/diamonds_checked.html", context)


def _chosen(found: tuple[Checked, ...], key: str) -> Checked:
    return next((one for one in found if one.track.key == key), found[0])


def _sum_words(one: Checked) -> str:
    track = one.track
    return f"{number(track.origin)}, {number(track.aim)} → {number(track.arrival)}"


def signed(value: float) -> str:
    """Return a residual as it is shown, with its sign: two decimals."""
    text = f"{abs(value):.2f}"
    return text if text == "0.00" else ("+" if value > 0 else "−") + text


def _finding(trust: Trust, total: int) -> str:
    counts = trust.counts
    near = ngettext(
        "Of %(total)s track, %(near)s arrives within a quarter of a diamond of the sum",
        "Of %(total)s tracks, %(near)s arrive within a quarter of a diamond of the sum",
        total,
    ) % {"total": total, "near": counts["near"]}
    rest = [
        (gettext("%(n)s within half a diamond"), counts["off"]),
        (gettext("%(n)s farther off"), counts["far"]),
        (gettext("%(n)s by another rail first"), counts["lost"]),
    ]
    return ", ".join([near, *(words % {"n": n} for words, n in rest if n)]) + "."


def _advice(trust: Trust) -> str:
    """Return where the system can be trusted and where not, in a sentence or two."""
    told = []
    if trust.trusted:
        told.append(
            gettext("All tracks are near for %(numbers)s.") % {"numbers": _numbers(trust.by, trust.trusted)}
        )
    if trust.doubted:
        told.append(
            gettext("Do not trust %(numbers)s: up to %(worst)s diamonds off.")
            % {"numbers": _numbers(trust.by, trust.doubted), "worst": f"{trust.worst:.2f}"}
        )
    if not trust.trusted:
        told.insert(
            0,
            gettext("For no origin are all tracks near.")
            if trust.by == "origin"
            else gettext("For no arrival are all tracks near."),
        )
    return " ".join(told)


def _numbers(by: str, values: tuple[float, ...]) -> str:
    told = {"values": _listed(values)}
    if by == "origin":
        return ngettext("origin %(values)s", "origins %(values)s", len(values)) % told
    return ngettext("arrival %(values)s", "arrivals %(values)s", len(values)) % told


def _listed(values: tuple[float, ...]) -> str:
    words = [number(value) for value in values]
    if len(words) == 1:
        return words[0]
    return gettext("%(some)s and %(last)s") % {"some": ", ".join(words[:-1]), "last": words[-1]}


def _fourth_words(trust: Trust) -> str:
    total = sum(trust.fourth.values())
    if not total:
        return ""
    return ngettext(
        "On the fourth rail, where a place is published: %(near)s of %(n)s within a quarter.",
        "On the fourth rail, where places are published: %(near)s of %(n)s within a quarter.",
        total,
    ) % {"near": trust.fourth["near"], "n": total}


def _stroke_words(speed: float, side: float, height: float) -> str:
    """Return how every track is struck: m/s and ball radii, side where there is any."""
    told = {"speed": number(speed), "side": number(side), "height": number(height)}
    return gettext("%(speed)s m/s, %(side)s, %(height)s.") % {
        "speed": told["speed"],
        "side": gettext("%(side)s radii of running side") % told if side else gettext("no side"),
        "height": gettext("%(height)s radii above the centre") % told if height else gettext("centre height"),
    }


def _track_words(one: Checked) -> str:
    track, told = one.track, []
    names = number_names()
    told.append(
        gettext("%(origin_word)s %(origin)s, %(aim_word)s %(aim)s: the sum says %(arrival)s.")
        % {
            "origin_word": names["origin"].capitalize(),
            "origin": number(track.origin),
            "aim_word": names["aim"],
            "aim": number(track.aim),
            "arrival": number(track.arrival),
        }
    )
    if one.arrival is None or one.residual is None:
        told.append(gettext("The simulated ball meets another rail first."))
    elif abs(one.residual) < 0.005:
        told.append(gettext("The simulated ball arrives there."))
    else:
        far = {"at": f"{one.arrival:.2f}", "by": f"{abs(one.residual):.2f}"}
        told.append(
            gettext("The simulated ball arrives at %(at)s: %(by)s long.") % far
            if one.residual > 0
            else gettext("The simulated ball arrives at %(at)s: %(by)s short.") % far
        )
    if one.fourth_residual is not None:
        far = {"by": f"{abs(one.fourth_residual):.2f}"}
        told.append(
            gettext("On the fourth rail it is %(by)s long.") % far
            if one.fourth_residual > 0
            else gettext("On the fourth rail it is %(by)s short.") % far
        )
    return " ".join(told)


def _row(one: Checked, asked: dict[str, str]) -> dict[str, Any]:
    from analytics.aim.checked.trust import grade

    found = grade(one.residual)
    return {
        "origin": number(one.track.origin),
        "aim": number(one.track.aim),
        "arrival": number(one.track.arrival),
        "simulated": "–" if one.arrival is None else f"{one.arrival:.2f}".replace("-", "−"),
        "residual": "–" if one.residual is None else signed(one.residual),
        "fourth": "" if one.fourth_residual is None else signed(one.fourth_residual),
        "grade": GRADE_WORDS[found],
        "fitted": one.track.fitted,
        "query": urlencode(asked | {"track": one.track.key}),
    }


def _as_csv(system: str, table: dict[str, Any], found: tuple[Checked, ...]) -> HttpResponse:
    from analytics.aim.checked.trust import grade

    answer = HttpResponse(content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="diamonds-{system}.csv"'
    writer = csv.writer(answer, lineterminator="\r\n")
    writer.writerow(CSV_HEAD)
    label = str(table["label"])
    # A spreadsheet must not take a table's name for a formula.
    label = "'" + label if label[:1] in "=+-@\t\r" else label
    for one in found:
        values = (one.arrival, one.residual, one.book_fourth, one.fourth, one.fourth_residual)
        shown = ["" if value is None else f"{round(value, 4) + 0.0:g}" for value in values]
        numbers = [f"{value:g}" for value in (one.track.origin, one.track.aim, one.track.arrival)]
        fitted = "yes" if one.track.fitted else "no"
        writer.writerow([system, label, *numbers, *shown, grade(one.residual), fitted])
    return answer
