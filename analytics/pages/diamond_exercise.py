"""Exercises with the diamonds: a question, an answer that is checked, and the steps behind it.

All stands in the query string: the level, the seed of the run, the place in it, how many were
right so far, and the answer. So an address is an exercise to keep, and nobody needs an account.
"""

from __future__ import annotations

import re
import secrets
from fractions import Fraction
from math import isfinite
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.safestring import SafeString
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from analytics.aim.diamonds.question import NUMBERS
from analytics.aim.diamonds.systems import SYSTEMS, orientation
from analytics.aim.diamonds.words import number
from analytics.aim.diamonds.words import place as place_words
from analytics.aim.exercises import EXACT, LEVELS, RUN, Exercise, exercise
from analytics.api.limits import VisitorDiamonds
from scoring.access import Actor
from scoring.pages.gate import page
from scoring.pages.words import speak

from .diamond_drawing import Drawing, diamonds_svg
from .diamond_rails import route, rulers
from .diamonds import SYSTEM_WORDS, number_names
from .limits import limited

MOST_SEED = 999_999
LEVEL_WORDS = {
    "sum": (_("The plain sum"), _("Corner system: aim = origin − arrival.")),
    "origin": (
        _("Aim through the cue ball"),
        _(
            "Lay a line from an aim back through the cue ball: the origin it shows, less the aim,"
            " must be the arrival."
        ),
    ),
    "ball": (
        _("From the balls"),
        _(
            "The ball tells the arrival: 8 less its height, less one and a half times its distance from the"
            " left rail. Then lay the line."
        ),
    ),
    "correction": (
        _("The origin corrected"),
        _("To the arrival add half a number for each number the origin lies below 5, take it off above."),
    ),
    "fourth": (
        _("On to the fourth rail"),
        _(
            "From origin 5, arrival 2 runs into the corner; arrivals 0 and 1 come two and one diamonds up the"
            " right rail, 3 and 4 lie 0.86 and 1.5 along the bottom rail."
        ),
    ),
    "plus": (_("The plus system"), _("A short rail first: arrival = origin + aim.")),
    "others": (_("One rail, two rails, and more"), ""),
}
RULES = {
    "one-rail": _("The aim is half of origin and arrival together."),
    "two-rail": _("The aim is half of what is left when the arrival is taken off the origin."),
    "half": _("The aim is half the origin."),
    "sid": _(
        "Aim = origin times the target's number. Arrivals 1 to 8 have the numbers 1, 2, 2.5, 3, 3.5, 4,"
        " 4.5, 5."
    ),
    "base-30": _("The aim is always 3: arrival = origin − 3."),
}
_FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3"}


def number_written(text: str) -> float | None:
    """Return a number as people write it: 1.5, 1,5, 1 1/2, 1½; None for anything else."""
    text = text.strip().replace("−", "-")[:20]
    for sign, words in _FRACTIONS.items():
        text = text.replace(sign, f" {words}")
    text = text.strip()
    minus = text.startswith("-")
    text = text.removeprefix("-").strip()
    if re.fullmatch(r"\d{0,4}[.,]?\d{0,6}", text) and re.search(r"\d", text):
        value = float(text.replace(",", "."))
        return -value if minus and isfinite(value) else value
    # A fraction alone, or after a whole number and a space.
    found = re.fullmatch(r"(?:(\d{1,3})\s+)?(\d{1,2})\s*/\s*(\d{1,2})", text)
    if not found or int(found[3]) == 0:
        return None
    value = float(int(found[1] or 0) + Fraction(int(found[2]), int(found[3])))
    return -value if minus else value


