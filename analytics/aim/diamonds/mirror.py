"""What a ball without side would do: beside the corner system, never a check of it.

For long-rail origins the plane mirror meets the third rail 2 T − 2 diamonds from the top
(derived), the system T; they agree at 2 alone.
"""

from __future__ import annotations

from .geometry import LENGTH, WIDTH, Point

RETURN_FIRM = 4 / 5  # centre ball, a little firm (billiardist.tistory.com, no-side rules)
RETURN_SOFT = 2 / 3  # soft, above centre (the same)


def mirrored(origin: Point, aim: Point) -> tuple[float, float] | None:
    """Return where plane mirrors send the line: x on the second rail, diamonds down the third.

    None where the second rail would be the long one.
    """
    slope = (aim[1] - origin[1]) / (WIDTH - origin[0])
    if slope <= 0:
        return None
    second = WIDTH - (LENGTH - aim[1]) / slope
    return None if second < 0 else (second, slope * second)


def corner_return(down: float) -> tuple[float, float]:
    """Return where a ball sent into the opposite far corner comes back, firm and soft.

    down : diamonds of the origin from the far end; the answers likewise.
    """
    return RETURN_FIRM * down, RETURN_SOFT * down
