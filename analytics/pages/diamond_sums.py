"""The sum as it is written on paper: what goes in above, what comes out under the double rule."""

from __future__ import annotations

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


def rows(asked: Asked, names: dict[str, str]) -> list[Row]:
    """Return the rows of the sum: name, label, sign, value; the last is the answer."""
    seen = asked.seen
    last = asked.find if asked.by == "numbers" else "arrival" if FIXED.get(asked.system) == "aim" else "aim"
    above = _SUMS.get(asked.system, {}).get(last) or tuple((name, "") for name in NUMBERS if name != last)
    if asked.system == "sid" and last == "aim":
        above = (("origin", ""), ("arrival", "×"))

    def row(name: str, sign: str, answer: bool = False) -> Row:
        value = seen[name]
        # Sid multiplies by the number of the target, not by its place.
        if sign == "×" and value is not None:
            value = TARGETS.place(value)
        told = "–" if value is None else number(value)
        return {
            "name": name,
            "label": names[name],
            "sign": sign if value is not None else "",
            "value": told,
            "answer": answer,
        }

    return [*(row(name, sign) for name, sign in above), row(last, "", answer=True)]
