"""The table with the three scales of a diamond system, each in its own voice, and the way of its answer."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, sin

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from analytics.aim.diamonds.geometry import LENGTH, WIDTH, Orientation, Point
from analytics.aim.diamonds.question import RADIUS
from analytics.aim.diamonds.words import number
from scoring.templatetags.table_drawing import Sheet, along, clearance, draw_frame

from .diamond_rails import Ruler

SCALE = 40  # [px a diamond] of the drawing's own units
ORDER = ("arrival", "aim", "origin")  # the first of them on a rail stands nearest to it
BARE = 0.46  # [diamonds] outside a rail without numbers
# From the noses to the middle of the first column of numbers, from column to column, and beyond the last.
FIRST, STEP, BEYOND = 0.68, 0.72, 0.38
TITLE = 0.66  # [diamonds] a title stands outside the corner
RING = 12  # [px]
OUT = {"left": (-1, 0), "right": (1, 0), "bottom": (0, -1), "top": (0, 1)}


@dataclass
class Drawing:
    """What is drawn; rulers in the system's own place, all points as the player sees them."""

    way: Orientation
    rulers: Mapping[str, Ruler]
    numbers: Mapping[str, float | None]
    names: Mapping[str, str]
    places: Mapping[str, str]  # of each number, in words
    held: Sequence[str] = ()  # the numbers that may be moved
    balls: Mapping[str, Point | None] | None = None
    ball_names: Mapping[str, str] | None = None
    marks: Mapping[str, Point] | None = None
    line: tuple[Point, Point] | None = None
    route: Sequence[Point] = ()
    window: tuple[float, float] | None = None
    label: str = ""


class Board(Sheet):
    """A sheet with as much room outside each rail as its numbers need."""

    def __init__(self, drawing: Drawing):
        super().__init__(SCALE, lying=False)
        self.columns: dict[tuple[str, str], int] = {}
        counts = dict.fromkeys(OUT, 0)
        for name in ORDER:
            for rail in dict.fromkeys(drawing.rulers[name].rails):
                self.columns[name, rail] = counts[rail]
                counts[rail] += 1
        room = {
            rail: BARE if count == 0 else self.offset(count - 1) + BEYOND for rail, count in counts.items()
        }
        # Titles stand above and below the columns, or at the end of a row.
        room["top"], room["bottom"] = max(room["top"], 0.95), max(room["bottom"], 0.95)
        if counts["top"]:
            room["right"] = max(room["right"], 1.7)
        self.room = {drawing.way.rail(rail): value for rail, value in room.items()}
        self.size = (
            WIDTH + self.room["left"] + self.room["right"],
            LENGTH + self.room["bottom"] + self.room["top"],
        )

    def offset(self, column: int) -> float:
        """Return how far outside its rail a column of numbers stands."""
        return FIRST + STEP * column

    def px(self, point: Point) -> Point:
        return (
            (point[0] + self.room["left"]) * self.scale,
            (LENGTH - point[1] + self.room["top"]) * self.scale,
        )

    def stand(self, drawing: Drawing, name: str, at: Point, rail: str) -> Point:
        """Return where the number of a nose point stands, as the player sees it."""
        far = self.offset(self.columns[name, rail])
        dx, dy = OUT[rail]
        return drawing.way.turn((at[0] + dx * far, at[1] + dy * far))

    def number_at(self, drawing: Drawing, name: str, value: float) -> Point:
        """Return where a number of a ruler stands."""
        ruler = drawing.rulers[name]
        return self.stand(drawing, name, ruler.point(value), ruler.rail(value))


def diamonds_svg(drawing: Drawing) -> SafeString:
    """Return the drawing as SVG: a part that changes as a whole, then the grips, which a script may move."""
    board = Board(drawing)
    board.add('<g data-part="drawn">')
    draw_frame(board)
    if drawing.window is not None:
        _draw_window(board, drawing)
    _draw_way(board, drawing)
    for name in ORDER:
        _draw_scale(board, drawing, name)
    _draw_marks(board, drawing)
    _draw_balls(board, drawing)
    board.add("</g>")
    for name in ORDER:
        _draw_chosen(board, drawing, name)
    for ball, at in (drawing.balls or {}).items():
        if at is not None:
            _draw_ball_grip(board, drawing, ball, at)
    width, height = (side * SCALE for side in board.size)
    left, top = (board.room[rail] for rail in ("left", "top"))
    return mark_safe(  # all words are escaped where they are set
        f'<svg class="carom dia-svg" viewBox="0 0 {width:.0f} {height:.0f}" role="img" '
        f'aria-label="{escape(drawing.label)}" data-left="{left:g}" data-top="{top:g}" data-scale="{SCALE}" '
        f'data-radius="{RADIUS:.5f}">{"".join(board.parts)}</svg>'
    )


