"""A stroke by general means: SciPy integrates forces and impulses, and finds the events.

Nothing of the simulator is used but the values of its parameters: no closed form of a motion,
no closed form of an impact, no event search of ours. It is some 10,000 times slower.

Cloth: Newton's laws with Coulomb friction, DOP853 with event functions. A ball's friction is
continued smoothly past the end of a phase, so that the integrator may look a step ahead.
Impacts: the equations of motion over the normal impulse, with friction regularised (its
coefficient times s / sqrt(s^2 + width^2), width one millionth of the approach), LSODA. Slips
are those of the points of contact, v + w x r, in three dimensions. Balls: restitution gives
back e times the impulse of compression; friction as at the first slip. Cushion: nose and
slate; restitution gives back e^2 times the work of compression (energetic restitution, as
Mathavan, Jackson, Parkin 2010: abstract read). Vertical velocity goes to the slate.

By definition, as in the simulator: under 5 mm/s of approach an impact is inelastic, and not
seen again for 1 ms; one contact within 20 ms of the last at the same place is not listed
unless it is harder than that.
"""

from functools import partial
from math import cos, hypot, inf, radians, sin, sqrt

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

NAMES = ("white", "yellow", "red")
PAIRS = ((0, 1), (0, 2), (1, 2))
# The name of a rail, the axis across it, and which way is outwards.
RAILS = (("left", 0, -1.0), ("right", 0, 1.0), ("bottom", 1, -1.0), ("top", 1, 1.0))
SOFT, BLIND, AGAIN = 0.005, 0.001, 0.020
REST, SLIDING, ROLLING = range(3)
# A slip [m/s] that ends sliding, and how far a ball may move in one step [m].
NO_SLIP = 1e-9
STEP = 0.06
LONGEST = 0.5
WIDTH = 1e-6


def reference_stroke(layout, cue_ball, direction_deg, speed, side, height, table, most=None):
    """Play a stroke; return the cue ball's contacts, (t [s], name, (x, y) [diamonds]), in order.

    Layout in diamonds, direction in degrees, speed in m/s, side and height in ball radii, as
    the simulator takes them; table: its parameters. It ends at rest, or after `most` contacts.
    """
    stroke = _Stroke(layout, cue_ball, table)
    stroke.strike(radians(direction_deg), speed, side, height)
    while (most is None or len(stroke.contacts) < most) and stroke.moving():
        stroke.go_on()
    across, along = table.table_width / 4, table.table_length / 8
    return [(t, name, (x / across, y / along)) for t, name, x, y in stroke.contacts[:most]]


