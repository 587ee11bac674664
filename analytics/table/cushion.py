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
friction of each step projected on its cone in three passes, the last step cut to fit.
"""

from __future__ import annotations

from math import sqrt

from .cloth import VX, VY, WX, WY, WZ
from .compiled import kernel
from .parameters import CUSHION_FRICTION, NOSE, RADIUS, SLIDING

# Steps of impulse while the cushion is compressed.
STEPS = 16
PASSES = 3
# A slip below this share of the incoming speed is rounding; it has no direction yet.
NO_SLIP = 1e-9

BOTTOM, RIGHT, TOP, LEFT = range(4)


@kernel
def _rub(s, c, dp, sin, cos, mu_c, mu_s, into):
    """Write the frictional impulses F_x, F_t, Q_x, Q_y of one step into `into`.

    s, c : slip at nose and slate before the step, shape (2,), in units of the incoming speed.
    """
    fx = ft = qx = qy = 0.0
    crossed = 1.0 - 2.5 * sin
    slanted = 2.5 - sin
    stiff = sin * sin + 2.5
    for _ in range(PASSES):
        # The nose: what would stop the slip, or as much as friction has.
        free_x = s[0] + qx * crossed
        free_t = s[1] + cos * sin * dp + qy * slanted
        need_x, need_t = -free_x / 3.5, -free_t / stiff
        most = mu_c * dp
        if need_x * need_x + need_t * need_t <= most * most:
            fx, ft = need_x, need_t
        else:
            mid_x = s[0] + free_x + 3.5 * fx
            mid_t = s[1] + free_t + stiff * ft
            size = sqrt(mid_x * mid_x + mid_t * mid_t)
            if size > NO_SLIP:
                fx, ft = -most * mid_x / size, -most * mid_t / size
        # The slate: pressed by the nose and by its friction.
        most = mu_s * max(0.0, sin * dp - ft * cos)
        free_x = c[0] + fx * crossed
        free_y = c[1] - cos * dp + ft * slanted
        need_x, need_y = -free_x / 3.5, -free_y / 3.5
        if need_x * need_x + need_y * need_y <= most * most:
            qx, qy = need_x, need_y
        else:
            mid_x = c[0] + free_x + 3.5 * qx
            mid_y = c[1] + free_y + 3.5 * qy
            size = sqrt(mid_x * mid_x + mid_y * mid_y)
            if size > NO_SLIP:
                qx, qy = -most * mid_x / size, -most * mid_y / size
    into[0], into[1], into[2], into[3] = fx, ft, qx, qy


@kernel
def _slips(m, sin, cos, s, c):
    s[0] = m[0] + m[3] * sin - m[4] * cos
    s[1] = -m[1] * sin + m[2]
    c[0] = m[0] - m[3]
    c[1] = m[1] + m[2]


@kernel
def _step(m, dp, sin, cos, rub, into):
    """Write the motion v_x, v_y, W_x, W_y, W_z after an impulse dp with friction `rub`."""
    fx, ft, qx, qy = rub[0], rub[1], rub[2], rub[3]
    into[0] = m[0] + fx + qx
    into[1] = m[1] - cos * dp - ft * sin + qy
    into[2] = m[2] + 2.5 * (ft + qy)
    into[3] = m[3] + 2.5 * (fx * sin - qx)
    into[4] = m[4] - 2.5 * fx * cos


@kernel
def _impulse(m, sin, cos, mu_c, mu_s, e, work):
    """Carry the motion m, shape (5,), with m[1] = 1, through compression and restitution.

    work : scratch, shape (4, 5).
    """
    s, c, rub, after = work[0], work[1], work[2], work[3]
    stored = 0.0
    dp = 1.0 / (STEPS * cos)
    while m[1] > 0.0:
        _slips(m, sin, cos, s, c)
        _rub(s, c, dp, sin, cos, mu_c, mu_s, rub)
        _step(m, dp, sin, cos, rub, after)
        used = dp
        if after[1] < 0.0:
            used = dp * m[1] / (m[1] - after[1])
            _rub(s, c, used, sin, cos, mu_c, mu_s, rub)
            _step(m, used, sin, cos, rub, after)
            after[1] = 0.0
        stored += 0.5 * (m[1] + after[1]) * cos * used
        m[:] = after
    left = e * e * stored
    while left > 0.0:
        _slips(m, sin, cos, s, c)
        _rub(s, c, dp, sin, cos, mu_c, mu_s, rub)
        _step(m, dp, sin, cos, rub, after)
        given = -0.5 * (m[1] + after[1]) * cos * dp
        if given >= left:
            rate = (m[1] - after[1]) / dp
            used = 2.0 * left / cos / (-m[1] + sqrt(m[1] * m[1] + 2.0 * rate * left / cos))
            _rub(s, c, used, sin, cos, mu_c, mu_s, rub)
            _step(m, used, sin, cos, rub, after)
            left = 0.0
        else:
            left -= given
        m[:] = after


@kernel
def rebound(ball, rail, p, restitution, work):
    """Change a ball by its impact with a rail; return the speed of approach [m/s].

    rail : BOTTOM, RIGHT, TOP or LEFT. restitution : that of the cushion, or 0 for a soft
    contact. work : scratch, shape (5, 5). Where the approach is not positive, nothing changes.
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
    # Everything scales with the incoming normal speed.
    turning = radius / approach
    m = work[4]
    m[0] = (ball[VX] * xx + ball[VY] * xy) / approach
    m[1] = 1.0
    m[2] = (ball[WX] * xx + ball[WY] * xy) * turning
    m[3] = (ball[WX] * yx + ball[WY] * yy) * turning
    m[4] = ball[WZ] * turning
    _impulse(m, sin, cos, p[CUSHION_FRICTION], p[SLIDING], restitution, work)
    ball[VX] = (m[0] * xx + m[1] * yx) * approach
    ball[VY] = (m[0] * xy + m[1] * yy) * approach
    ball[WX] = (m[2] * xx + m[3] * yx) / turning
    ball[WY] = (m[2] * xy + m[3] * yy) / turning
    ball[WZ] = m[4] / turning
    return approach
