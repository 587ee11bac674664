"""How far an object ball is thrown off the line of centres, against the published formula.

Alciatore, TP A.14 (from memory): with v the cue ball's speed, f the cut, w_z its side and w_x
its roll or draw spin at the impact,

    tan(throw) = min(mu(v_rel) v cos f / v_rel, 1/7) (v sin f - R w_z) / (v cos f),
    v_rel = sqrt((v sin f - R w_z)^2 + (R w_x cos f)^2),
    mu(v_rel) = 9.951e-3 + 0.108 exp(-1.088 v_rel),

for elastic balls (e = 1), friction fitted to Marlow's measurements. The speeds are those of
his pages: slow, medium and fast strokes of 1, 3 and 7 miles an hour.
"""

from math import atan2, cos, degrees, exp, hypot, radians, sin

import numpy as np
import pytest

from analytics.table import impacts
from analytics.table.parameters import TableParameters

TABLE = TableParameters()
ELASTIC = TABLE.overridden({"ball_restitution": 1.0, "ball_friction_fast": 9.951e-3})
SLOW, MEDIUM, FAST = 0.447, 1.341, 3.129


def expected_throw(speed, cut, side=0.0, height=0.0):
    """The formula above, in degrees; tip offsets make spins R w = 5/2 v times the offset."""
    f = radians(cut)
    across = speed * sin(f) - 2.5 * speed * side
    up = 2.5 * speed * height * cos(f)
    slip = hypot(across, up)
    if slip == 0:
        return 0.0
    friction = 9.951e-3 + 0.108 * exp(-1.088 * slip)
    share = min(friction * speed * cos(f) / slip, 1 / 7)
    return degrees(atan2(share * across, speed * cos(f)))


def played_throw(speed, cut, side=0.0, height=0.0, table=ELASTIC):
    """The angle between the object ball's velocity and the line of centres, in degrees."""
    p, radius, turn = table.as_array(), table.radius, 2.5 * speed / table.radius
    # The line of centres points along y; the cue ball comes from its left, `cut` degrees off it.
    along = np.array([sin(radians(cut)), cos(radians(cut))])
    cue_ball = np.array([0, 0, *speed * along, *turn * height * np.array([-along[1], along[0]]), turn * side])
    object_ball = np.array([0, 2 * radius, 0, 0, 0, 0, 0], dtype=float)
    impacts.collide(cue_ball, object_ball, p, table.ball_restitution)
    return degrees(atan2(object_ball[2], object_ball[3]))


@pytest.mark.parametrize("speed", [SLOW, MEDIUM, FAST])
@pytest.mark.parametrize("cut", [10, 20, 30, 45, 60, 75])
def test_stun_strokes_throw_as_the_formula_says(speed, cut):
    assert played_throw(speed, cut) == pytest.approx(expected_throw(speed, cut), abs=0.01)


# Read off the formula by hand, cut by half a ball: about 5 degrees slow, less the faster.
@pytest.mark.parametrize(("speed", "throw"), [(SLOW, 4.7), (MEDIUM, 3.6), (FAST, 1.7)])
def test_a_half_ball_stun_stroke_throws_less_the_faster_it_is(speed, throw):
    assert played_throw(speed, 30) == pytest.approx(throw, abs=0.1)


@pytest.mark.parametrize("height", [-0.4, -0.2, 0.2, 0.4])
@pytest.mark.parametrize("cut", [15, 30, 50])
def test_follow_and_draw_throw_less_and_alike(cut, height):
    thrown = played_throw(MEDIUM, cut, height=height)
    assert thrown == pytest.approx(expected_throw(MEDIUM, cut, height=height), abs=0.01)
    assert thrown == pytest.approx(played_throw(MEDIUM, cut, height=-height), abs=0.01)
    assert thrown < played_throw(MEDIUM, cut)


@pytest.mark.parametrize("side", [-0.4, -0.2, 0.1, 0.3, 0.45])
@pytest.mark.parametrize("cut", [0, 20, 40])
def test_side_throws_the_object_ball(cut, side):
    assert played_throw(MEDIUM, cut, side=side) == pytest.approx(
        expected_throw(MEDIUM, cut, side=side), abs=0.01
    )


# Outside side of 2/5 sin(cut) radii rolls off the ball without rubbing: no throw at any speed
# (follows from R w_z = v sin f; the trade knows it as gearing).
@pytest.mark.parametrize("cut", [10, 30, 50])
def test_side_that_gears_throws_nothing(cut):
    gearing = 0.4 * sin(radians(cut))
    for speed in (SLOW, FAST):
        assert played_throw(speed, cut, side=gearing) == pytest.approx(0.0, abs=0.01)
        assert played_throw(speed, cut, side=gearing - 0.1) > 0.3
        assert played_throw(speed, cut, side=gearing + 0.1) < -0.3


def test_throw_of_the_default_balls_differs_only_where_the_slip_is_stopped():
    # e leaves sliding friction as it is, and changes the share 1/7 by 2/(1 + e).
    assert played_throw(MEDIUM, 45, table=TABLE) == pytest.approx(expected_throw(MEDIUM, 45), abs=0.01)
    stopped = degrees(atan2(sin(radians(10)) / 7 * 2 / 1.95, cos(radians(10))))
    assert played_throw(SLOW, 10, table=TABLE) == pytest.approx(stopped, abs=0.01)