class _Stroke:
    """Three balls, rows x, y, v_x, v_y, w_x, w_y, w_z in SI, on their way."""

    def __init__(self, layout, cue_ball, table):
        self.table = table
        self.cue = NAMES.index(cue_ball)
        self.now = 0.0
        self.contacts = []
        self.blind, self.touched = {}, {}
        self.balls = np.zeros((3, 7))
        for row, name in zip(self.balls, NAMES, strict=True):
            row[0], row[1] = layout[name][0] * table.table_width / 4, layout[name][1] * table.table_length / 8

    def strike(self, direction, speed, side, height):
        """Impulse m V at the tip, off the centre by side and height: I w = r x p, I = 2/5 m R^2."""
        turn = speed / (0.4 * self.table.radius)
        self.balls[self.cue, 2:] = (
            speed * cos(direction),
            speed * sin(direction),
            -turn * height * sin(direction),
            turn * height * cos(direction),
            turn * side,
        )

    def moving(self):
        return bool(np.abs(self.balls[:, 2:6]).max() > 0)

    def phases(self):
        """Per ball: state, the direction of its slip or motion, and which way it turns about z."""
        told = []
        radius = self.table.radius
        for _, _, vx, vy, wx, wy, wz in self.balls.tolist():
            ux, uy = vx - radius * wy, vy + radius * wx
            slip, moves, spin = hypot(ux, uy), hypot(vx, vy), (wz > 0) - (wz < 0)
            if slip > 2 * NO_SLIP:
                told.append((SLIDING, ux / slip, uy / slip, spin))
            elif moves > 2 * NO_SLIP:
                told.append((ROLLING, vx / moves, vy / moves, spin))
            else:
                told.append((REST, 0.0, 0.0, spin))
        return told

    def go_on(self):
        """Integrate to the next event and let it happen."""
        phases = self.phases()
        meetings = [(self._gap_of_pair(i, j), partial(self._impact_of_pair, i, j)) for i, j in PAIRS]
        for b in range(3):
            for rail in RAILS:
                meetings.append((self._gap_of_rail(b, rail), partial(self._impact_of_rail, b, rail)))
        # What is in contact and closing meets at once; what is blind is looked at again in time.
        until = self.now + LONGEST
        seen = []
        for key, (gap, impact) in enumerate(meetings):
            if self.blind.get(key, -1.0) > self.now:
                until = min(until, self.blind[key])
                continue
            distance, closing = gap(self.balls)
            if distance < 1e-9 and closing > 1e-12:
                self._happen(key, impact)
                return
            seen.append((key, gap, impact))
        self._integrate(phases, seen, until)

    def _integrate(self, phases, seen, until):
        gaps = [_event(lambda t, y, gap=gap: gap(y.reshape(3, 7))[0], -1) for _, gap, _ in seen]
        closest = [_event(lambda t, y, gap=gap: gap(y.reshape(3, 7))[1], -1, False) for _, gap, _ in seen]
        ends, ended = [], []
        for b, (state, ex, ey, spin) in enumerate(phases):
            if state != REST:
                ends.append(_event(partial(_left, b, state, ex, ey, self.table.radius), -1))
                ended.append((b, state))
            if spin:
                ends.append(_event(lambda t, y, b=b, spin=spin: y[7 * b + 6] * spin, -1))
                ended.append((b, None))
        fastest = max(hypot(*ball[2:4]) for ball in self.balls) + 0.05
        done = solve_ivp(
            partial(_forces, phases, self.table),
            (self.now, until),
            self.balls.ravel(),
            method="DOP853",
            events=gaps + closest + ends,
            rtol=1e-10,
            atol=1e-11,
            max_step=STEP / fastest,
            first_step=min(1e-5, until - self.now),
            dense_output=True,
        )
        found = (inf, None)
        for at, times in enumerate(done.t_events[: len(gaps)]):
            if len(times) and times[0] < found[0]:
                found = (times[0], at)
        for at, times in enumerate(done.t_events[len(gaps) : 2 * len(gaps)]):
            # Nearest between two steps, and overlapping there: a graze the steps passed over.
            for t in times:
                if t < found[0] and gaps[at](t, done.sol(t)) < 0:
                    before = done.t[done.t < t][-1]
                    if gaps[at](before, done.sol(before)) > 0:
                        graze = brentq(lambda s, at=at: gaps[at](s, done.sol(s)), before, t, xtol=1e-14)
                        found = (graze, at)
                    break
        if found[1] is not None:
            self._arrive(found[0], done.sol(found[0]))
            key, _, impact = seen[found[1]]
            self._happen(key, impact)
            return
        self._arrive(done.t[-1], done.y[:, -1])
        for (b, state), times in zip(ended, done.t_events[2 * len(gaps) :], strict=True):
            if len(times) and times[0] == self.now:
                self._end(b, state)

    def _arrive(self, t, y):
        self.now, self.balls = float(t), y.reshape(3, 7).copy()

    def _end(self, b, state):
        ball = self.balls[b]
        if state is None:
            ball[6] = 0.0
        elif state == SLIDING:
            ball[4:6] = -ball[3] / self.table.radius, ball[2] / self.table.radius
        else:
            ball[2:6] = 0.0

    def _happen(self, key, impact):
        approach = impact()
        if approach < SOFT:
            self.blind[key] = self.now + BLIND

    def _report(self, name, approach):
        if approach >= SOFT or self.now - self.touched.get(name, -1.0) > AGAIN:
            x, y = self.balls[self.cue, :2]
            self.contacts.append((self.now, name, float(x), float(y)))
        self.touched[name] = self.now

    def _gap_of_pair(self, i, j):
        apart = 2 * self.table.radius

        def gap(balls):
            dx, dy = balls[j, 0] - balls[i, 0], balls[j, 1] - balls[i, 1]
            far = hypot(dx, dy)
            closing = (balls[i, 2] - balls[j, 2]) * dx + (balls[i, 3] - balls[j, 3]) * dy
            return far - apart, closing / far

        return gap

    def _gap_of_rail(self, b, rail):
        _, axis, way = rail
        size = (self.table.table_width, self.table.table_length)[axis] if way > 0 else 0.0
        line = size - way * self.table.radius

        def gap(balls):
            return way * (line - balls[b, axis]), way * balls[b, 2 + axis]

        return gap

    def _impact_of_pair(self, i, j):
        first, second = self.balls[i], self.balls[j]
        dx, dy = second[:2] - first[:2]
        n = np.array([dx, dy]) / hypot(dx, dy)
        approach = float((first[2:4] - second[2:4]) @ n)
        if self.cue in (i, j):
            self._report(NAMES[i + j - self.cue], approach)
        ball_impact(first, second, n, self.table, 0.0 if approach < SOFT else self.table.ball_restitution)
        return approach

    def _impact_of_rail(self, b, rail):
        name, axis, way = rail
        ball = self.balls[b]
        approach = float(way * ball[2 + axis])
        if b == self.cue:
            self._report(name, approach)
        y_axis = (way, 0.0) if axis == 0 else (0.0, way)
        restitution = 0.0 if approach < SOFT else self.table.cushion_restitution
        cushion_impact(ball, y_axis, self.table, restitution)
        return approach


