"""A ball on the cloth: sliding, rolling, spinning, at rest, each in closed form.

A ball is a row of seven numbers: x, y [m], v_x, v_y [m/s], w_x, w_y, w_z [rad/s]. The slip
of its lowest point is u = v + R (-w_y, w_x). While it slides, friction mu_s g opposes the
slip, whose direction stays and whose size shrinks at 7/2 mu_s g; v ends at v0 - 2/7 u0.
While it rolls, mu_r g opposes v. w_z decays at a constant rate apart from all else.

Derived from Newton's laws with Coulomb friction; the same closed forms stand in
Alciatore, TP B.3 and B.4 (from memory).
"""

from __future__ import annotations

from math import sqrt

from .compiled import kernel
from .parameters import GRAVITY, RADIUS, ROLLING, SLIDING, SPIN

X, Y, VX, VY, WX, WY, WZ = range(7)
REST, SLIDES, ROLLS = range(3)

# A slip or speed below this [m/s] is rounding, not motion.
STILL = 1e-10


@kernel
def settle(ball, p):
    """Return the state of a ball, REST, SLIDES or ROLLS, with its relation made exact."""
    radius = p[RADIUS]
    ux = ball[VX] - radius * ball[WY]
    uy = ball[VY] + radius * ball[WX]
    if sqrt(ux * ux + uy * uy) > STILL:
        return SLIDES
    if sqrt(ball[VX] * ball[VX] + ball[VY] * ball[VY]) > STILL:
        ball[WX] = -ball[VY] / radius
        ball[WY] = ball[VX] / radius
        return ROLLS
    ball[VX] = ball[VY] = ball[WX] = ball[WY] = 0.0
    return REST


@kernel
def drive(ball, state, p, into):
    """Write a_x, a_y [m/s2], dw_x, dw_y [rad/s2] of a ball into `into`, shape (4,).

    Returns how long they hold [s]; infinity at rest. While it rolls, dw follows from a.
    """
    into[0] = into[1] = into[2] = into[3] = 0.0
    radius = p[RADIUS]
    if state == SLIDES:
        ux = ball[VX] - radius * ball[WY]
        uy = ball[VY] + radius * ball[WX]
        slip = sqrt(ux * ux + uy * uy)
        friction = p[SLIDING] * p[GRAVITY]
        ex, ey = ux / slip, uy / slip
        into[0], into[1] = -friction * ex, -friction * ey
        into[2], into[3] = -2.5 * friction / radius * ey, 2.5 * friction / radius * ex
        return 2.0 * slip / (7.0 * friction)
    if state == ROLLS:
        speed = sqrt(ball[VX] * ball[VX] + ball[VY] * ball[VY])
        friction = p[ROLLING] * p[GRAVITY]
        into[0], into[1] = -friction * ball[VX] / speed, -friction * ball[VY] / speed
        into[2], into[3] = -into[1] / radius, into[0] / radius
        return speed / friction
    return float("inf")


@kernel
def advance(ball, drives, dt, p):
    """Move a ball by dt [s] under its drives; dt must not pass the end of its state."""
    ball[X] += (ball[VX] + 0.5 * drives[0] * dt) * dt
    ball[Y] += (ball[VY] + 0.5 * drives[1] * dt) * dt
    ball[VX] += drives[0] * dt
    ball[VY] += drives[1] * dt
    ball[WX] += drives[2] * dt
    ball[WY] += drives[3] * dt
    fall = p[SPIN] * dt
    if ball[WZ] > fall:
        ball[WZ] -= fall
    elif ball[WZ] < -fall:
        ball[WZ] += fall
    else:
        ball[WZ] = 0.0


@kernel
def end_state(ball, state, p):
    """Make a ball whose state has just ended what it then is: rolling exactly, or still."""
    if state == SLIDES:
        ball[WX] = -ball[VY] / p[RADIUS]
        ball[WY] = ball[VX] / p[RADIUS]
    elif state == ROLLS:
        ball[VX] = ball[VY] = ball[WX] = ball[WY] = 0.0


@kernel
def energy(ball, p):
    """Return the kinetic energy of a ball over its mass [J/kg]: moving and turning."""
    radius = p[RADIUS]
    moving = ball[VX] * ball[VX] + ball[VY] * ball[VY]
    turning = ball[WX] * ball[WX] + ball[WY] * ball[WY] + ball[WZ] * ball[WZ]
    return 0.5 * moving + 0.2 * radius * radius * turning