@require_safe
@page
@limited(VisitorDiamonds)
def diamond_exercise(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Ask, or check what was answered."""
    level = request.GET.get("level", "")
    level = level if level in LEVELS else next(iter(LEVELS))
    seed = _whole(request, "seed", 1, MOST_SEED)
    if seed is None:
        seed = secrets.randbelow(MOST_SEED) + 1
        return redirect(f"{request.path}?{urlencode({'level': level, 'seed': seed})}")
    at = _whole(request, "n", 1, RUN) or 1
    right = min(_whole(request, "right", 0, RUN) or 0, at - 1)
    asked = exercise(level, seed, at)
    text = request.GET.get("answer", "")[:20]
    given = number_written(text)
    told = given is not None
    good = given is not None and asked.is_right(given)
    right_now = right + good
    words = _question(asked)
    context = {
        "levels": [
            (code, one[0], urlencode({"level": code, "seed": seed})) for code, one in LEVEL_WORDS.items()
        ],
        "level": level,
        "rule": LEVEL_WORDS[level][1] or RULES[asked.question.system],
        "system_word": SYSTEM_WORDS[asked.question.system][0],
        "seed": seed,
        "n": at,
        "of": RUN,
        "right": right,
        "question": words,
        "quarter": asked.within > EXACT,
        "text": text,
        "unread": bool(text.strip()) and given is None,
        "told": told,
        "good": good,
        "verdict": _verdict(asked, given, good) if given is not None else "",
        "count": _count(right_now, at) if told else _count(right, at - 1),
        "steps": [speak(one.text) for one in asked.answer.steps[:-1]] if told else [],
        "svg": _drawing(asked, told, words),
        "next_query": ""
        if at == RUN
        else urlencode({"level": level, "seed": seed, "n": at + 1, "right": right_now}),
        "last": at == RUN,
        "again_query": urlencode({"level": level, "seed": (seed * 31 + 17) % MOST_SEED + 1}),
        "keep_query": urlencode({"level": level, "seed": seed, "n": at}),
    }
    return render(request, "analytics/diamonds_exercise.html", context)


def _whole(request: HttpRequest, name: str, low: int, high: int) -> int | None:
    text = request.GET.get(name, "")
    if not re.fullmatch(r"[0-9]{1,6}", text):
        return None
    return min(max(int(text), low), high)


def _question(asked: Exercise) -> str:
    """Return the question in words."""
    names = number_names()
    told = {"find": names[asked.find]} | {
        name: number(value)
        for name in NUMBERS
        if (value := getattr(asked.question, name)) is not None and name != asked.find
    }
    cue, ball = asked.question.cue_ball, asked.question.ball
    if cue is not None:
        told |= {"x": f"{cue[0]:.2f}", "y": f"{cue[1]:.2f}"}
    if ball is not None:
        told |= {"bx": f"{ball[0]:.2f}", "by": f"{ball[1]:.2f}"}
        return (
            gettext(
                "The cue ball lies %(x)s across and %(y)s up, the ball to be met %(bx)s across and"
                " %(by)s up. Which %(find)s?"
            )
            % told
        )
    if cue is not None:
        return (
            gettext(
                "The cue ball lies %(x)s across and %(y)s up. You want arrival %(arrival)s. Which %(find)s?"
            )
            % told
        )
    if asked.level == "correction":
        return (
            gettext(
                "Origin %(origin)s. You want the track of arrival %(arrival)s, corrected. Which %(find)s?"
            )
            % told
        )
    if asked.fourth is not None:
        told["place"] = _fourth_place(asked)
        return (
            gettext("From origin 5 the ball is to come to the fourth rail %(place)s. Which %(find)s?") % told
        )
    given = ", ".join(f"{names[name]} {told[name]}" for name in NUMBERS if name in told)
    return gettext("%(given)s. Which %(find)s?") % {
        "given": given[:1].upper() + given[1:],
        "find": names[asked.find],
    }


def _fourth_place(asked: Exercise) -> str:
    assert asked.fourth is not None
    way, _first = orientation(asked.question, SYSTEMS[asked.question.system])
    rail, end = ("right", "bottom") if asked.fourth[0] == 4 else ("bottom", "right")
    return speak(place_words(way, rail, asked.fourth, end))


def _verdict(asked: Exercise, given: float, good: bool) -> str:
    told = {
        "given": number(given),
        "name": number_names()[asked.find],
        "value": number(asked.expected),
    }
    if not good:
        return gettext("%(given)s is not it: the %(name)s is %(value)s.") % told
    if abs(given - asked.expected) > EXACT:
        return gettext("Right: %(given)s is near enough. Exactly, the %(name)s is %(value)s.") % told
    return gettext("Right: the %(name)s is %(value)s.") % told


def _count(right: int, done: int) -> str:
    if not done:
        return ""
    return ngettext("%(right)s of %(done)s right.", "%(right)s of %(done)s right.", done) % {
        "right": right,
        "done": done,
    }


def _drawing(asked: Exercise, told: bool, words: str) -> SafeString:
    """Return the table: what is given, and once it was answered the way as well."""
    question, found = asked.question, asked.answer
    way, first = orientation(question, SYSTEMS[question.system])
    own = rulers(question.system, first, question.outer)
    seen = {name: getattr(found if told else question, name) for name in NUMBERS}
    if question.system == "base-30":
        seen["aim"] = found.aim
    balls = {name: at for name, at in (("cue", question.cue_ball), ("ball", question.ball)) if at is not None}
    marks = dict(found.marks) if told else {}
    if asked.fourth is not None:
        marks["fourth"] = asked.fourth
    return diamonds_svg(
        Drawing(
            way=way,
            rulers=own,
            numbers={name: value if own[name].carries(value) else None for name, value in seen.items()},
            names=number_names(),
            places={},
            balls=balls or None,
            ball_names={"cue": gettext("Cue ball"), "ball": gettext("Ball")},
            marks=marks,
            line=found.line if told else None,
            route=_route(asked) if told else [],
            window=found.window if told else None,
            label=words,
        )
    )


def _route(asked: Exercise) -> list[tuple[float, float]]:
    found = asked.answer
    numbers: dict[str, Any] = {name: getattr(found, name) for name in NUMBERS}
    return route(asked.question.system, found.points, numbers, found.line, asked.question.cue_ball)
