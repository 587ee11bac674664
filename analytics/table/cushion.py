"""A ball meets a cushion, whose nose lies above the ball's centre.

Two contacts at once: the nose, and the slate on which nose and friction press the ball.
Local axes: x along the rail, y into the cushion, z up; W = R w. With theta the angle of the
nose above the centre, the slip at the nose is
    s_x = v_x + W_y sin - W_z cos,   s_t = -v_y sin + W_x,
at the slate c_x = v_x - W_y, c_y = v_y + W_x. Per unit of normal impulse P (per mass) the
nose rubs with at most mu_c, the slate with at most mu_s N, N = max(0, sin - f_t cos), and
    dv_x = f_x + q_x,                 dv_y = -cos - f_t sin + q_y,
    dW_x = 5/2 (f_t + q_y),           dW_y = 5/2 (f_x sin - q_x),     dW_z = -5/2 f_x cos.
Compression ends at v_y = 0; restitution gives e^2 of its work back (energetic restitution).

Model: Mathavan, Jackson, Parkin 2010, "A theoretical analysis of billiard ball dynamics
under cushion impacts" (abstract read); equations derived here. Method: steps in P, the
friction of each step projected on its cone by the slip at mid-step; a step is cut where the
slip at the nose dies, and where compression and restitution end. So it is of second order
in the step, cannot chatter about a dead slip and gains no energy.
"""

from __future__ import annotations

from math import sqrt

from .cloth import VX, VY, WX, WY, WZ
from .compiled import kernel
from .parameters import CUSHION_FRICTION, NOSE, PASSES, RADIUS, SLIDING, STEPS

# Where both slips keep their direction, steps are longer; limits are squares of slips.
LONGER = 2.0
FAR_SLIP, FAR_RUB = 0.3, 0.1
# A slip below this share of what friction can stop in a step dies within it unnoticed.
LEAST = 0.01
# A slip below this share of the incoming speed is rounding; it has no direction yet.
NO_SLIP = 1e-9

BOTTOM, RIGHT, TOP, LEFT = range(4)


@kernel
def _rub(s_x, s_t, c_x, c_y, dp, sin, cos, mu_c, mu_s, passes):
    """Return the frictional impulses F_x, F_t, Q_x, Q_y of a step, and the share of it they cover.

    s, c : slip at nose and slate before the step, in units of the incoming speed. The share
    is less than 1 where the slip at the nose dies within the step.
    """
    fx = ft = qx = qy = 0.0
    crossed = 1.0 - 2.5 * sin
    slanted = 2.5 - sin
    stiff = sin * sin + 2.5
    loose, loose_t = 1.0 / 3.5, 1.0 / stiff
    most = mu_c * dp
    dead = False
    for _ in range(passes):
        # The nose: what would stop the slip, or as much as friction has.
        free_x = s_x + qx * crossed
        free_t = s_t + cos * sin * dp + qy * slanted
        need_x, need_t = -free_x * loose, -free_t * loose_t
        dead = need_x * need_x + need_t * need_t <= most * most
        if dead:
            fx, ft = need_x, need_t
        else:
            mid_x = s_x + free_x + 3.5 * fx
            mid_t = s_t + free_t + stiff * ft
            size = mid_x * mid_x + mid_t * mid_t
            if size > NO_SLIP * NO_SLIP:
                size = most / sqrt(size)
                fx, ft = -size * mid_x, -size * mid_t
        # The slate, on which nose and friction press the ball: it slides all the while.
        mid_x = 2.0 * c_x + fx * crossed + 3.5 * qx
        mid_y = 2.0 * c_y - cos * dp + ft * slanted + 3.5 * qy
        size = mid_x * mid_x + mid_y * mid_y
        if size > NO_SLIP * NO_SLIP:
            size = mu_s / sqrt(size)
            if dead:
                # Nose and slate lean on each other; this solves both at once.
                lean = slanted * mid_y * size
                ft = (lean * sin * dp - s_t - cos * sin * dp) / (stiff + lean * cos)
            size *= max(0.0, sin * dp - ft * cos)
            qx, qy = -size * mid_x, -size * mid_y
            if dead:
                fx = -(s_x + qx * crossed) * loose
    if not dead:
        return fx, ft, qx, qy, 1.0
    at_x, at_t = s_x / 3.5, s_t / stiff
    c = at_x * at_x + at_t * at_t
    if c <= LEAST * LEAST * most * most:
        return fx, ft, qx, qy, 1.0
    # The slip dies within the step; until then friction opposes it in full. Where does the
    # slip, |s + share d| as friction meets it, come down to what friction has?
    slip, rub = sqrt(s_x * s_x + s_t * s_t), sqrt(qx * qx + qy * qy)
    if rub > 0.0:
        hold = mu_s * max(0.0, sin * dp + most * s_t / slip * cos)
        qx, qy = hold * qx / rub, hold * qy / rub
    to_x, to_t = qx * crossed / 3.5, (cos * sin * dp + qy * slanted) / stiff
    b = at_x * to_x + at_t * to_t
    a = to_x * to_x + to_t * to_t - most * most
    share = min(1.0, c / (sqrt(max(0.0, b * b - a * c)) - b))
    return -at_x - share * to_x, -at_t - share * to_t, share * qx, share * qy, share