def _event(function, direction, terminal=True):
    def event(t, y):
        return function(t, y)

    event.terminal, event.direction = terminal, direction
    return event


def _left(b, state, ex, ey, radius, t, y):
    """The slip of a sliding ball, or the speed of a rolling one, along where it pointed first."""
    _, _, vx, vy, wx, wy, _ = y[7 * b : 7 * b + 7].tolist()
    if state == SLIDING:
        vx, vy = vx - radius * wy, vy + radius * wx
    return vx * ex + vy * ey - NO_SLIP


def _forces(phases, table, t, y):
    """The rates of all 21 numbers, from forces and torques."""
    rates = [0.0] * 21
    values = y.tolist()
    radius = table.radius
    for b, (state, ex, ey, spin) in enumerate(phases):
        at = 7 * b
        if spin:
            rates[at + 6] = -table.spin_deceleration * spin
        if state == REST:
            continue
        _, _, vx, vy, wx, wy, _ = values[at : at + 7]
        rates[at], rates[at + 1] = vx, vy
        if state == SLIDING:
            # Force F = -mu g e per mass at the lowest point, torque r x F with r = (0, 0, -R).
            ux, uy = vx - radius * wy, vy + radius * wx
            if ux * ex + uy * ey > NO_SLIP:
                slip = hypot(ux, uy)
                ex, ey = ux / slip, uy / slip
            ax = -table.cloth_sliding_friction * table.gravity * ex
            ay = -table.cloth_sliding_friction * table.gravity * ey
            rates[at + 4], rates[at + 5] = ay / (0.4 * radius), -ax / (0.4 * radius)
        else:
            if vx * ex + vy * ey > NO_SLIP:
                moves = hypot(vx, vy)
                ex, ey = vx / moves, vy / moves
            ax = -table.cloth_rolling_friction * table.gravity * ex
            ay = -table.cloth_rolling_friction * table.gravity * ey
            # No slip: v = R (w_y, -w_x) at every moment.
            rates[at + 4], rates[at + 5] = -ay / radius, ax / radius
        rates[at + 2], rates[at + 3] = ax, ay
    return rates


def _cross(a, b):
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def _slip(v, w, r, n):
    """The velocity of the point of contact at r, without its part along the normal n."""
    c = _cross(w, r)
    s = (v[0] + c[0], v[1] + c[1], v[2] + c[2])
    along = s[0] * n[0] + s[1] * n[1] + s[2] * n[2]
    return (s[0] - along * n[0], s[1] - along * n[1], s[2] - along * n[2])


def _over_impulse(rates, start, events, most):
    done = solve_ivp(rates, (0.0, most), start, method="LSODA", events=events, rtol=1e-9, atol=1e-10)
    return done.y[:, -1].tolist()


