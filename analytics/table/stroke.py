"""One stroke, from the tip to rest: the events in order of time.

Each ball is kept as it was at its last event; its state's end and its next rail, and each
pair's next meeting, are found once and hold until one of their balls changes.

Kinds of events: a ball's state ends; a ball meets a rail; two balls meet. In a tie (1e-9 s)
balls come before rails, so that a third cushion and the second ball at the same instant are
no point. Below 5 mm/s of approach an impact is inelastic, and that one contact, this ball
and this rail or this pair, is blind for 1 ms, longer where gentle ones follow each other; a
harder impact of the ball ends the blindness. Balls that crept into each other while blind
are set apart. A contact of the cue ball is reported if the approach is at least 5 mm/s or
the same rail or ball was not touched during the last 20 ms.
"""

from __future__ import annotations

from math import cos, pi, sin, sqrt

from .cloth import REST, VX, VY, WX, WY, WZ, X, Y, advance, drive, end_state, settle
from .compiled import kernel
from .cushion import BOTTOM, LEFT, RIGHT, TOP, rebound
from .impacts import collide
from .parameters import BALL_RESTITUTION, CUSHION_RESTITUTION, LENGTH, RADIUS, SPIN, WIDTH
from .roots import NEVER, pair_time, rail_time

TIE = 1e-9
SOFT = 0.005
BLIND = 0.001
# Contacts gentler than this [m/s], one after the other, double the blindness, up to the last:
# two balls that roll on together would else meet a thousand times a second.
GENTLE = 1e-5
MOST_BLIND = 0.016
AGAIN = 0.020
MOST_EVENTS = 5000
MOST_CONTACTS = 200
SCRATCH = 94
SCRATCH_MANY = SCRATCH + 21
DEGREE = pi / 180.0
# Pairs in fixed order, and the number of balls.
FIRST = (0, 0, 1)
SECOND = (1, 2, 2)
BALLS = 3
# A corner is two contacts, the long rail first: by length, so that mirror images agree.
RAIL_ORDER = (LEFT, RIGHT, BOTTOM, TOP)
# What is kept of a ball's next steps.
STATE, SINCE, ENDS, RAIL_AT, RAIL = range(5)
# Codes of contacts: rails 0 to 3 as in `cushion`, balls from here.
BALL_CODE = 4


@kernel
def strike(balls, cue, direction, speed, side, height, p):
    """Give the cue ball its motion: direction [deg], speed [m/s], tip offset [ball radii]."""
    ball = balls[cue]
    turn = 2.5 * speed / p[RADIUS]
    along, across = cos(direction * DEGREE), sin(direction * DEGREE)
    ball[VX], ball[VY] = speed * along, speed * across
    ball[WX], ball[WY] = -turn * height * across, turn * height * along
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
def _renew(ball, drives, blind, now, next_of, p):
    """Find what drives a ball that was changed, and what it meets next by itself.

    blind : until when each rail is not looked at [s], shape (4,). next_of : written: state,
    the time it began, its end, the time of the next rail, the rail; shape (5,).
    """
    state = settle(ball, p)
    next_of[STATE] = state
    next_of[SINCE] = now
    next_of[ENDS] = now + drive(ball, state, p, drives)
    next_of[RAIL_AT] = NEVER
    if state != REST:
        for rail in RAIL_ORDER:
            t = now + _rail_of(ball, drives, rail, p, max(0.0, blind[rail] - now))
            if t < next_of[RAIL_AT] - TIE:
                next_of[RAIL_AT] = t
                next_of[RAIL] = rail


