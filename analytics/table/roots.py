"""When a moving ball meets a rail, and when two moving balls meet: certified searches.

A ball's path is quadratic in time while its state lasts, so the squared distance of two
balls is a quartic. Its extrema are bracketed by those of its derivatives, between them it
is monotone: no graze is missed and nothing is passed through, up to rounding.
"""

from __future__ import annotations

from math import sqrt

from .compiled import kernel

NEVER = float("inf")


@kernel
def rail_time(gap, v, a):
    """Return when a ball reaches a rail [s], NEVER if it does not.

    gap : way left to the rail's line [m], negative where the ball is beyond it.
    v, a : speed and acceleration towards the rail [m/s, m/s2].
    """
    square = v * v + 2.0 * a * gap
    if gap > 0.0:
        if square < 0.0:
            return NEVER
        if v > 0.0:
            return 2.0 * gap / (v + sqrt(square))
        return (-v + sqrt(square)) / a if a > 0.0 else NEVER
    # On the line: outwards is now, inwards comes back if the acceleration turns it.
    if v > 0.0:
        return 0.0
    if a > 0.0:
        return (-v + sqrt(max(square, 0.0))) / a
    return NEVER


@kernel
def _value(c, t):
    return (((c[4] * t + c[3]) * t + c[2]) * t + c[1]) * t + c[0]


@kernel
def _slope(c, t):
    return ((4.0 * c[4] * t + 3.0 * c[3]) * t + 2.0 * c[2]) * t + c[1]


@kernel
def _bend(c, t):
    return (12.0 * c[4] * t + 6.0 * c[3]) * t + 2.0 * c[2]


@kernel
def _root(c, low, high, order):
    """Return the root of the quartic (order 0) or its slope (order 1) between two bounds of unlike sign."""
    at_low = _value(c, low) if order == 0 else _slope(c, low)
    t = 0.5 * (low + high)
    for _ in range(80):
        f = _value(c, t) if order == 0 else _slope(c, t)
        if f == 0.0:
            return t
        if (f > 0.0) == (at_low > 0.0):
            low = t
        else:
            high = t
        d = _slope(c, t) if order == 0 else _bend(c, t)
        best = t - f / d if d != 0.0 else low
        if not low < best < high:
            best = 0.5 * (low + high)
        if best == t or high - low <= 1e-16 * (1.0 + high):
            return best
        t = best
    return t


@kernel
def first_fall(c, until, marks):
    """Return the first time in (0, until] at which a quartic, not negative at 0, falls to 0.

    c : coefficients, constant first, shape (5,). marks : scratch, shape (8,). NEVER if none.
    """
    # Where the slope may turn: the roots of the quadratic bend.
    n = 1
    marks[0] = 0.0
    a, b, d = 12.0 * c[4], 6.0 * c[3], 2.0 * c[2]
    square = b * b - 4.0 * a * d
    if square > 0.0 or a == 0.0:
        first = second = NEVER
        if a != 0.0:
            q = -0.5 * (b + (sqrt(square) if b >= 0.0 else -sqrt(square)))
            first = q / a
            second = d / q if q != 0.0 else NEVER
        elif b != 0.0:
            first = -d / b
        if first > second:
            first, second = second, first
        if 0.0 < first < until:
            marks[n] = first
            n += 1
        if 0.0 < second < until:
            marks[n] = second
            n += 1
    marks[n] = until
    before = 0.0
    for at in range(n):
        low, high = marks[at], marks[at + 1]
        # The slope is monotone here: one extremum of the quartic at the most.
        if (_slope(c, low) < 0.0) != (_slope(c, high) < 0.0):
            middle = _root(c, low, high, 1)
            if _value(c, middle) <= 0.0:
                return _root(c, before, middle, 0)
            before = middle
        if _value(c, high) <= 0.0:
            return _root(c, before, high, 0)
        before = high
    return NEVER


@kernel
def pair_time(first, second, drive_a, drive_b, apart, until, c, marks):
    """Return when two balls meet within `until` [s], NEVER if they do not.

    first, second : rows of balls; drive_a, drive_b : their accelerations. apart : 2 R [m].
    Balls in contact meet now where they approach; otherwise the root at 0 is divided out.
    """
    dx, dy = second[0] - first[0], second[1] - first[1]
    vx, vy = second[2] - first[2], second[3] - first[3]
    ax, ay = drive_b[0] - drive_a[0], drive_b[1] - drive_a[1]
    distance = sqrt(dx * dx + dy * dy)
    bound = until
    if bound > 1e6:
        bound = 1e6
    # Nearly all pairs end here: too far along the line of centres, or abreast of each other.
    pull = sqrt(ax * ax + ay * ay) * bound * bound
    if distance + (dx * vx + dy * vy) / distance * bound - 0.5 * pull > apart and distance - apart > 1e-6:
        return NEVER
    goes_x, goes_y = (vx + 0.5 * ax * bound) * bound, (vy + 0.5 * ay * bound) * bound
    abreast = abs(dx * goes_y - dy * goes_x)
    if abreast > (apart + 0.125 * pull) * sqrt(goes_x * goes_x + goes_y * goes_y) * (1.0 + 1e-9):
        return NEVER
    c[0] = dx * dx + dy * dy - apart * apart
    c[1] = 2.0 * (dx * vx + dy * vy)
    c[2] = vx * vx + vy * vy + dx * ax + dy * ay
    c[3] = vx * ax + vy * ay
    c[4] = 0.25 * (ax * ax + ay * ay)
    if distance - apart > 1e-6:
        return first_fall(c, bound, marks)
    if c[1] < 0.0:
        return 0.0
    # The root at 0 divided out: what is left must fall to 0 for another meeting.
    c[0], c[1], c[2], c[3], c[4] = c[1], c[2], c[3], c[4], 0.0
    if c[0] == 0.0 and (c[1] < 0.0 or (c[1] == 0.0 and c[2] < 0.0)):
        return 0.0
    return first_fall(c, bound, marks)
