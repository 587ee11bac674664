"""What is asked of a system, what it answers, and how both are read and written."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from math import hypot, isfinite
from typing import Any

from scoring.rules.said import Malformed, Said, said

from .geometry import CORNERS, LENGTH, OPPOSITE, WIDTH, Point

READINGS = ("through", "opposite", "split")
OUTER = ("linear", "european")
NUMBERS = ("origin", "aim", "arrival")
MARK_OFFSET = 0.25
# A ball of 61.5 mm on the match table, whose diamonds are 355 mm.
RADIUS = 0.03075 / 0.355
MOST_OFFSET = 0.5
# Numbers are read off marks; what differs by less is the same number.
SAME = 0.005


@dataclass(frozen=True, kw_only=True)
class Question:
    """Two of the three numbers, or balls that stand for them.

    cue_ball stands for the origin, or, together with both others unknown, for the line that
    the system draws through it; ball stands for the arrival. For a shot off a ball, cue_ball
    is a place on the line that the cue ball takes off ball one. radius : of a ball [diamonds].
    corner, first_rail : None leaves them to the system, whose own place is bottom-left.
    """

    system: str
    origin: float | None = None
    aim: float | None = None
    arrival: float | None = None
    cue_ball: Point | None = None
    ball: Point | None = None
    corner: str | None = None
    first_rail: str | None = None
    reading: str = "through"
    mark_offset: float = MARK_OFFSET
    outer: str = "linear"
    correct: bool = False
    radius: float = RADIUS

    def __post_init__(self) -> None:
        for name in NUMBERS:
            _check_number(getattr(self, name), name, optional=True)
        _check_choice(self.corner, "corner", (*CORNERS, None))
        _check_choice(self.first_rail, "first_rail", (*OPPOSITE, None))
        _check_choice(self.reading, "reading", READINGS)
        _check_choice(self.outer, "outer", OUTER)
        if not isinstance(self.correct, bool):
            raise Malformed("correct", said("Send true or false."))
        _check_number(self.mark_offset, "mark_offset")
        if not 0 <= self.mark_offset <= MOST_OFFSET:
            raise Malformed(
                "mark_offset", said("Send a number of diamonds from 0 to %(most)s.", most=MOST_OFFSET)
            )
        self._check_layout()

    def _check_layout(self) -> None:
        for name in ("cue_ball", "ball"):
            point = getattr(self, name)
            if point is not None:
                _check_point(point, f"layout.{name}", self.radius)
        if self.cue_ball is not None and self.origin is not None:
            raise Malformed("origin", said("Send the origin or the cue ball, not both."))
        if self.ball is not None and self.arrival is not None:
            raise Malformed("arrival", said("Send the arrival or the ball, not both."))
        if self.cue_ball is not None and self.ball is not None:
            apart = hypot(self.cue_ball[0] - self.ball[0], self.cue_ball[1] - self.ball[1])
            if apart < 2 * self.radius - 1e-9:
                raise Malformed("layout.ball", said("The balls overlap; move one away."))

    @property
    def known(self) -> int:
        """How many of the three numbers are given, by themselves or by a ball."""
        return sum(
            given is not None for given in (self.origin, self.aim, self.arrival, self.cue_ball, self.ball)
        )


@dataclass(frozen=True)
class Step:
    """A step of the reckoning in a player's words; status S: published, D: derived."""

    text: Said
    status: str = "S"


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What a system answers.

    origin, aim, arrival : None where the path has no such number (it comes from another rail).
    points : on the nose. Always origin, aim, arrival (None where there is none); second,
    fourth, contact (the ball's centre at the first rail) where the system knows them.
    marks : the places on the frame abreast of the points. line : the two points that the aim
    line joins under the reading. window : lowest and highest arrival that still hit. track :
    the arrival wanted before the correction for the origin, where that was asked for. mirror :
    where plane mirrors, a ball without side, would meet the third rail, in diamonds from its
    far end; for comparison only.
    """

    system: str
    origin: float | None
    aim: float | None
    arrival: float | None
    points: Mapping[str, Point | None]
    marks: Mapping[str, Point]
    line: tuple[Point, Point]
    steps: tuple[Step, ...]
    stroke: Said
    window: tuple[float, float] | None = None
    warnings: tuple[Said, ...] = field(default=())
    track: float | None = None
    mirror: float | None = None

    def to_json(self, translate: Callable[[str], str] = lambda text: text) -> dict[str, Any]:
        """Return the answer as JSON values, its sentences in the language of `translate`."""
        return {
            "system": self.system,
            "origin": _rounded(self.origin),
            "aim": _rounded(self.aim),
            "arrival": _rounded(self.arrival),
            "steps": [one.text.into(translate) for one in self.steps],
            "status": [one.status for one in self.steps],
            "stroke": self.stroke.into(translate),
            "points": {name: _shown(point) for name, point in self.points.items()},
            "marks": {name: _shown(point) for name, point in self.marks.items()},
            "line": [_shown(point) for point in self.line],
            "window": None if self.window is None else [_rounded(edge) for edge in self.window],
            "track": _rounded(self.track),
            "mirror": _rounded(self.mirror),
            "warnings": [one.into(translate) for one in self.warnings],
        }


def _rounded(value: float | None) -> float | None:
    # Adding nought turns a negative nought into a plain one.
    return None if value is None else round(value, 6) + 0.0


def _shown(point: Point | None) -> list[float] | None:
    return None if point is None else [round(part, 6) + 0.0 for part in point]


def _check_number(value: Any, name: str, optional: bool = False) -> None:
    if optional and value is None:
        return
    if isinstance(value, bool) or not isinstance(value, int | float) or not _finite(value):
        raise Malformed(name, said("Send a number."))


def _finite(value: float) -> bool:
    try:
        return isfinite(value)
    except OverflowError:
        return False


def _check_choice(value: Any, name: str, choices: tuple[str | None, ...]) -> None:
    if (value is not None and not isinstance(value, str)) or value not in choices:
        told = ", ".join(one for one in choices if one is not None)
        raise Malformed(name, said("Send one of: %(choices)s.", choices=told))


def _check_point(point: Any, name: str, radius: float) -> None:
    if not isinstance(point, tuple) or len(point) != 2:
        raise Malformed(name, said("Send [x, y] in diamonds."))
    for part, most in zip(point, (WIDTH, LENGTH), strict=True):
        if isinstance(part, bool) or not isinstance(part, int | float) or not _finite(part):
            raise Malformed(name, said("Send [x, y] in diamonds."))
        if not radius - 1e-9 <= part <= most - radius + 1e-9:
            raise Malformed(name, said("The ball lies outside the noses; move it in."))
