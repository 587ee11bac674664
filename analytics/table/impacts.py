"""Two balls meet: inelastic, frictional, with throw and transfer of spin.

n points from the first ball to the second. The normal impulse per mass is
J = (1 + e) g_n / 2. The tangential impulse opposes the slip s of the surfaces: the smaller
of mu(|s|) J and |s| / 7, which stops the slip. Equal spheres keep the slip's direction, so
this is the exact answer of Coulomb's law, sticking included; mu(|s|) = a + b exp(-c |s|) is
taken once, at the first slip. The vertical velocity is discarded: slate and gravity take it.

Derived; friction as fitted by Alciatore, TP A.14, to Marlow's measurements (from memory).
"""

from __future__ import annotations

from math import exp, sqrt

from .cloth import VX, VY, WX, WY, WZ, X, Y
from .compiled import kernel
from .parameters import BALL_DECAY, BALL_FAST, BALL_SLOW, RADIUS


@kernel
def collide(first, second, p, restitution):
    """Change both balls by their impact; `restitution` is that of the balls, or 0 for a soft one.

    Returns the speed of approach [m/s]; where it is not positive, nothing changes.
    """
    nx, ny = second[X] - first[X], second[Y] - first[Y]
    apart = sqrt(nx * nx + ny * ny)
    nx, ny = nx / apart, ny / apart
    dvx, dvy = first[VX] - second[VX], first[VY] - second[VY]
    approach = dvx * nx + dvy * ny
    if approach <= 0.0:
        return approach
    radius = p[RADIUS]
    impulse = 0.5 * (1.0 + restitution) * approach
    along = -dvx * ny + dvy * nx + radius * (first[WZ] + second[WZ])
    up = radius * ((first[WX] + second[WX]) * ny - (first[WY] + second[WY]) * nx)
    slip = sqrt(along * along + up * up)
    jt = ju = 0.0
    if slip > 0.0:
        friction = p[BALL_FAST] + p[BALL_SLOW] * exp(-p[BALL_DECAY] * slip)
        size = min(friction * impulse, slip / 7.0)
        jt, ju = -size * along / slip, -size * up / slip
    first[VX] += -impulse * nx - jt * ny
    first[VY] += -impulse * ny + jt * nx
    second[VX] += impulse * nx + jt * ny
    second[VY] += impulse * ny - jt * nx
    turn = 2.5 / radius
    for ball in (first, second):
        ball[WX] += turn * ju * ny
        ball[WY] -= turn * ju * nx
        ball[WZ] += turn * jt
    return approach
