"""One stroke, from the tip to rest: the events in order of time.

Kinds of events: a ball's state ends; a ball meets a rail; two balls meet. In a tie (1e-9 s)
balls come before rails, so that a third cushion and the second ball at the same instant are
no point. Below 5 mm/s of approach an impact is inelastic, and that one contact, this ball
and this rail or this pair, is blind for 1 ms; a harder impact of the ball ends the
blindness. A contact of the cue ball is reported if the approach is at least 5 mm/s or the
same rail or ball was not touched during the last 20 ms.
"""

from __future__ import annotations

from math import cos, sin, sqrt

from .cloth import REST, VX, VY, WX, WY, WZ, X, Y, advance, drive, end_state, settle
from .compiled import kernel
from .cushion import BOTTOM, LEFT, RIGHT, TOP, rebound
from .impacts import collide
from .parameters import BALL_RESTITUTION, CUSHION_RESTITUTION, LENGTH, RADIUS, SPIN, WIDTH
from .roots import NEVER, pair_time, rail_time

TIE = 1e-9
SOFT = 0.005
BLIND = 0.001
AGAIN = 0.020
MOST_EVENTS = 5000
MOST_CONTACTS = 200
SCRATCH = 75
# Pairs in fixed order, and the number of balls.
FIRST = (0, 0, 1)
SECOND = (1, 2, 2)
BALLS = 3
# A corner is two contacts, the long rail first: by length, so that mirror images agree.
RAIL_ORDER = (LEFT, RIGHT, BOTTOM, TOP)
# Codes of contacts: rails 0 to 3 as in `cushion`, balls from here.
BALL_CODE = 4


@kernel
def strike(balls, cue, direction, speed, side, height, p):
    """Give the cue ball its motion: direction [rad], speed [m/s], tip offset [ball radii]."""
    ball = balls[cue]
    turn = 2.5 * speed / p[RADIUS]
    ball[VX], ball[VY] = speed * cos(direction), speed * sin(direction)
    ball[WX], ball[WY] = -turn * height * sin(direction), turn * height * cos(direction)
    ball[WZ] = turn * side


@kernel
def _rail_of(ball, drives, rail, p, wait):
    """Return when a ball meets a rail, not before `wait` [s]."""
    axis = 0 if rail in (LEFT, RIGHT) else 1
    v = ball[VX + axis] + drives[axis] * wait
    at = ball[X + axis] + (ball[VX + axis] + 0.5 * drives[axis] * wait) * wait
    if rail in (RIGHT, TOP):
        size = p[WIDTH] if rail == RIGHT else p[LENGTH]
        return wait + rail_time(size - p[RADIUS] - at, v, drives[axis])
    return wait + rail_time(at - p[RADIUS], -v, -drives[axis])


@kernel
def _snap(ball, rail, p):
    if rail == LEFT:
        ball[X] = p[RADIUS]
    elif rail == RIGHT:
        ball[X] = p[WIDTH] - p[RADIUS]
    elif rail == BOTTOM:
        ball[Y] = p[RADIUS]
    else:
        ball[Y] = p[LENGTH] - p[RADIUS]


@kernel
def _renew(balls, states, drives, left, b, p):
    """Settle a ball that was changed, and find what drives it and how long."""
    states[b] = settle(balls[b], p)
    left[b] = drive(balls[b], states[b], p, drives[b])


@kernel
def _report(contacts, n, touched, code, now, approach, ball):
    """Note a contact of the cue ball where it is one; return how many there are."""
    if approach >= SOFT or now - touched[code] > AGAIN:
        if n < contacts.shape[0]:
            contacts[n, 0] = now
            contacts[n, 1] = code
            contacts[n, 2] = ball[X]
            contacts[n, 3] = ball[Y]
        n += 1
    touched[code] = now
    return n


