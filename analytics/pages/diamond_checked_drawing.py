"""Drawings of the check: a sum's way beside the simulated one, and how far off every track arrives."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil
from typing import TYPE_CHECKING

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext

from analytics.aim.diamonds.geometry import LENGTH, Point
from scoring.templatetags.table_drawing import MARKS, Sheet, draw_frame

from .diamond_rails import route

if TYPE_CHECKING:
    from analytics.aim.checked.playing import Checked

SCALE = 42
# The chart, in px of its own: columns of words and of figures, rows.
LABEL, PLOT, FIGURE, ROW, HEAD, FOOT = 104, 190, 56, 19, 34, 26
APART = 0.46  # [diamonds] between two letters on the frame
LEAST = 1.0  # [diamonds] that the axis reaches to either side


def track_svg(one: Checked, label: str) -> SafeString:
    """Return the table with the two ways: A of the sum along the noses, B of the simulated centre."""
    track = one.track
    sheet = Sheet(SCALE, lying=False)
    draw_frame(sheet)
    points = dict(track.answer.points)
    if not track.fourth:
        points.pop("fourth", None)
    numbers = {"origin": track.origin, "aim": track.aim, "arrival": track.arrival}
    by_sum = route(track.system, points, numbers, track.answer.line, None)
    if track.system == "plus":
        # What comes after the arrival is not published.
        by_sum = by_sum[:4]
    _draw_way(sheet, by_sum, False)
    _draw_way(sheet, one.way, True)
    sheet.circle(one.way[0], 5.5, "chk-start")
    _draw_letter(sheet, track.arrival, "A", False)
    if one.arrival is not None:
        _draw_letter(sheet, _clear(one.arrival, track.arrival), "B", True)
    width, height = (side * SCALE for side in sheet.size)
    return mark_safe(  # the label is escaped, the rest numbers and our words
        f'<svg class="carom carom-upright" viewBox="0 0 {width:.0f} {height:.0f}" role="img" '
        f'aria-label="{escape(label)}">{"".join(sheet.parts)}</svg>'
    )


def _draw_way(sheet: Sheet, way: Sequence[Point], second: bool) -> None:
    sheet.add(f'<g class="{"line-b" if second else "line-a"}">')
    dash = ' stroke-dasharray="7 5"' if second else ""
    for leg, (a, b) in enumerate(pairwise(way)):
        sheet.line(a, b, "leg", f' stroke-width="{max(3.2 - 0.42 * leg, 1.1):.2f}"{dash}')
    sheet.add("</g>")


def _clear(arrival: float, taken: float) -> float:
    """Return where a letter stands along the rail: abreast of its arrival, or moved on beside the other."""
    if abs(arrival - taken) >= APART:
        return arrival
    return taken + (APART if arrival >= taken else -APART)


def _draw_letter(sheet: Sheet, arrival: float, word: str, second: bool) -> None:
    """Set a letter on the frame abreast of an arrival."""
    at = (-MARKS, LENGTH - min(max(arrival, -MARKS), LENGTH + MARKS))
    x, y = sheet.px(at)
    sheet.add(f'<g class="{"line-b" if second else "line-a"}">')
    if second:
        sheet.add(
            f'<rect class="number-mark" x="{x - 8.5:.1f}" y="{y - 8.5:.1f}" width="17" height="17" rx="2"/>'
        )
    else:
        sheet.circle(at, 9, "number-mark")
    sheet.text(x, y + 4.3, word, "number")
    sheet.add("</g>")


def residuals_svg(found: Sequence[Checked], labels: Sequence[str], words: str) -> SafeString:
    """Return the chart: a row a track, its residual left (short) or right (long) of the sum."""
    sizes = [abs(one.residual) for one in found if one.residual is not None]
    most = max(LEAST, ceil(max(sizes, default=0.0) * 2) / 2)
    height = HEAD + ROW * len(found) + FOOT
    parts: list[str] = []
    _draw_axis(parts, most, HEAD + ROW * len(found))
    before: float | None = None
    for at, (one, label) in enumerate(zip(found, labels, strict=True)):
        y = HEAD + ROW * (at + 0.5)
        if before is not None and one.track.origin != before:
            parts.append(
                f'<line class="chk-grid" x1="0" x2="{LABEL + PLOT + FIGURE}" y1="{y - ROW / 2:.1f}" y2="{y - ROW / 2:.1f}"/>'
            )
        before = one.track.origin
        _draw_row(parts, one, label, y, most)
    return mark_safe(  # words are escaped where they are set
        f'<svg class="chk-chart" viewBox="0 0 {LABEL + PLOT + FIGURE} {height}" role="img" '
        f'aria-label="{escape(words)}">{"".join(parts)}</svg>'
    )


def _x(value: float, most: float) -> float:
    return LABEL + PLOT * (value + most) / (2 * most)


def _draw_axis(parts: list[str], most: float, bottom: float) -> None:
    low, high = _x(-0.25, most), _x(0.25, most)
    parts.append(
        f'<rect class="chk-band" x="{low:.1f}" y="{HEAD}" width="{high - low:.1f}" height="{bottom - HEAD:.1f}"/>'
    )
    for edge in (low, high):
        parts.append(
            f'<line class="chk-edge" x1="{edge:.1f}" x2="{edge:.1f}" y1="{HEAD}" y2="{bottom:.1f}" stroke-dasharray="2 3"/>'
        )
    zero = _x(0.0, most)
    parts.append(
        f'<line class="chk-zero" x1="{zero:.1f}" x2="{zero:.1f}" y1="{HEAD - 4}" y2="{bottom + 4:.1f}"/>'
    )
    step = 0.5 if most <= 1 else 1.0
    for at in range(-int(most / step), int(most / step) + 1):
        value = at * step
        text = f"{abs(value):g}" if value >= 0 else f"−{abs(value):g}"
        x = _x(value, most)
        parts.append(
            f'<line class="chk-zero" x1="{x:.1f}" x2="{x:.1f}" y1="{bottom:.1f}" y2="{bottom + 4:.1f}"/>'
        )
        parts.append(
            f'<text class="chk-tick" x="{x:.1f}" y="{bottom + 19:.1f}" text-anchor="middle">{text}</text>'
        )
    words = (
        (LABEL, "start", gettext("← short")),
        (LABEL + PLOT, "end", gettext("long →")),
        (0, "start", gettext("the sum")),
    )
    for x, anchor, word in words:
        parts.append(f'<text class="chk-head" x="{x}" y="18" text-anchor="{anchor}">{escape(word)}</text>')


def _draw_row(parts: list[str], one: Checked, label: str, y: float, most: float) -> None:
    from analytics.aim.checked.trust import grade

    star = " *" if one.track.fitted else ""
    parts.append(f'<text class="chk-label" x="0" y="{y + 4.5:.1f}">{escape(label)}{star}</text>')
    right = LABEL + PLOT + FIGURE
    if one.residual is None:
        parts.append(
            f'<text class="chk-figure" x="{right}" y="{y + 4.5:.1f}" text-anchor="end">{escape(gettext("other"))}</text>'
        )
        return
    x, zero = _x(one.residual, most), _x(0.0, most)
    parts.append(f'<line class="chk-stem" x1="{zero:.1f}" x2="{x:.1f}" y1="{y:.1f}" y2="{y:.1f}"/>')
    kind = grade(one.residual)
    if kind == "near":
        parts.append(f'<circle class="chk-near" cx="{x:.1f}" cy="{y:.1f}" r="4.5"/>')
    elif kind == "off":
        parts.append(f'<rect class="chk-off" x="{x - 4.2:.1f}" y="{y - 4.2:.1f}" width="8.4" height="8.4"/>')
    else:
        parts.append(f'<path class="chk-far" d="M{x:.1f} {y - 6:.1f}l6 6l-6 6l-6 -6z"/>')
    value = one.residual
    text = f"{abs(value):.2f}"
    sign = "" if text == "0.00" else "+" if value > 0 else "−"
    parts.append(
        f'<text class="chk-figure" x="{right}" y="{y + 4.5:.1f}" text-anchor="end">{sign}{text}</text>'
    )
