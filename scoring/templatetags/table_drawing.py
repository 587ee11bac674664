"""The table as a quiet line drawing: pure functions from diamonds to SVG text.

Coordinates in [diamonds], ball centres, origin at the bottom-left corner of the noses (4 wide, 8 long).
Colours come from classes; widths and dashes are attributes, so no style attribute is needed.
"""

from collections.abc import Mapping, Sequence
from itertools import pairwise
from math import hypot

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext, pgettext

WIDTH, LENGTH = 4.0, 8.0
BALL = 0.0866
CUSHION, MARKS, FRAME = 0.141, 0.25, 0.352
ROOM = 0.46  # [diamonds] round the frame, for numbers set on it
SPOTS = ((2, 2), (1.486, 2), (2.514, 2), (2, 4), (2, 6))
RAILS = {  # where a rail's name may stand: the place clearest of the lines is taken
    "bottom": ((2, 0.24), (3.2, 0.24), (0.8, 0.24)),
    "top": ((2.9, 7.72), (2, 7.72), (1.1, 7.72)),
    "left": ((0.12, 2.9), (0.12, 5.1), (0.12, 1.3)),
    "right": ((3.88, 5.1), (3.88, 2.9), (3.88, 6.6)),
}
AWAY = 0.9  # [diamonds] that the first object ball is followed
SHIFT = 0.34  # [diamonds] a number moves along where it would hide another

Point = tuple[float, float]


def ball_names() -> dict[str, str]:
    return {"white": gettext("White"), "yellow": gettext("Yellow"), "red": gettext("Red")}


def rail_names() -> dict[str, str]:
    return {
        "bottom": pgettext("rail", "bottom"),
        "top": pgettext("rail", "top"),
        "left": pgettext("rail", "left"),
        "right": pgettext("rail", "right"),
    }


def contact_words(contacts: Sequence[Mapping]) -> list[str]:
    """Each contact (`{"ball": colour}` or `{"rail": name}`) in a word, in order."""
    balls, rails = ball_names(), rail_names()
    return [balls[c["ball"]] if "ball" in c else rails[c["rail"]] for c in contacts]


class Sheet:
    """Turns diamonds into px and collects elements.

    Upright has bottom below; lying has bottom at the left, so the left rail is on top.
    """

    def __init__(self, scale: float, lying: bool):
        self.scale, self.lying = scale, lying
        self.parts: list[str] = []
        across, along = WIDTH + 2 * ROOM, LENGTH + 2 * ROOM
        self.size = (along, across) if lying else (across, along)

    def px(self, point: Point) -> Point:
        x, y = point
        at = (y, x) if self.lying else (x, LENGTH - y)
        return ((at[0] + ROOM) * self.scale, (at[1] + ROOM) * self.scale)

    def add(self, text: str) -> None:
        self.parts.append(text)

    def box(self, outside: float, css: str, radius: float = 0) -> None:
        corners = [self.px((-outside, -outside)), self.px((WIDTH + outside, LENGTH + outside))]
        left, top = (min(c[i] for c in corners) for i in (0, 1))
        right, bottom = (max(c[i] for c in corners) for i in (0, 1))
        rounded = f' rx="{radius:g}"' if radius else ""
        self.add(
            f'<rect class="{css}" x="{left:.1f}" y="{top:.1f}" width="{right - left:.1f}" '
            f'height="{bottom - top:.1f}"{rounded}/>'
        )

    def line(self, a: Point, b: Point, css: str, extra: str = "") -> None:
        (x1, y1), (x2, y2) = self.px(a), self.px(b)
        self.add(f'<line class="{css}" x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}"{extra}/>')

    def circle(self, at: Point, radius_px: float, css: str, extra: str = "") -> None:
        x, y = self.px(at)
        self.add(f'<circle class="{css}" cx="{x:.1f}" cy="{y:.1f}" r="{radius_px:.1f}"{extra}/>')

    def text(self, x: float, y: float, word: str, css: str, anchor: str = "middle") -> None:
        self.add(f'<text class="{css}" x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(word)}</text>')