@kernel
def play(balls, cue, p, contacts, work):
    """Let the balls run until all lie still.

    Parameters
    ----------
    balls : rows of three balls, shape (3, 7), [m, m/s, rad/s]; changed to where they rest.
    contacts : written, shape (n, 4): time [s], code, x, y [m] of the cue ball.
    work : scratch, shape (SCRATCH,).

    Returns
    -------
    number of contacts, duration [s], number of events; -1 events where the bound was met.
    """
    cushion_work = work[:25].reshape(5, 5)
    drives = work[25:37].reshape(3, 4)
    left = work[37:40]
    blind_rail = work[40:52].reshape(3, 4)
    blind_pair = work[52:55]
    touched = work[55:62]
    states = [0, 0, 0]
    quartic, marks = work[62:67], work[67:75]
    blind_rail[:] = -1.0
    blind_pair[:] = -1.0
    touched[:] = -1.0
    for b in range(BALLS):
        _renew(balls, states, drives, left, b, p)
    now, n = 0.0, 0
    for event in range(MOST_EVENTS):
        phase, phase_ball = NEVER, 0
        for b in range(BALLS):
            if left[b] < phase:
                phase, phase_ball = left[b], b
        if phase == NEVER:
            spin = max(abs(balls[0, WZ]), abs(balls[1, WZ]), abs(balls[2, WZ]))
            return n, now + spin / p[SPIN], event
        rail_at, rail_ball, rail = NEVER, 0, 0
        for b in range(BALLS):
            if states[b] != REST:
                for r in RAIL_ORDER:
                    t = _rail_of(balls[b], drives[b], r, p, max(0.0, blind_rail[b, r] - now))
                    if t < rail_at - TIE:
                        rail_at, rail_ball, rail = t, b, r
        horizon = min(phase, rail_at)
        pair_at, pair = NEVER, 0
        for k in range(3):
            i, j = FIRST[k], SECOND[k]
            if states[i] == REST and states[j] == REST:
                continue
            wait = max(0.0, blind_pair[k] - now)
            until = min(horizon, pair_at) + TIE
            if wait >= until:
                continue
            t = _pair_after(balls, drives, i, j, p, wait, until, quartic, marks)
            if t < pair_at:
                pair_at, pair = t, k
        dt = min(pair_at, horizon)
        for b in range(BALLS):
            if states[b] != REST or balls[b, WZ] != 0.0:
                advance(balls[b], drives[b], dt, p)
            left[b] -= dt
        now += dt
        if pair_at <= horizon + TIE:
            i, j = FIRST[pair], SECOND[pair]
            approach = _approach(balls[i], balls[j])
            soft = approach < SOFT
            collide(balls[i], balls[j], p, 0.0 if soft else p[BALL_RESTITUTION])
            if soft:
                blind_pair[pair] = now + BLIND
            else:
                _open_eyes(blind_rail, blind_pair, i, now)
                _open_eyes(blind_rail, blind_pair, j, now)
            if cue in (i, j):
                other = j if cue == i else i
                n = _report(contacts, n, touched, BALL_CODE + other, now, approach, balls[cue])
            _renew(balls, states, drives, left, i, p)
            _renew(balls, states, drives, left, j, p)
        elif rail_at <= phase:
            ball = balls[rail_ball]
            _snap(ball, rail, p)
            approach = _towards(ball, rail)
            soft = approach < SOFT
            rebound(ball, rail, p, 0.0 if soft else p[CUSHION_RESTITUTION], cushion_work)
            if soft:
                blind_rail[rail_ball, rail] = now + BLIND
            else:
                _open_eyes(blind_rail, blind_pair, rail_ball, now)
            if rail_ball == cue:
                n = _report(contacts, n, touched, rail, now, approach, ball)
            _renew(balls, states, drives, left, rail_ball, p)
        else:
            end_state(balls[phase_ball], states[phase_ball], p)
            _renew(balls, states, drives, left, phase_ball, p)
    return n, now, -1


@kernel
def _pair_after(balls, drives, i, j, p, wait, until, quartic, marks):
    """Return when a pair meets, not before `wait` [s]."""
    if wait == 0.0:
        return pair_time(balls[i], balls[j], drives[i], drives[j], 2.0 * p[RADIUS], until, quartic, marks)
    later_i, later_j = balls[i].copy(), balls[j].copy()
    advance(later_i, drives[i], wait, p)
    advance(later_j, drives[j], wait, p)
    return wait + pair_time(
        later_i, later_j, drives[i], drives[j], 2.0 * p[RADIUS], until - wait, quartic, marks
    )


@kernel
def _approach(first, second):
    nx, ny = second[X] - first[X], second[Y] - first[Y]
    return ((first[VX] - second[VX]) * nx + (first[VY] - second[VY]) * ny) / sqrt(nx * nx + ny * ny)


@kernel
def _towards(ball, rail):
    if rail == LEFT:
        return -ball[VX]
    if rail == RIGHT:
        return ball[VX]
    return ball[VY] if rail == TOP else -ball[VY]


@kernel
def _open_eyes(blind_rail, blind_pair, b, now):
    for r in range(4):
        blind_rail[b, r] = min(blind_rail[b, r], now)
    for k in range(3):
        if FIRST[k] == b or SECOND[k] == b:
            blind_pair[k] = min(blind_pair[k], now)