@kernel
def _record(pieces, counts, b, ball, drives, now):
    """Note a piece of a ball's path: time, place, velocity, acceleration."""
    if pieces.shape[1] == 0:
        return
    if counts[b] > 0 and counts[b] <= pieces.shape[1] and pieces[b, counts[b] - 1, 0] == now:
        counts[b] -= 1
    if counts[b] < pieces.shape[1]:
        row = pieces[b, counts[b]]
        row[0] = now
        row[1], row[2], row[3], row[4] = ball[X], ball[Y], ball[VX], ball[VY]
        row[5], row[6] = drives[0], drives[1]
    counts[b] += 1


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
def play(balls, cue, p, contacts, pieces, counts, moved, work, decided):
    """Let the balls run until all lie still or, if `decided`, the cue ball has met both others.

    Parameters
    ----------
    balls : rows of three balls, shape (3, 7), [m, m/s, rad/s]; changed to where they rest.
    contacts : written, shape (n, 4): time [s], code, x, y [m] of the cue ball.
    pieces : written, shape (3, m, 7): the paths as time [s], x, y, v_x, v_y, a_x, a_y, each
        piece holding until the next; m = 0 where nobody asks. counts : pieces of each ball.
    moved : written, shape (3,): when each ball was first set moving by another [s], -1 for never.
    work : scratch, shape (SCRATCH,).

    Returns
    -------
    number of contacts, duration [s], number of events; -1 events where the bound was met.
    Where it ended as decided, balls and duration are those of that moment.
    """
    drives = work[:12].reshape(3, 4)
    nexts = work[12:27].reshape(3, 5)
    blind_rail = work[27:39].reshape(3, 4)
    blind_pair = work[39:42]
    touched = work[42:49]
    pair_at = work[49:52]
    quartic, marks = work[52:57], work[57:65]
    here, there = work[65:72], work[72:79]
    waits = work[79:94]
    for at in range(SCRATCH):
        work[at] = -1.0
    for at in range(len(waits)):
        waits[at] = BLIND
    for b in range(BALLS):
        counts[b] = 0
        moved[b] = -1.0
        _renew(balls[b], drives[b], blind_rail[b], 0.0, nexts[b], p)
        _record(pieces, counts, b, balls[b], drives[b], 0.0)
    now, n, first_met = 0.0, 0, -1
    one, two = 0, 1  # the balls that changed; both the same where only one did
    for k in range(BALLS):
        pair_at[k] = _meeting(balls, drives, nexts, k, blind_pair[k], now, p, quartic, marks, here, there)
    for event in range(MOST_EVENTS):
        phase, phase_ball, rail_at, rail_ball, met, pair = NEVER, 0, NEVER, 0, NEVER, 0
        for b in range(BALLS):
            if nexts[b, ENDS] < phase:
                phase, phase_ball = nexts[b, ENDS], b
            if nexts[b, RAIL_AT] < rail_at - TIE:
                rail_at, rail_ball = nexts[b, RAIL_AT], b
            if pair_at[b] < met:
                met, pair = pair_at[b], b
        if phase == NEVER:
            for b in range(BALLS):
                now = max(now, nexts[b, SINCE] + abs(balls[b, WZ]) / p[SPIN])
            return n, now, event
        horizon = min(phase, rail_at)
        if met <= horizon + TIE:
            now = max(now, met)
            one, two = FIRST[pair], SECOND[pair]
            advance(balls[one], drives[one], now - nexts[one, SINCE], p)
            advance(balls[two], drives[two], now - nexts[two, SINCE], p)
            approach = _approach(balls[one], balls[two])
            soft = approach < SOFT
            if soft:
                _set_apart(balls[one], balls[two], 2.0 * p[RADIUS])
            collide(balls[one], balls[two], p, 0.0 if soft else p[BALL_RESTITUTION])
            for b in (one, two):
                if moved[b] < 0.0 and not soft:
                    moved[b] = now
            if soft:
                waits[pair] = _wait(waits[pair], blind_pair[pair], now, approach)
                blind_pair[pair] = now + waits[pair]
            else:
                _open_eyes(blind_rail, blind_pair, one, now)
                _open_eyes(blind_rail, blind_pair, two, now)
            if cue in (one, two):
                code = BALL_CODE + (two if cue == one else one)
                n = _report(contacts, n, touched, code, now, approach, balls[cue])
                if first_met < 0:
                    first_met = code
                elif decided and code != first_met:
                    return n, now, event
        elif rail_at <= phase:
            now = max(now, rail_at)
            one = two = rail_ball
            ball, rail = balls[one], int(nexts[one, RAIL])
            advance(ball, drives[one], now - nexts[one, SINCE], p)
            _snap(ball, rail, p)
            approach = _towards(ball, rail)
            soft = approach < SOFT
            rebound(ball, rail, p, 0.0 if soft else p[CUSHION_RESTITUTION])
            if soft:
                at = BALLS + 4 * one + rail
                waits[at] = _wait(waits[at], blind_rail[one, rail], now, approach)
                blind_rail[one, rail] = now + waits[at]
            else:
                _open_eyes(blind_rail, blind_pair, one, now)
            if one == cue:
                n = _report(contacts, n, touched, rail, now, approach, ball)
        else:
            now = max(now, phase)
            one = two = phase_ball
            advance(balls[one], drives[one], now - nexts[one, SINCE], p)
            end_state(balls[one], nexts[one, STATE], p)
        _renew(balls[one], drives[one], blind_rail[one], now, nexts[one], p)
        _record(pieces, counts, one, balls[one], drives[one], now)
        if two != one:
            _renew(balls[two], drives[two], blind_rail[two], now, nexts[two], p)
            _record(pieces, counts, two, balls[two], drives[two], now)
        for k in range(BALLS):
            if FIRST[k] in (one, two) or SECOND[k] in (one, two):
                pair_at[k] = _meeting(
                    balls, drives, nexts, k, blind_pair[k], now, p, quartic, marks, here, there
                )
    return n, now, -1


