"""The sum as it is written on paper: what goes in above, what comes out under the double rule."""

from __future__ import annotations

from django.utils.translation import gettext

from analytics.aim.diamonds.question import NUMBERS
from analytics.aim.diamonds.sid import TARGETS
from analytics.aim.diamonds.words import number

from .diamond_asked import FIXED, Asked

Row = dict[str, str | bool]

# By system and the number asked for: what stands above it, in order, each with its sign.
_SUMS: dict[str, dict[str, tuple[tuple[str, str], ...]]] = {
    "corner": {
        "aim": (("origin", ""), ("arrival", "−")),
        "arrival": (("origin", ""), ("aim", "−")),
        "origin": (("aim", ""), ("arrival", "+")),
    },
    "plus": {
        "aim": (("arrival", ""), ("origin", "−")),
        "arrival": (("origin", ""), ("aim", "+")),
        "origin": (("arrival", ""), ("aim", "−")),
    },
    "base-30": {
        "arrival": (("origin", ""), ("aim", "−")),
        "origin": (("arrival", ""), ("aim", "+")),
    },
}


# The mirrors halve: what is halved, in order.
_HALVED = {
    "one-rail": (("origin", ""), ("arrival", "+")),
    "two-rail": (("origin", ""), ("arrival", "−")),
    "half": (("origin", ""),),
}


def rows(asked: Asked, names: dict[str, str]) -> list[Row]:
    """Return the rows of the sum: name, label, sign, value; the last is the answer."""
    seen = asked.seen
    last = asked.find if asked.by == "numbers" else "arrival" if FIXED.get(asked.system) == "aim" else "aim"

    def row(name: str, sign: str = "", answer: bool = False) -> Row:
        value = seen[name]
        told = "–" if value is None else number(value)
        return {
            "name": name,
            "label": names[name],
            "sign": "" if value is None else sign,
            "value": told,
            "answer": answer,
        }

    def by(sign: str, value: str, label: str) -> Row:
        return {"name": "by", "label": label, "sign": sign, "value": value, "answer": False}

    above = [row(name, sign) for name, sign in _SUMS.get(asked.system, {}).get(last, ())]
    halved = _HALVED.get(asked.system, ())
    if halved and last == "aim" and all(seen[name] is not None for name, _ in halved):
        above = [*(row(name, sign) for name, sign in halved), by("÷", "2", gettext("half of it"))]
    elif asked.system == "half":
        above = [row("aim"), by("×", "2", gettext("twice"))]
    elif asked.system == "sid" and last == "aim" and seen["arrival"] is not None:
        # Sid multiplies by the number of the target, not by its place.
        target = number(TARGETS.place(seen["arrival"]))
        above = [row("origin"), by("×", target, gettext("target's number"))]
    above = above or [row(name) for name in NUMBERS if name != last]
    return [*above, row(last, answer=True)]