@kernel
def _impulse(vx, vy, wx, wy, wz, sin, cos, mu_c, mu_s, e, steps, passes):
    """Carry a motion through compression and restitution; lengths of W in speed.

    The speed of approach v_y is 1: everything scales with it. Returns the motion after.
    """
    dp = 1.0 / (steps * cos)
    stored = 0.0
    left = -1.0
    while True:
        sx, st, cx, cy = vx + wy * sin - wz * cos, wx - vy * sin, vx - wy, vy + wx
        slip, rub = sx * sx + st * st, cx * cx + cy * cy
        h = LONGER * dp if rub > FAR_RUB and (slip < NO_SLIP or slip > FAR_SLIP) else dp
        fx, ft, qx, qy, share = _rub(sx, st, cx, cy, h, sin, cos, mu_c, mu_s, passes)
        used = share * h
        new_y = vy - cos * used - ft * sin + qy
        work = 0.5 * (vy + new_y) * cos * used
        last = False
        part = 1.0
        if left < 0.0:
            if new_y <= 0.0:
                part = vy / (vy - new_y)
                last = True
        elif -work >= left:
            # v_y falls linearly within a step: the work is quadratic in the part of it.
            rate = vy - new_y
            full = 2.0 * left / (cos * used)
            part = full / (sqrt(vy * vy + rate * full) - vy)
            last = True
        if last:
            fx, ft, qx, qy, used = part * fx, part * ft, part * qx, part * qy, part * used
        after_y = vy - cos * used - ft * sin + qy
        work = 0.5 * (vy + after_y) * cos * used
        vx += fx + qx
        vy = after_y
        wx += 2.5 * (ft + qy)
        wy += 2.5 * (fx * sin - qx)
        wz -= 2.5 * fx * cos
        if left < 0.0:
            stored += work
            if last:
                vy = 0.0
                left = e * e * stored
                if left == 0.0:
                    return vx, vy, wx, wy, wz
        elif last:
            return vx, vy, wx, wy, wz
        else:
            left += work


@kernel
def rebound(ball, rail, p, restitution):
    """Change a ball by its impact with a rail; return the speed of approach [m/s].

    rail : BOTTOM, RIGHT, TOP or LEFT. restitution : that of the cushion, or 0 for a soft
    contact. Where the approach is not positive, nothing changes.
    """
    # y into the cushion, and x = y cross z, in table axes.
    yx, yy = 0.0, 0.0
    if rail == BOTTOM:
        yy = -1.0
    elif rail == RIGHT:
        yx = 1.0
    elif rail == TOP:
        yy = 1.0
    else:
        yx = -1.0
    xx, xy = yy, -yx
    approach = ball[VX] * yx + ball[VY] * yy
    if approach <= 0.0:
        return approach
    radius = p[RADIUS]
    sin = (p[NOSE] - radius) / radius
    cos = sqrt(1.0 - sin * sin)
    turning = radius / approach
    vx, vy, wx, wy, wz = _impulse(
        (ball[VX] * xx + ball[VY] * xy) / approach,
        1.0,
        (ball[WX] * xx + ball[WY] * xy) * turning,
        (ball[WX] * yx + ball[WY] * yy) * turning,
        ball[WZ] * turning,
        sin,
        cos,
        p[CUSHION_FRICTION],
        p[SLIDING],
        restitution,
        p[STEPS],
        int(p[PASSES]),
    )
    ball[VX] = (vx * xx + vy * yx) * approach
    ball[VY] = (vx * xy + vy * yy) * approach
    ball[WX] = (wx * xx + wy * yx) / turning
    ball[WY] = (wx * xy + wy * yy) / turning
    ball[WZ] = wz / turning
    return approach