@kernel
def play_many(
    layout, cue, strikes, p, contacts, met, durations, events, rests, moved, nothing, counts, work, decided
):
    """Play strikes from one layout, one after the other; a row of each array is a stroke.

    layout : balls at rest, shape (3, 7). strikes : direction [deg], speed [m/s], side, height
    [radii], shape (n, 4). Written: contacts (n, m, 4), rests (n, 3, 2) and moved (n, 3) as by
    `play`, met (number of contacts), durations, events, shape (n,). nothing : no room for paths, shape (3, 0, 7).
    counts, work : scratch, shape (3,) and (SCRATCH_MANY,). decided : as for `play`.
    """
    balls = work[-21:].reshape(3, 7)
    for at in range(strikes.shape[0]):
        for b in range(BALLS):
            for part in range(7):
                balls[b, part] = layout[b, part]
        one = strikes[at]
        strike(balls, cue, one[0], one[1], one[2], one[3], p)
        met[at], durations[at], events[at] = play(
            balls, cue, p, contacts[at], nothing, counts, moved[at], work[:-21], decided
        )
        for b in range(BALLS):
            rests[at, b, 0], rests[at, b, 1] = balls[b, X], balls[b, Y]


@kernel
def _meeting(balls, drives, nexts, pair, blind, now, p, quartic, marks, here, there):
    """Return when a pair meets next, before either of its balls does anything else."""
    i, j = FIRST[pair], SECOND[pair]
    if nexts[i, STATE] == REST and nexts[j, STATE] == REST:
        return NEVER
    begins = max(now, blind)
    until = min(min(nexts[i, ENDS], nexts[i, RAIL_AT]), min(nexts[j, ENDS], nexts[j, RAIL_AT])) + TIE - begins
    if until <= 0.0:
        return NEVER
    for part in range(7):
        here[part] = balls[i, part]
        there[part] = balls[j, part]
    advance(here, drives[i], begins - nexts[i, SINCE], p)
    advance(there, drives[j], begins - nexts[j, SINCE], p)
    return begins + pair_time(here, there, drives[i], drives[j], 2.0 * p[RADIUS], until, quartic, marks)


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
def _wait(before, until, now, approach):
    """Return how long a soft contact is blind [s]; before, until : the last blindness, its end."""
    if approach < GENTLE and now - until <= before:
        return min(2.0 * before, MOST_BLIND)
    return BLIND


@kernel
def _set_apart(first, second, apart):
    """Move two balls that overlap by half of it each."""
    dx, dy = second[X] - first[X], second[Y] - first[Y]
    distance = sqrt(dx * dx + dy * dy)
    if distance < apart:
        share = 0.5 * (apart - distance) / distance
        first[X] -= share * dx
        first[Y] -= share * dy
        second[X] += share * dx
        second[Y] += share * dy


@kernel
def _open_eyes(blind_rail, blind_pair, b, now):
    for r in range(4):
        blind_rail[b, r] = min(blind_rail[b, r], now)
    for k in range(3):
        if FIRST[k] == b or SECOND[k] == b:
            blind_pair[k] = min(blind_pair[k], now)