def _draw_scale(board: Board, drawing: Drawing, name: str) -> None:
    ruler = drawing.rulers[name]
    chosen = drawing.numbers.get(name)
    ring = None if chosen is None else board.number_at(drawing, name, chosen)
    board.add(f'<g class="dia-{name}">')
    for value in ruler.labels:
        at = board.number_at(drawing, name, value)
        if ring is not None and hypot(at[0] - ring[0], at[1] - ring[1]) * SCALE < RING + 5:
            continue
        x, y = board.px(at)
        core = ruler.core[0] <= value <= ruler.core[1]
        board.text(x, y + 4.6, number(value), "dia-label" if core else "dia-label dia-outer")
    x, y, anchor = _title(board, drawing, name)
    board.text(x, y, drawing.names[name], "dia-title", anchor)
    board.add("</g>")


def _title(board: Board, drawing: Drawing, name: str) -> tuple[float, float, str]:
    """Return where the name of a scale stands: outside an end of its column, or at its row's end."""
    rail = drawing.rulers[name].rails[0]
    column = board.columns[name, rail]
    far = board.offset(column)
    if rail in ("left", "right"):
        own = (-far if rail == "left" else WIDTH + far, -TITLE if column else LENGTH + TITLE)
        x, y = board.px(drawing.way.turn(own))
        half = 3.6 * len(drawing.names[name]) + 2
        x = min(max(x, half), board.size[0] * SCALE - half)
        return x, y + 4.6, "middle"
    # The row of the nearer numbers begins where the farther one ends: at the same side, one below the other.
    own = (WIDTH + 0.4, LENGTH + far if rail == "top" else -far)
    at = drawing.way.turn(own)
    x, y = board.px(at)
    return x, y + 4.6, "start" if at[0] > WIDTH / 2 else "end"


def _draw_window(board: Board, drawing: Drawing) -> None:
    """Draw the arrivals that still hit as a bar on their rail."""
    assert drawing.window is not None
    ruler = drawing.rulers["arrival"]
    one, other = (drawing.way.turn(ruler.point(edge)) for edge in drawing.window)
    board.line(one, other, "dia-window")


def _draw_way(board: Board, drawing: Drawing) -> None:
    """Draw the way leg by leg, each thinner, and the aim line on to the marks it runs through."""
    if drawing.line is not None and drawing.route:
        start, end = drawing.line
        board.line(start, drawing.route[0], "dia-sight", ' stroke-dasharray="2 4"')
        board.line(drawing.route[1], end, "dia-sight", ' stroke-dasharray="2 4"')
    for leg, (one, other) in enumerate(zip(drawing.route, drawing.route[1:], strict=False)):
        width = max(3.2 - 0.42 * leg, 1.1)
        board.line(one, other, "leg", f' stroke-width="{width:.2f}"')
    for rail, at in enumerate(drawing.route[1:], 1):
        x, y = board.px(_beside(at, drawing.route))
        board.text(x, y + 4.5, str(rail), "dia-rail")


def _beside(contact: Point, way: Sequence[Point]) -> Point:
    """Return where the number of a rail stands: inside the noses beside the contact, clear of the way."""
    taken = along(list(way), 0.1)
    around = [
        (contact[0] + 0.36 * cos(turn * pi / 8), contact[1] + 0.36 * sin(turn * pi / 8)) for turn in range(16)
    ]
    inside = [at for at in around if 0.2 <= at[0] <= WIDTH - 0.2 and 0.2 <= at[1] <= LENGTH - 0.2]
    return max(inside or around, key=lambda at: clearance(at, taken, 0.08, 0.1))