def draw_frame(sheet: Sheet) -> None:
    sheet.box(FRAME, "frame", 3)
    sheet.box(CUSHION, "cushion")
    for x, y in ((0, 0), (WIDTH, 0), (0, LENGTH), (WIDTH, LENGTH)):
        back = (x - CUSHION if x == 0 else x + CUSHION, y - CUSHION if y == 0 else y + CUSHION)
        sheet.line((x, y), back, "cushion")
    sheet.box(0, "nose")
    half = max(0.055 * sheet.scale, 2.2)
    marks: list[Point] = [(x, y) for y in range(1, 8) for x in (-MARKS, WIDTH + MARKS)]
    marks += [(x, y) for x in range(1, 4) for y in (-MARKS, LENGTH + MARKS)]
    for mark in marks:
        x, y = sheet.px(mark)
        w = half * 0.75
        sheet.add(
            f'<path class="diamond" d="M{x:.1f} {y - half:.1f}L{x + w:.1f} {y:.1f}'
            f'L{x:.1f} {y + half:.1f}L{x - w:.1f} {y:.1f}z"/>'
        )
    for spot in SPOTS:
        x, y = sheet.px(spot)
        sheet.add(f'<path class="spot" d="M{x - 3:.1f} {y:.1f}h6M{x:.1f} {y - 3:.1f}v6"/>')


def clearance(at: Point, taken: Sequence[Point], wide: float = 0.0, high: float = 0.0) -> float:
    """How far `at`, with half a width and height about it, is from the nearest of `taken`."""
    return min(
        (hypot(max(abs(at[0] - t[0]) - wide, 0), max(abs(at[1] - t[1]) - high, 0)) for t in taken),
        default=99.0,
    )


def draw_rail_names(sheet: Sheet, taken: Sequence[Point]) -> None:
    for rail, word in rail_names().items():
        spread = max(RAILS[rail], key=lambda place: min(clearance(place, taken, 0.4, 0.1), 0.3))
        x, y = sheet.px(spread)
        anchor = "middle"
        if sheet.lying and rail in ("bottom", "top"):
            anchor = "start" if rail == "bottom" else "end"
        elif not sheet.lying and rail in ("left", "right"):
            anchor = "start" if rail == "left" else "end"
        sheet.text(x, y + 4, word, "rail-name", anchor)


def draw_ball(sheet: Sheet, colour: str, at: Point, cue: bool) -> None:
    radius = BALL * sheet.scale
    x, y = sheet.px(at)
    if cue:
        sheet.circle(at, radius + 3.5, "cue-ring", ' stroke-dasharray="2.6 2.2"')
    sheet.add(f'<g class="ball-{colour}">')
    sheet.circle(at, radius, "ball-disc")
    if colour == "yellow":
        sheet.circle(at, radius / 3, "ball-sign")
    elif colour == "red" and radius >= 4.5:
        w, h = radius * 1.1, radius * 0.36
        sheet.add(
            f'<rect class="ball-sign" x="{x - w / 2:.1f}" y="{y - h / 2:.1f}" width="{w:.1f}" height="{h:.1f}"/>'
        )
    sheet.add("</g>")


def name_place(sheet: Sheet, at: Point, word: str, taken: list[Point]) -> tuple[float, float, str]:
    """Where a ball's name stands: of four places, the one farthest from what is drawn already."""
    x, y = sheet.px(at)
    gap, half = BALL * sheet.scale + 9, 3.9 * len(word)
    places = [
        (x + gap, y + 4.5, "start", x + gap + half),
        (x - gap, y + 4.5, "end", x - gap - half),
        (x, y - gap, "middle", x),
        (x, y + gap + 9, "middle", x),
    ]
    corners = (sheet.px((0, 0)), sheet.px((WIDTH, LENGTH)))
    low, high = min(c[0] for c in corners), max(c[0] for c in corners)

    def room(place: tuple[float, float, str, float]) -> float:
        middle = (place[3], place[1] - 4.5)
        if middle[0] - half < low or middle[0] + half > high:
            return -1.0
        return clearance(middle, taken, half, 6)

    best = max(places, key=room)
    return best[0], best[1], best[2]


