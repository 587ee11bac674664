"""What a query string asks of a diamond system: numbers or balls, and how to read the marks."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from math import isfinite
from typing import Any
from urllib.parse import urlencode

from django.http import QueryDict
from django.utils.translation import gettext

from analytics.aim.diamonds.geometry import CORNERS, Orientation, Point
from analytics.aim.diamonds.question import (
    MARK_OFFSET,
    NUMBERS,
    OUTER,
    RADIUS,
    READINGS,
    Answer,
    Question,
)
from analytics.aim.diamonds.systems import SYSTEMS, answer, orientation
from scoring.pages.words import speak
from scoring.rules.said import Malformed

USUAL = "corner"
BALLS = ("cue", "ball")
# What a system shows before anything was asked; from the published examples, where there is one.
# By system and, where it may meet the short rail first too, that.
NUMBERS_USUAL = {
    "corner": {"origin": 5.0, "aim": 3.0, "arrival": 2.0},
    "plus": {"origin": 3.0, "aim": 3.0, "arrival": 6.0},
    "one-rail": {"origin": 6.0, "aim": 4.0, "arrival": 2.0},
    "two-rail": {"origin": 7.0, "aim": 2.0, "arrival": 3.0},
    "sid": {"origin": 3.0, "aim": 7.5, "arrival": 3.0},
    "half": {"origin": 6.0, "aim": 3.0, "arrival": 0.0},
    "base-30": {"origin": 4.5, "aim": 3.0, "arrival": 1.5},
    "one-rail short": {"origin": 3.0, "aim": 2.0, "arrival": 1.0},
    "two-rail short": {"origin": 3.5, "aim": 1.5, "arrival": 0.5},
}
# Cue ball and ball, likewise.
BALLS_USUAL: dict[str, tuple[Point, Point]] = {
    "corner": ((2.0, 2.0), (1.0, 5.0)),
    "plus": ((1.0, 5.0), (1.5, 1.0)),
    "one-rail": ((1.0, 2.0), (2.0, 6.0)),
    "one-rail short": ((1.0, 3.0), (3.0, 4.0)),
    "two-rail": ((1.0, 2.0), (1.0, 4.0)),
    "two-rail short": ((1.0, 3.0), (1.5, 1.5)),
    "sid": ((2.4, 2.0), (0.4, 6.6)),
    "half": ((1.0, 2.75), (2.0, 6.5)),
    "base-30": ((1.0, 2.0), (1.0, 5.25)),
}
# One number of these stands still.
FIXED = {"half": "arrival", "base-30": "aim"}
SHORT = {"one-rail": "top", "two-rail": "top"}
_FIELDS = {
    "layout.cue_ball": "cue",
    "layout.ball": "ball",
    "first_rail": "first",
    "mark_offset": "mark",
}


@dataclass
class Asked:
    """The question and its answer; `wrong` says of each field why there is none, or what stands instead."""

    system: str = USUAL
    by: str = "numbers"
    corner: str = "bottom-left"
    first: str = "long"
    find: str = "aim"
    numbers: dict[str, float | None] = field(default_factory=dict)
    balls: dict[str, Point | None] = field(default_factory=dict)
    reading: str = READINGS[0]
    outer: str = OUTER[0]
    mark: float = MARK_OFFSET
    correct: bool = False
    table: str = ""
    radius: float = RADIUS
    wrong: dict[str, str] = field(default_factory=dict)
    answer: Answer | None = None
    written: dict[str, str] = field(default_factory=dict)

    @property
    def free(self) -> list[str]:
        """The numbers that may be given or asked for."""
        return [name for name in NUMBERS if FIXED.get(self.system) != name]

    @property
    def shown(self) -> str:
        """What numbers and balls belong to: another system takes its own, another corner reflects."""
        return f"{self.system}.{self.first}.{self.corner}"

    @property
    def usual(self) -> str:
        """The key of what this system usually shows."""
        return f"{self.system} short" if self.first == "short" else self.system

    def turned(self) -> tuple[Orientation, str]:
        """Return the orientation, and the first rail in the system's own place."""
        return orientation(
            Question(system=self.system, corner=self.corner, first_rail=self.first_rail), SYSTEMS[self.system]
        )

    @property
    def first_rail(self) -> str | None:
        """The rail met first as the player sees it; None where the system leaves no choice."""
        own = SHORT.get(self.system) if self.first == "short" else None
        return None if own is None else Orientation(*CORNERS[self.corner]).rail(own)

    @property
    def seen(self) -> dict[str, float | None]:
        """The three numbers: the answer's, or as given."""
        if self.answer is not None:
            return {name: getattr(self.answer, name) for name in NUMBERS}
        if self.by == "balls":
            return dict.fromkeys(NUMBERS)
        given = {name: self.numbers.get(name) if name != self.find else None for name in NUMBERS}
        if self.system in FIXED:
            name = FIXED[self.system]
            given[name] = NUMBERS_USUAL[self.system][name]
        return given


