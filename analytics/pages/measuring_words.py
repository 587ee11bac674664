"""What a test stroke is called, and how it is laid, struck and read, in a player's words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.utils.translation import gettext, ngettext, pgettext

from analytics.aim.diamonds.geometry import LENGTH, WIDTH, Orientation, Point
from analytics.aim.diamonds.words import number
from analytics.aim.diamonds.words import place as place_words
from scoring.pages.words import rail_name, speak

if TYPE_CHECKING:
    from analytics.aim.measured.strokes import TestStroke


@dataclass(frozen=True)
class Told:
    """A stroke in words: its name, what to do in order, and the labels of what is read."""

    name: str
    steps: list[str]
    read: str
    help: str
    seconds: str = ""


def stroke_name(stroke: TestStroke) -> str:
    """Return what a stroke is called in lists."""
    kind, _dash, rest = stroke.code.partition("-")
    if kind == "track":
        return gettext("Track %(origin)s, %(aim)s") % {
            "origin": number(stroke.origin or 0.0),
            "aim": number(stroke.aim or 0.0),
        }
    if kind == "across":
        return gettext("Across, side left") if stroke.side < 0 else gettext("Across, side right")
    words = {"lag": gettext("Lag %(number)s"), "plain": gettext("Without side %(number)s")}[kind]
    return words % {"number": rest}


def told_of(stroke: TestStroke, radius: float) -> Told:
    """Return a stroke in words. radius : of a ball [m]."""
    if stroke.fields == 2:
        return Told(
            stroke_name(stroke),
            [*_lay(stroke), _lag_strike(), gettext("Start a watch as it meets the top rail.")],
            gettext("Where it comes to lie"),
            gettext(
                "The middle of the ball, in diamonds from the bottom rail, to a tenth. Shoot again if it met a"
                " second rail."
            ),
            gettext("From the top rail until it lies still"),
        )
    told = {"rail": rail_name(stroke.rail), "end": rail_name(stroke.end), "nth": _nth(stroke.contact)}
    return Told(
        stroke_name(stroke),
        [
            *_lay(stroke),
            _strike(stroke, radius),
            gettext("Watch the %(rail)s rail, the %(nth)s one it meets.") % told,
        ],
        gettext("Where it meets the %(rail)s rail") % told,
        gettext(
            "In diamonds from the %(end)s rail, to a tenth: the place on the nose, not the mark behind it, seen"
            " from straight above."
        )
        % told,
    )


def _nth(contact: int) -> str:
    return {
        2: pgettext("rail", "second"),
        3: pgettext("rail", "third"),
        4: pgettext("rail", "fourth"),
    }[contact]


def _place(mark: Point) -> str:
    """Return a place on the frame in words."""
    x, y = min(max(mark[0], 0.0), WIDTH), min(max(mark[1], 0.0), LENGTH)
    if mark[1] < 0 or mark[1] > LENGTH:
        rail, end = "bottom" if mark[1] < 0 else "top", "left" if x <= WIDTH / 2 else "right"
    else:
        rail, end = "left" if mark[0] <= 0 else "right", "bottom" if y <= LENGTH / 2 else "top"
    return speak(place_words(Orientation(), rail, (x, y), end))


def _lay(stroke: TestStroke) -> list[str]:
    upright = stroke.line[0][0] == stroke.line[1][0]
    far = stroke.start[1] if upright else stroke.start[0]
    sight = gettext("Sight a line that begins %(one)s, and ends %(other)s.") % {
        "one": _place(stroke.line[0]),
        "other": _place(stroke.line[1]),
    }
    lay = ngettext(
        "Lay the ball on that line, %(far)s diamond from the %(rail)s rail.",
        "Lay the ball on that line, %(far)s diamonds from the %(rail)s rail.",
        round(far),
    ) % {"far": number(far), "rail": rail_name("bottom" if upright else "left")}
    return [sight, lay]


def _lag_strike() -> str:
    return gettext(
        "Strike the middle of the ball, softly: up the table and back, so that it comes to lie on the lower half."
    )


def _strike(stroke: TestStroke, radius: float) -> str:
    pace = gettext(
        "Along that line, so hard that a ball struck straight up the table would run a little over three lengths:"
    )
    if stroke.side == 0:
        return f"{pace} " + gettext("the middle of the ball or a hair above it, no side.")
    far = {"far": f"{abs(stroke.side) * radius * 1000:.0f}"}
    if stroke.side < 0:
        return f"{pace} " + gettext("%(far)s mm left of the ball's middle, level cue.") % far
    return f"{pace} " + gettext("%(far)s mm right of the ball's middle, level cue.") % far