def ball_impact(first, second, normal, table, restitution):
    """Change two balls by their impact, integrated over the normal impulse per mass."""
    radius, n = table.radius, (float(normal[0]), float(normal[1]), 0.0)
    r1, r2 = tuple(radius * c for c in n), tuple(-radius * c for c in n)

    def parts(y):
        # v_z of the impact turns nothing but the slip; it is discarded at the end.
        return y[0:3], y[3:6], y[6:9], y[9:12]

    def slip_of(y):
        v1, w1, v2, w2 = parts(y)
        s1, s2 = _slip(v1, w1, r1, n), _slip(v2, w2, r2, n)
        return (s1[0] - s2[0], s1[1] - s2[1], s1[2] - s2[2])

    def closing(p, y):
        return (y[0] - y[6]) * n[0] + (y[1] - y[7]) * n[1]

    start = [*first[2:4], 0.0, *first[4:7], *second[2:4], 0.0, *second[4:7]]
    start = [float(c) for c in start]
    approach = closing(0.0, start)
    s = slip_of(start)
    friction = table.ball_friction_fast + table.ball_friction_slow * np.exp(
        -table.ball_friction_decay * sqrt(s[0] ** 2 + s[1] ** 2 + s[2] ** 2)
    )
    width = WIDTH * approach

    def rates(p, y):
        s = slip_of(y.tolist())
        share = friction / sqrt(s[0] ** 2 + s[1] ** 2 + s[2] ** 2 + width * width)
        force = (-n[0] - share * s[0], -n[1] - share * s[1], -n[2] - share * s[2])
        back = (-force[0], -force[1], -force[2])
        turn1, turn2 = _cross(r1, force), _cross(r2, back)
        inertia = 0.4 * radius * radius
        return [*force, *(c / inertia for c in turn1), *back, *(c / inertia for c in turn2)]

    # Compression ends where the balls close no more: two equal masses, half the approach.
    event = _event(closing, -1)
    compressed = solve_ivp(
        rates, (0.0, 2.0 * approach), start, method="LSODA", events=[event], rtol=1e-9, atol=1e-10
    )
    spent = float(compressed.t[-1])
    end = compressed.y[:, -1].tolist()
    if restitution > 0.0:
        end = _over_impulse(rates, end, None, restitution * spent)
    v1, w1, v2, w2 = parts(end)
    first[2:7] = *v1[:2], *w1
    second[2:7] = *v2[:2], *w2


def cushion_impact(ball, outwards, table, restitution):
    """Change a ball by its impact with a cushion, integrated over the nose's normal impulse.

    outwards : unit vector of the table's plane that points into the cushion.
    """
    radius = table.radius
    y_axis = (float(outwards[0]), float(outwards[1]), 0.0)
    rise = (table.nose_height - radius) / radius
    level = sqrt(1.0 - rise * rise)
    n = (level * y_axis[0], level * y_axis[1], rise)
    at_nose, at_slate = tuple(radius * c for c in n), (0.0, 0.0, -radius)
    down, inertia = (0.0, 0.0, -1.0), 0.4 * radius * radius
    approach = float(ball[2] * y_axis[0] + ball[3] * y_axis[1])
    width = WIDTH * approach

    def friction_of(coefficient, s):
        share = coefficient / sqrt(s[0] ** 2 + s[1] ** 2 + s[2] ** 2 + width * width)
        return (-share * s[0], -share * s[1], -share * s[2])

    def rates(p, y):
        vx, vy, wx, wy, wz, _ = y.tolist()
        v, w = (vx, vy, 0.0), (wx, wy, wz)
        nose = friction_of(table.cushion_friction, _slip(v, w, at_nose, n))
        force = (nose[0] - n[0], nose[1] - n[1], nose[2] - n[2])
        # The slate bears what presses the ball down.
        slate = friction_of(table.cloth_sliding_friction * max(0.0, -force[2]), _slip(v, w, at_slate, down))
        one, two = _cross(at_nose, force), _cross(at_slate, slate)
        return [
            force[0] + slate[0],
            force[1] + slate[1],
            (one[0] + two[0]) / inertia,
            (one[1] + two[1]) / inertia,
            (one[2] + two[2]) / inertia,
            v[0] * n[0] + v[1] * n[1],
        ]

    start = [*(float(c) for c in ball[2:7]), 0.0]
    most = 20.0 * approach
    compressed = _over_impulse(
        rates, start, [_event(lambda p, y: y[0] * y_axis[0] + y[1] * y_axis[1], -1)], most
    )
    if restitution > 0.0:
        keeps = (1.0 - restitution**2) * compressed[5]
        compressed = _over_impulse(rates, compressed, [_event(lambda p, y: y[5] - keeps, -1)], most)
    ball[2:7] = compressed[:5]