def asked_of(query: QueryDict, radii: Mapping[str, float] | None = None) -> Asked:
    """Return what a query string asks, answered where that can be.

    radii : of the balls [diamonds], by table that may be chosen, the usual one first; None
    leaves the match table.
    """
    wrong: dict[str, str] = {}
    asked = Asked(wrong=wrong)
    if radii:
        asked.table = _one_of(query, "table", radii, next(iter(radii)), wrong)
        asked.radius = radii[asked.table]
    asked.system = _one_of(query, "system", SYSTEMS, USUAL, wrong)
    asked.by = _one_of(query, "by", ("numbers", "balls"), "numbers", wrong)
    asked.corner = _one_of(query, "corner", CORNERS, "bottom-left", wrong)
    first = _one_of(query, "first", ("long", "short"), "long", wrong)
    asked.first = first if asked.system in SHORT else "long"
    usual = "aim" if FIXED.get(asked.system) != "aim" else "arrival"
    asked.find = _one_of(query, "find", NUMBERS, usual, wrong)
    if asked.find not in asked.free:
        asked.find = usual
    asked.reading = _one_of(query, "reading", READINGS, READINGS[0], wrong)
    asked.outer = _one_of(query, "outer", OUTER, OUTER[0], wrong)
    asked.correct = query.get("correct") == "yes"
    if query.get("mark"):
        asked.mark = _number(query, "mark", asked, MARK_OFFSET) or 0.0
    _read_places(query, asked)
    if not wrong:
        _settle(asked)
    return asked


def _one_of(query: QueryDict, name: str, choices: Collection[str], usual: str, wrong: dict[str, str]) -> str:
    value = query.get(name)
    if not value or value in choices:
        return value or usual
    short = value[:40] + "…" if len(value) > 40 else value
    wrong[name] = gettext("“%(value)s” is not known here.") % {"value": short}
    return usual


def number_of(text: str) -> float | None:
    """Return the number that was typed, with a comma or a point; None where there is none."""
    try:
        value = float(text.strip().replace(",", ".").replace("−", "-")) if len(text) <= 40 else None
    except ValueError:
        return None
    return value if value is not None and isfinite(value) else None


def _number(query: QueryDict, name: str, asked: Asked, usual: float | None) -> float | None:
    text = query.get(name)
    if text is None:
        return usual
    value = number_of(text)
    if value is None:
        asked.wrong[name] = gettext("A number is needed.")
        asked.written[name] = text[:40]
    return value


def _read_places(query: QueryDict, asked: Asked) -> None:
    """Read numbers and balls; what belongs to another system gives way to this one's usual."""
    belongs = query.get("shown", asked.shown).split(".")
    same = belongs[:2] == asked.shown.split(".")[:2]
    # A hidden way keeps what it has as long as it can be read, and is not judged.
    read = query if same else QueryDict()
    bare = asked.by == "numbers" and not any(name in read for name in NUMBERS)
    for name in NUMBERS:
        usual = NUMBERS_USUAL[asked.usual][name] if bare or asked.by == "balls" else None
        judged = asked.by == "numbers" and name in asked.free and name != asked.find
        if judged and not bare and not read.get(name):
            asked.wrong[name] = gettext("A number is needed.")
            asked.numbers[name] = None
        elif judged:
            asked.numbers[name] = _number(read, name, asked, usual)
        else:
            asked.numbers[name] = number_of(read.get(name, "")) if read.get(name) else usual
    own = Orientation(*CORNERS[asked.corner])
    there = {ball: own.turn(at) for ball, at in zip(BALLS, BALLS_USUAL[asked.usual], strict=True)}
    moved = _reflection(belongs[-1] if len(belongs) == 3 else asked.corner, asked.corner)
    for ball in BALLS:
        asked.balls[ball] = _ball(read, ball, asked, there[ball], moved)


