"""From the third rail to the fourth: the published tracks, for origins near the corner.

vanderkraan.nl, Diamond systeem; the same table in 03-DiamondSystem-En. "5 cm beside the
mark" for arrivals 3 and 7 is taken towards the corner of 2, the only order that rises
(derived). The correction for other origins: cafe.daum.net, track line tuning.
"""

from __future__ import annotations

from scoring.rules.said import Malformed, said

from .geometry import LENGTH, WIDTH, Leg, Point, distance, root
from .scales import CORNER, Scale

# Diamonds from the top on the third rail -> fourth-rail point, written as the way along the
# noses: down the right rail to its corner (negative), then along the bottom rail.
TRACKS = Scale(
    (
        (0.0, -2.0),
        (1.0, -1.0),
        (2.0, 0.0),
        (3.0, WIDTH - 3.14),
        (4.0, WIDTH - 2.5),
        (4.5, WIDTH - 2.0),
        (5.0, WIDTH - 1.5),
        (5.5, WIDTH - 1.14),
        (6.0, WIDTH - 1.0),
    )
)
STEEPNESS = 1.5  # of the tracks 0 to 2, which are parallel
PER_NUMBER = 0.5  # correction, a number of origin away from the corner


def fourth(down: float) -> Point:
    """Return the fourth-rail point of the track that leaves `down` diamonds from the top."""
    way = TRACKS.place(down)
    return (WIDTH, -way) if way < 0 else (WIDTH - way, 0.0)


def track(down: float) -> Leg:
    """Return the track from the third rail to the fourth."""
    return (0.0, LENGTH - down), fourth(down)


def track_and_rebound(down: float) -> tuple[Leg, Leg]:
    """Return the track, and the leg after it if the fourth rail answers like a mirror.

    The second leg is not cut where it meets the fifth rail: no ball lies beyond.
    """
    start, end = track(down)
    dx, dy = end[0] - start[0], end[1] - start[1]
    onward = (-dx, dy) if end[1] > 0 else (dx, -dy)
    return (start, end), (end, (end[0] + onward[0], end[1] + onward[1]))


def natural(ball: Point, reach: float) -> float:
    """Return how far from the top the track leaves that runs through the ball [diamonds].

    reach : how far off the track the ball may lie and still be met.
    Raises Malformed on `layout.ball` where no published track comes near.
    """
    x, y = ball
    down = LENGTH - y - STEEPNESS * x
    if down <= 0:
        if distance(ball, track(0.0)) > reach:
            raise Malformed(
                "layout.ball",
                said(
                    "The ball lies before the first published track, which leaves the corner;"
                    " play another way."
                ),
            )
        return 0.0
    if down <= 2:
        return down
    most = TRACKS.high
    if _side(ball, most) > 0:
        if distance(ball, track(most)) > reach:
            raise Malformed(
                "layout.ball",
                said("The ball lies behind the last published track; play another way."),
            )
        return most
    return root(lambda at: _side(ball, at), 2.0, most)


def _side(ball: Point, down: float) -> float:
    """Return a number that is positive where the ball asks for a track that leaves farther down."""
    (x0, y0), (x1, y1) = track(down)
    return (y1 - y0) * (ball[0] - x0) - (x1 - x0) * (ball[1] - y0)


def correction(origin: float, weight: float = 1.0) -> float:
    """Return by how much the arrival must exceed the track wanted, for an origin off the corner.

    weight : 0 at the third rail, 1 a table's width away from it (derived: the published note
    says that it grows with the distance).
    """
    return PER_NUMBER * weight * (CORNER - origin)