def along(points: Sequence[Point], step: float = 0.2) -> list[Point]:
    """Points every `step` [diamonds] of a path, for keeping names clear of it."""
    found = []
    for (x1, y1), (x2, y2) in pairwise(points):
        n = max(int(hypot(x2 - x1, y2 - y1) / step), 1)
        found += [(x1 + (x2 - x1) * i / n, y1 + (y2 - y1) * i / n) for i in range(n + 1)]
    return found


def number_place(contact: Mapping, before: Point, taken: list[Point], paths: list[Point]) -> Point:
    """Where a contact's number stands: on the frame abreast of a rail, or beside a ball.

    It keeps clear of other numbers and of balls (`taken`), beside a ball of the lines (`paths`) too.
    """
    x, y = contact["at"]
    rail = contact.get("rail")
    if rail is None:
        length = hypot(x - before[0], y - before[1]) or 1.0
        ahead = ((x - before[0]) / length, (y - before[1]) / length)
        places = [
            (x + far * (turn * -ahead[1] + lean * ahead[0]), y + far * (turn * ahead[0] + lean * ahead[1]))
            for far in (SHIFT, 1.3 * SHIFT)
            for turn, lean in ((1, 0), (-1, 0), (0.7, 0.7), (-0.7, 0.7), (0.7, -0.7), (-0.7, -0.7))
        ]
        return max(places, key=lambda p: min(clearance(p, taken), 0.3) + min(clearance(p, paths), 0.22))
    if rail in ("left", "right"):
        at, step = (-MARKS if rail == "left" else WIDTH + MARKS, y), (0.0, -SHIFT)
    else:
        at, step = (x, -MARKS if rail == "bottom" else LENGTH + MARKS), (SHIFT, 0.0)
    while clearance(at, taken) < SHIFT * 0.95:
        at = (at[0] + step[0], at[1] + step[1])
    return at


def draw_line(sheet: Sheet, start: Point, contacts: Sequence[Mapping], layout: Mapping, second: bool) -> None:
    """The cue ball's path: each leg thinner than the one before; it ends at the second object ball."""
    sheet.add(f'<g class="{"line-b" if second else "line-a"}">')
    dash = ' stroke-dasharray="7 5"' if second else ""
    at = start
    met: list[str] = []
    for leg, contact in enumerate(contacts):
        width = max(3.2 - 0.42 * leg, 1.1)
        sheet.line(at, contact["at"], "leg", f' stroke-width="{width:.2f}"{dash}')
        at = contact["at"]
        ball = contact.get("ball")
        if not ball:
            continue
        sheet.circle(at, BALL * sheet.scale, "ghost", ' stroke-dasharray="2 2"')
        if not met and ball in layout:
            draw_leaving(sheet, at, layout[ball])
        if ball not in met:
            met.append(ball)
        if len(met) == 2:
            break
    sheet.add("</g>")


def draw_leaving(sheet: Sheet, cue: Point, ball: Point) -> None:
    length = hypot(ball[0] - cue[0], ball[1] - cue[1])
    if length:
        end = (ball[0] + (ball[0] - cue[0]) / length * AWAY, ball[1] + (ball[1] - cue[1]) / length * AWAY)
        sheet.line(ball, end, "away", ' stroke-dasharray="2 4"')


