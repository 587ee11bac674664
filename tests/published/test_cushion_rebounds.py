"""Rebounds off a cushion, and how far a ball runs between two of them.

Angles after a rolling ball without side, and the quick values: computed with an independent
integration of the same model (Mathavan, Jackson, Parkin 2010: abstract read) and rounded as
they stand here. That a rebound does not depend on speed follows from rigid bodies and
Coulomb's law.
"""

from math import atan2, cos, degrees, hypot, radians, sin

import numpy as np
import pytest

from analytics.table import cloth, cushion
from analytics.table.parameters import TableParameters
from analytics.table.shots import Strike, play_stroke

TABLE = TableParameters()
REACH = TABLE.radius / (TABLE.table_width / 4)


def around_the_rail(incidence, speed, roll=1.0, turned=1):
    """Send a ball into the right rail, `incidence` degrees off its normal, R w = roll times v.

    Returns its velocity before, just after, and once it rolls again [m/s].
    """
    p, angle = TABLE.as_array(), radians(incidence)
    vx, vy = speed * cos(angle), turned * speed * sin(angle)
    ball = np.array([0, 0, vx, vy, -roll * vy / TABLE.radius, roll * vx / TABLE.radius, 0])
    cushion.rebound(ball, cushion.RIGHT, p, TABLE.cushion_restitution)
    left = (ball[2], turned * ball[3])
    drives = np.zeros(4)
    cloth.advance(ball, drives, cloth.drive(ball, cloth.settle(ball, p), p, drives), p)
    return (vx, turned * vy), left, (ball[2], turned * ball[3])


def off_normal(velocity):
    return degrees(atan2(velocity[1], abs(velocity[0])))


@pytest.mark.parametrize("speed", [1.0, 2.5])
@pytest.mark.parametrize("turned", [1, -1])
@pytest.mark.parametrize(
    ("incidence", "leaves", "rolls", "share"),
    [
        (15, 10.7, 17.0, 0.62),
        (30, 22.2, 33.8, 0.64),
        (45, 37.7, 53.0, 0.68),
        (60, 56.2, 69.7, 0.77),
        (75, 74.3, 81.8, 0.90),
    ],
)
def test_a_rolling_ball_without_side(incidence, leaves, rolls, share, turned, speed):
    came, left, rolled = around_the_rail(incidence, speed, turned=turned)
    assert off_normal(came) == pytest.approx(incidence, abs=1e-6)
    assert off_normal(left) == pytest.approx(leaves, abs=0.15)
    assert off_normal(rolled) == pytest.approx(rolls, abs=0.15)
    assert hypot(*rolled) / hypot(*came) == pytest.approx(share, abs=0.006)


def test_head_on_rolling():
    came, left, rolled = around_the_rail(0, 1.0)
    assert left[0] / came[0] == pytest.approx(-0.9343, abs=1e-3)
    assert rolled[0] / came[0] == pytest.approx(-0.613, abs=1e-3)
    # R w is still -0.1899 of the approach: the ball follows into the rail and loses 2/7 of the slip.
    slip = left[0] / came[0] - 0.1899
    assert rolled[0] / came[0] == pytest.approx(left[0] / came[0] - 2 / 7 * slip, abs=2e-3)


def test_head_on_sliding_without_spin():
    came, left, _ = around_the_rail(0, 1.0, roll=0.0)
    assert came[0] == pytest.approx(1.0, abs=1e-4)
    assert left[0] == pytest.approx(-0.8836, abs=1e-3)


def test_a_rebound_does_not_depend_on_speed():
    angles = [off_normal(around_the_rail(40, speed)[1]) for speed in (0.5, 1.7, 4.0)]
    assert angles == pytest.approx([angles[0]] * 3, abs=1e-6)


# Table lengths, rail to rail, run by a ball struck at the centre, straight up the table.
@pytest.mark.parametrize(
    ("speed", "lengths"), [(1.55, 2.0), (2, 2.4), (3, 3.2), (4, 3.9), (5, 4.3), (6, 5.0), (7, 5.6)]
)
def test_table_lengths(speed, lengths):
    layout = {"white": (2.0, REACH), "yellow": (0.5, 4.0), "red": (3.5, 4.0)}
    shot = play_stroke(layout, "white", Strike(90.0, speed))
    rails = [met.contact.rail for met in shot.contacts]
    assert set(rails) <= {"top", "bottom"}
    y = shot.rest["white"][1]
    last = 8 - REACH - y if rails and rails[-1] == "top" else y - REACH
    run = len(rails) * (8 - 2 * REACH) + last
    assert run / (8 - 2 * REACH) == pytest.approx(lengths, abs=0.06)