def _reflection(old: str, new: str) -> Orientation:
    one, other = CORNERS.get(old, CORNERS[new]), CORNERS[new]
    return Orientation(one[0] != other[0], one[1] != other[1])


def _ball(query: QueryDict, ball: str, asked: Asked, usual: Point, moved: Orientation) -> Point | None:
    names = [f"{ball}_x", f"{ball}_y"]
    if not any(name in query for name in names):
        return usual
    x, y = (number_of(query.get(name, "")) for name in names)
    if x is not None and y is not None:
        return moved.turn((x, y))
    if not any(query.get(name) for name in names):
        return None
    if asked.by == "balls":
        asked.wrong[ball] = gettext("Two numbers are needed, across and up.")
        asked.written |= {name: query.get(name, "")[:40] for name in names}
        return None
    return usual


def question_of(asked: Asked) -> Question:
    """Return the question as the systems take it. Raises Malformed."""
    told: dict[str, Any] = {}
    if asked.by == "balls":
        told = {"cue_ball": asked.balls["cue"], "ball": asked.balls["ball"]}
    else:
        told = {name: asked.numbers[name] for name in asked.free if name != asked.find}
    return Question(
        system=asked.system,
        corner=asked.corner,
        first_rail=asked.first_rail,
        reading=asked.reading,
        outer=asked.outer,
        mark_offset=asked.mark,
        radius=asked.radius,
        correct=asked.correct,
        **told,
    )


def _settle(asked: Asked) -> None:
    try:
        asked.answer = answer(question_of(asked))
    except Malformed as fault:
        field_name = _FIELDS.get(fault.field, fault.field)
        # With balls the numbers have no fields of their own.
        if asked.by == "balls" and field_name in NUMBERS:
            field_name = "layout"
        asked.wrong[field_name] = speak(fault.reason)


def written(value: float | None) -> str:
    """Return a number as a field shows it."""
    return "" if value is None else f"{round(value, 4) + 0.0:g}"


def fields_of(asked: Asked) -> dict[str, str]:
    """Return what every field shows."""
    seen = asked.seen
    numbers = {
        name: written(seen[name] if seen[name] is not None and asked.by == "numbers" else asked.numbers[name])
        for name in NUMBERS
    }
    if asked.by == "numbers" and asked.answer is None:
        numbers[asked.find] = ""
    places = {
        f"{ball}_{axis}": written(None if at is None else at[index])
        for ball, at in asked.balls.items()
        for index, axis in enumerate("xy")
    }
    chosen = {
        name: getattr(asked, name)
        for name in ("system", "by", "corner", "first", "find", "reading", "outer", "table")
    }
    options = {"mark": written(asked.mark), "correct": "yes" if asked.correct else ""}
    return chosen | options | numbers | places | {"shown": asked.shown} | asked.written


def query_of(asked: Asked, usual_table: str = "") -> str:
    """Return the query string that asks the same again, without what is usual."""
    shown = fields_of(asked)
    parts = {"system": asked.system}
    if asked.by == "balls":
        parts["by"] = "balls"
        parts |= {name: shown[name] for ball in BALLS for name in (f"{ball}_x", f"{ball}_y")}
    else:
        parts["find"] = asked.find
        parts |= {name: shown[name] for name in asked.free if name != asked.find}
    plain = Asked()
    for name in ("corner", "first", "reading", "outer"):
        if getattr(asked, name) != getattr(plain, name):
            parts[name] = shown[name]
    if asked.table != usual_table:
        parts["table"] = asked.table
    if asked.mark != plain.mark:
        parts["mark"] = shown["mark"]
    if asked.correct:
        parts["correct"] = "yes"
    return urlencode(parts)
