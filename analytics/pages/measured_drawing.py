"""Two drawings: a test stroke to shoot and the rail to read, and book number beside own-table number."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from analytics.aim.diamonds.geometry import LENGTH, LONG_RAILS, WIDTH, Point
from scoring.templatetags.table_drawing import ROOM, Sheet, draw_ball, draw_frame

if TYPE_CHECKING:
    from analytics.aim.measured.correcting import Correction
    from analytics.aim.measured.strokes import TestStroke
    from analytics.table.parameters import TableParameters

SCALE = 42  # [px a diamond]
OUTSIDE = 0.62  # [diamonds] the numbers of a rail stand outside the nose
MORE = 0.42  # [diamonds] of room more than the frame needs, for them


class Roomy(Sheet):
    """An upright sheet with room for numbers outside the frame."""

    def __init__(self) -> None:
        super().__init__(SCALE, lying=False)
        self.size = (self.size[0] + 2 * MORE, self.size[1] + 2 * MORE)

    def px(self, point: Point) -> Point:
        edge = ROOM + MORE
        return ((point[0] + edge) * self.scale, (LENGTH - point[1] + edge) * self.scale)

    def svg(self, label: str) -> SafeString:
        """Return the drawing; all words are escaped where they are set."""
        width, height = (side * SCALE for side in self.size)
        return mark_safe(
            f'<svg class="carom carom-upright mea-svg" viewBox="0 0 {width:.0f} {height:.0f}" role="img" '
            f'aria-label="{escape(label)}">{"".join(self.parts)}</svg>'
        )


def stroke_svg(stroke: TestStroke, table: TableParameters, label: str) -> SafeString:
    """Return a stroke to shoot: the line to sight, about how the ball runs, the rail to read."""
    sheet = Roomy()
    draw_frame(sheet)
    _draw_read(sheet, stroke)
    sheet.line(*stroke.line, "mea-sight", ' stroke-dasharray="2 4"')
    way = _way(stroke, table)
    for leg, (one, other) in enumerate(pairwise(way)):
        sheet.line(one, other, "leg", f' stroke-width="{max(2.8 - 0.5 * leg, 1.1):.2f}"')
    for end in stroke.line:
        sheet.circle(end, 4.5, "mea-mark")
    draw_ball(sheet, "white", stroke.start, cue=True)
    return sheet.svg(label)


def _way(stroke: TestStroke, table: TableParameters) -> list[Point]:
    """Return the places that the ball's way joins, up to what is read, as a table like this one plays it."""
    from analytics.aim.measured.strokes import PACE
    from analytics.table.alone import run_alone

    lag = stroke.fields == 2
    # A lag's pace is whatever brings it back; drawn is one that lies where it should.
    run = run_alone(stroke.start, stroke.strike(table, 1.55 if lag else PACE), table)
    met = [(float(at[2]), float(at[3])) for at in run.contacts]
    if lag:
        return [stroke.start, met[0], (stroke.start[0] + 0.3, 2.5)] if met else [stroke.start]
    return [stroke.start, *met[: stroke.contact]]


def _draw_read(sheet: Sheet, stroke: TestStroke) -> None:
    """Draw the rail that is read as a bar, with its numbers."""
    long = stroke.rail in LONG_RAILS
    side = {"left": 0.0, "right": WIDTH, "bottom": 0.0, "top": LENGTH}[stroke.rail]
    out = OUTSIDE if side else -OUTSIDE
    most = round(stroke.most)

    def at(counted: float, away: float = 0.0) -> Point:
        along = most - counted if stroke.end in ("top", "right") else counted
        return (side + away, along) if long else (along, side + away)

    sheet.line(at(0), at(most), "mea-read")
    for counted in range(0 if long else 1, most + 1 if long else most):
        x, y = sheet.px(at(counted, out))
        sheet.text(x, y + 4.6, str(counted), "mea-number")


def numbers_svg(fix: Correction, label: str) -> SafeString:
    """Return the rail of the arrivals: outside it the book's numbers, inside where each comes here."""
    sheet = Roomy()
    draw_frame(sheet)
    low, high = fix.low, fix.high
    for tenth in range(round(low * 2), round(high * 2) + 1):
        book = tenth / 2
        told = fix.arrival(book)
        if told is None:
            continue
        own = told[0]
        sheet.line((-0.0, LENGTH - book), (0.9, LENGTH - own), "mea-moved")
        if tenth % 2:
            continue
        x, y = sheet.px((-OUTSIDE, LENGTH - book))
        sheet.text(x, y + 4.6, f"{book:g}", "mea-number")
        x, y = sheet.px((1.0, LENGTH - own))
        sheet.text(x, y + 4.6, f"{own:.1f}", "mea-own", "start")
    for track in fix.tracks:
        sheet.circle((0.9, LENGTH - track.own), 3.5, "mea-came")
    return sheet.svg(label)