def draw_numbers(sheet: Sheet, numbers: Sequence[Point], second: bool) -> None:
    sheet.add(f'<g class="{"line-b" if second else "line-a"}">')
    for n, point in enumerate(numbers, 1):
        x, y = sheet.px(point)
        if second:
            sheet.add(
                f'<rect class="number-mark" x="{x - 8.5:.1f}" y="{y - 8.5:.1f}" width="17" height="17" rx="2"/>'
            )
        else:
            sheet.circle(point, 9, "number-mark")
        sheet.text(x, y + 4.3, str(n), "number")
    sheet.add("</g>")


def description(layout: Mapping, cue_ball: str | None, lines: Sequence[Sequence[Mapping]]) -> str:
    """The drawing in words: where the balls lie, who plays, each line's contacts."""
    names = ball_names()
    said = [gettext("Table.")]
    for colour, (x, y) in layout.items():
        said.append(gettext("%(ball)s at %(x).2f, %(y).2f.") % {"ball": names[colour], "x": x, "y": y})
    if cue_ball:
        said.append(gettext("%(ball)s plays.") % {"ball": names[cue_ball]})
    for letter, line in zip("AB", lines, strict=False):
        if line:
            words = ", ".join(contact_words(line))
            said.append(f"{letter}: {words}." if len(lines) > 1 else f"{words}.")
    return " ".join(said)


def table_svg(
    layout: Mapping[str, Point] | None = None,
    cue_ball: str | None = None,
    line_a: Sequence[Mapping] = (),
    line_b: Sequence[Mapping] = (),
    lying: bool = False,
    scale: float = 0,
    rails: bool = True,
    label: str = "",
) -> SafeString:
    """The table to scale as SVG.

    layout    colour -> (x, y) [diamonds]; any of the three balls, or none.
    cue_ball  colour of the ball that plays; a line starts there.
    line_a, line_b  contacts in order, `{"ball" or "rail": name, "at": (x, y)}` with the cue ball's centre
              [diamonds]. Without `at`, or without the cue ball's place, no line can be drawn: it is left out.
    scale     [px a diamond] of the drawing's own units; 56 upright, 64 lying.
    label     the text alternative; by default the drawing put in words.
    """
    layout = dict(layout or {})
    sheet = Sheet(scale or (64 if lying else 56), lying)
    draw_frame(sheet)
    start = layout.get(cue_ball or "", (0.0, 0.0))
    lines = [
        (line, second)
        for line, second in ((line_a, False), (line_b, True))
        if cue_ball in layout and line and all("at" in contact for contact in line)
    ]
    paths = [p for line, _ in lines for p in along([start, *(c["at"] for c in line)])]
    taken: list[Point] = []
    placed = []
    for line, second in lines:
        draw_line(sheet, start, line, layout, second)
        before, numbers = start, []
        for contact in line:
            numbers.append(number_place(contact, before, [*taken, *layout.values()], paths))
            taken.append(numbers[-1])
            before = contact["at"]
        placed.append((numbers, second))
    if rails:
        draw_rail_names(sheet, [*paths, *layout.values()])
    for colour, at in layout.items():
        draw_ball(sheet, colour, at, colour == cue_ball)
    for numbers, second in placed:
        draw_numbers(sheet, numbers, second)
    for colour, at in layout.items():
        others = [p for c, p in layout.items() if c != colour]
        near = [sheet.px(p) for p in (*others, *paths, *SPOTS)]
        near += [(x + dx, y + dy) for x, y in map(sheet.px, taken) for dx in (-9, 9) for dy in (-9, 9)]
        word = ball_names()[colour]
        x, y, anchor = name_place(sheet, at, word, near)
        sheet.text(x, y, word, "ball-name", anchor)
    width, height = (side * sheet.scale for side in sheet.size)
    spoken = label or description(layout, cue_ball, [line_a, line_b] if line_b else [line_a])
    return mark_safe(  # all words are escaped where they are set
        f'<svg class="carom {"carom-lying" if lying else "carom-upright"}" viewBox="0 0 {width:.0f} {height:.0f}" '
        f'role="img" aria-label="{escape(spoken)}">{"".join(sheet.parts)}</svg>'
    )
