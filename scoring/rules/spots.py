"""Spots: which ball goes where.

Positions are ball centres in diamonds from the bottom-left corner of the nose lines. Off the
table: four national texts; frozen in three-cushion: two national tournament texts; straight
rail, balkline and one-cushion: federation handbook and Norwegian federation, art. 27.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from math import hypot

from .contacts import BALLS, CUE_BALLS
from .disciplines import Discipline
from .said import Said, said

Point = tuple[float, float]

DIAMOND_MM = 355
BALL_RADIUS = 0.0866
STARTING_SPOT_TENTHS_MM = 1825

SPOT_NAMES: Mapping[str, Said] = {
    "top": said("the top spot"),
    "centre": said("the centre spot"),
    "bottom": said("the bottom spot"),
    "start-left": said("the left starting spot"),
    "start-right": said("the right starting spot"),
}
BALL_NAMES: Mapping[str, Said] = {"white": said("White"), "yellow": said("Yellow"), "red": said("Red")}


@dataclass(frozen=True)
class Spotting:
    """Where balls are put: spots by ball, positions [diamonds], and why, a sentence a ball."""

    spots: Mapping[str, str]
    positions: Mapping[str, Point]
    why: tuple[Said, ...]


def spot_positions(starting_tenths_mm: int = STARTING_SPOT_TENTHS_MM) -> dict[str, Point]:
    """Return the spots [diamonds]; the starting spots lie so far beside the bottom spot.

    National federation drawings (183 mm); 182.5 mm from memory.
    """
    beside = starting_tenths_mm / (10 * DIAMOND_MM)
    return {
        "bottom": (2.0, 2.0),
        "start-left": (2.0 - beside, 2.0),
        "start-right": (2.0 + beside, 2.0),
        "centre": (2.0, 4.0),
        "top": (2.0, 6.0),
    }


def opening_position(
    on_turn: str, side: str = "right", starting_tenths_mm: int = STARTING_SPOT_TENTHS_MM
) -> Spotting:
    """Return the opening position for the colour on turn, its ball on the starting spot it chose.

    World rules of carom billiard, art. 23. Raises ValueError for an unknown colour or side.
    """
    if side not in ("left", "right"):
        raise ValueError(side)
    spots = {"red": "top", _opponent(on_turn): "bottom", on_turn: f"start-{side}"}
    return _spotting(spots, tuple(_goes(ball, spot) for ball, spot in spots.items()), starting_tenths_mm)


def spot_off_table(
    discipline: Discipline,
    off_table: Collection[str],
    *,
    played: str,
    layout: Mapping[str, Point] | None = None,
    side: str = "right",
    starting_tenths_mm: int = STARTING_SPOT_TENTHS_MM,
) -> Spotting:
    """Tell where the balls that left the table go; the inning is over.

    played: the colour of the player whose stroke it was; the other is now on turn.
    layout: where the balls still on the table lie [diamonds]; what is not given blocks no spot.
    Two balls whose spots block each other: red first, then the ball just played (derived; the
    texts leave the order open). Raises ValueError for unknown balls.
    """
    _known(off_table)
    on_turn = _opponent(played)
    if not off_table:
        return Spotting({}, {}, ())
    if discipline.off_table == "all-to-opening":
        return opening_position(on_turn, side, starting_tenths_mm)
    return _place({"red": "top", played: "centre", on_turn: "bottom"}, off_table, layout or {})


def spot_frozen(
    discipline: Discipline,
    frozen_to: Collection[str],
    *,
    on_turn: str,
    asked: bool = True,
    layout: Mapping[str, Point] | None = None,
    side: str = "right",
    starting_tenths_mm: int = STARTING_SPOT_TENTHS_MM,
) -> Spotting:
    """Tell where balls go when the cue ball of the colour on turn lies against `frozen_to`.

    asked: the player asks for it; only straight rail spots unasked. In three-cushion the frozen
    balls alone are spotted. layout: as in `spot_off_table`. Raises ValueError for unknown balls.
    """
    _known(frozen_to)
    other = _opponent(on_turn)
    if on_turn in frozen_to:
        raise ValueError(on_turn)
    if not frozen_to or not (asked or discipline.frozen == "all-to-opening"):
        return Spotting({}, {}, ())
    if discipline.frozen != "only-those-on-request":
        return opening_position(on_turn, side, starting_tenths_mm)
    return _place({"red": "top", on_turn: "bottom", other: "centre"}, {on_turn, *frozen_to}, layout or {})


def _place(own_spots: Mapping[str, str], lifted: Collection[str], layout: Mapping[str, Point]) -> Spotting:
    """Put the lifted balls on their spots, in the order of `own_spots`.

    A taken spot gives way to the spot of the ball in the way, and so on along the chain.
    """
    places = spot_positions()
    lying = {ball: at for ball, at in layout.items() if ball not in lifted}
    spots: dict[str, str] = {}
    why: list[Said] = []
    for ball in (one for one in own_spots if one in lifted):
        spot = own_spots[ball]
        tried: set[str] = set()
        while blocker := _blocker(places[spot], lying, tried):
            tried.add(blocker)
            why.append(said("%(spot)s is taken by %(ball)s", spot=SPOT_NAMES[spot], ball=BALL_NAMES[blocker]))
            spot = own_spots[blocker]
        spots[ball] = spot
        lying[ball] = places[spot]
        why.append(_goes(ball, spot))
    return _spotting(spots, tuple(why))


def _blocker(place: Point, lying: Mapping[str, Point], tried: Collection[str]) -> str | None:
    """Return the nearest ball that a ball on `place` would overlap."""
    near = [
        (hypot(at[0] - place[0], at[1] - place[1]), ball)
        for ball, at in sorted(lying.items())
        if ball not in tried
    ]
    gap, ball = min(near, default=(2 * BALL_RADIUS, None))
    return ball if gap < 2 * BALL_RADIUS else None


def _spotting(
    spots: Mapping[str, str], why: tuple[Said, ...], starting_tenths_mm: int = STARTING_SPOT_TENTHS_MM
) -> Spotting:
    places = spot_positions(starting_tenths_mm)
    return Spotting(dict(spots), {ball: places[spot] for ball, spot in spots.items()}, why)


def _goes(ball: str, spot: str) -> Said:
    return said("%(ball)s goes to %(spot)s", ball=BALL_NAMES[ball], spot=SPOT_NAMES[spot])


def _opponent(colour: str) -> str:
    if colour not in CUE_BALLS:
        raise ValueError(colour)
    return "yellow" if colour == "white" else "white"


def _known(balls: Collection[str]) -> None:
    for ball in balls:
        if ball not in BALLS:
            raise ValueError(ball)