def _draw_marks(board: Board, drawing: Drawing) -> None:
    """Ring the places on the frame to look at, and dot the nose points they stand for."""
    for name, at in (drawing.marks or {}).items():
        board.circle(at, 4.5, f"dia-look dia-{name}")
    for name in ORDER:
        value = drawing.numbers.get(name)
        if value is not None:
            nose = drawing.way.turn(drawing.rulers[name].point(value))
            board.circle(nose, 3, f"dia-nose dia-{name}")


def _draw_balls(board: Board, drawing: Drawing) -> None:
    taken = along(list(drawing.route))
    balls = {name: at for name, at in (drawing.balls or {}).items() if at is not None}
    for name, (bx, by) in balls.items():
        word = (drawing.ball_names or {})[name]
        half = 3.9 * len(word) / SCALE
        places = [
            (bx + RADIUS + 0.25 + half, by),
            (bx - RADIUS - 0.25 - half, by),
            (bx, by + 0.42),
            (bx, by - 0.42),
        ]
        others = [at for other, at in balls.items() if other != name]
        inside = [at for at in places if half < at[0] < WIDTH - half and 0.2 < at[1] < LENGTH - 0.2]
        best = max(inside or places, key=lambda at: clearance(at, [*taken, *others], half, 0.12))
        x, y = board.px(best)
        board.text(x, y + 4.5, word, "ball-name")


def _draw_chosen(board: Board, drawing: Drawing, name: str) -> None:
    """Draw a number in its ring; one that may be moved says along which points."""
    value = drawing.numbers.get(name)
    if value is None:
        return
    ruler = drawing.rulers[name]
    x, y = board.px(board.number_at(drawing, name, value))
    word = number(value)
    half = RING + 3.4 * max(len(word) - 3, 0)  # a ring, drawn out for long numbers
    inner = (
        f'<rect class="dia-ring" x="{-half:.1f}" y="{-RING}" width="{2 * half:.1f}" height="{2 * RING}" rx="{RING}"/>'
        f'<text class="dia-number" y="4.8" text-anchor="middle">{word}</text>'
    )
    told = ""
    if name in drawing.held:
        rows = []
        for (low, one), (high, other), rail in zip(ruler.knots, ruler.knots[1:], ruler.rails, strict=False):
            for at, point in ((low, one), (high, other)):
                nose = drawing.way.turn(point)
                stand = board.stand(drawing, name, point, rail)
                rows.append([round(part, 4) for part in (at, *nose, *stand)])
        told = (
            f' data-grip="{name}" data-name="{escape(drawing.names[name])}" data-now="{value:g}"'
            f' data-low="{ruler.low:g}" data-high="{ruler.high:g}" data-words="{escape(drawing.places.get(name, ""))}"'
            f' data-knots="{json.dumps(rows)}"'
        )
        inner = '<circle class="dia-reach" r="22"/>' + inner
    board.add(f'<g class="dia-chosen dia-{name}" transform="translate({x:.1f} {y:.1f})"{told}>{inner}</g>')


def _draw_ball_grip(board: Board, drawing: Drawing, ball: str, at: Point) -> None:
    x, y = board.px(at)
    radius = RADIUS * SCALE * 1.35  # a little larger than to scale: it is there to be taken
    ring = (
        f'<circle class="cue-ring" stroke-dasharray="2.6 2.2" r="{radius + 3.5:.1f}"/>'
        if ball == "cue"
        else ""
    )
    width, height = radius * 1.1, radius * 0.36
    sign = (
        ""
        if ball == "cue"
        else f'<rect class="ball-sign" x="{-width / 2:.1f}" y="{-height / 2:.1f}" width="{width:.1f}" height="{height:.1f}"/>'
    )
    name = (drawing.ball_names or {})[ball]
    board.add(
        f'<g class="ball-{"white" if ball == "cue" else "red"}" transform="translate({x:.1f} {y:.1f})"'
        f' data-grip="{ball}" data-name="{escape(name)}" data-now="{at[0]:g}" data-y="{at[1]:g}"'
        f' data-low="0" data-high="4" data-words="{at[0]:.2f}, {at[1]:.2f}">'
        f'<circle class="dia-reach" r="22"/><circle class="dia-focus" r="13"/>{ring}'
        f'<circle class="ball-disc" r="{radius:.1f}"/>{sign}</g>'
    )
