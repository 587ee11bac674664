"""Places on the rails, in the words a player would use."""

from __future__ import annotations

from scoring.rules.said import Said, said

from .geometry import LENGTH, LONG_RAILS, OPPOSITE, WIDTH, Orientation, Point

RAILS = {
    "left": said("left"),
    "right": said("right"),
    "bottom": said("bottom"),
    "top": said("top"),
}
# Parts of a diamond that players name.
_PARTS: tuple[tuple[float, Said | None], ...] = (
    (0.0, None),
    (0.5, said("half-way")),
    (0.25, said("a quarter of the way")),
    (0.75, said("three quarters of the way")),
    (0.1, said("a tenth of the way")),
    *((tenths / 10, said("%(tenths)s tenths of the way", tenths=tenths)) for tenths in (2, 3, 4, 6, 7, 8, 9)),
    (1.0, None),
)


def number(value: float) -> str:
    """Return a number as it is written on paper: at most two decimals."""
    # Adding nought turns a negative nought into a plain one.
    return f"{round(value, 2) + 0.0:g}".replace("-", "−")


def rail(way: Orientation, name: str) -> Said:
    """Return the name of a rail as the player sees it."""
    return RAILS[way.rail(name)]


def place(way: Orientation, on: str, point: Point, end: str) -> Said:
    """Return where on the rail `on` a nose point lies, relative to the two marks around it.

    on, end, point : in the systems' own place; marks are counted from the rail `end`.
    """
    along, most = (point[1], LENGTH) if on in LONG_RAILS else (point[0], WIDTH)
    count = most - along if end in ("top", "right") else along
    low = min(max(int(count), 0), int(most) - 1)
    part, words = min(_PARTS, key=lambda one: abs(one[0] - (count - low)))
    if words is None:
        exact = _at(way, on, end, low + int(part), int(most))
    else:
        exact = said(
            "%(part)s from %(low)s to %(high)s of the %(rail)s rail, counted from the %(end)s rail",
            part=words,
            low=_mark(low, int(most)),
            high=_mark(low + 1, int(most)),
            rail=rail(way, on),
            end=rail(way, end),
        )
    return exact if abs(low + part - count) <= 0.005 else said("about %(place)s", place=exact)


def _at(way: Orientation, on: str, end: str, mark: int, most: int) -> Said:
    if mark in (0, most):
        nearest = end if mark == 0 else OPPOSITE[end]
        return said(
            "in the corner of the %(rail)s and the %(end)s rail", rail=rail(way, on), end=rail(way, nearest)
        )
    return said(
        "at mark %(mark)s of the %(rail)s rail, counted from the %(end)s rail",
        mark=mark,
        rail=rail(way, on),
        end=rail(way, end),
    )


def _mark(mark: int, most: int) -> Said:
    return said("the corner") if mark in (0, most) else said("mark %(mark)s", mark=mark)
