"""Everything k times as long and sqrt(k) times as fast is the same stroke in diamonds."""

from math import hypot, sqrt

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from analytics.table.parameters import TableParameters
from analytics.table.shots import BALLS, Strike, play_stroke

TABLE = TableParameters()
REACH = TABLE.radius / (TABLE.table_width / 4)


def scaled(k):
    """Return the default table, all lengths times k, gravity as it is."""
    lengths = ("table_length", "table_width", "radius", "nose_height")
    return TABLE.overridden(
        {name: getattr(TABLE, name) * k for name in lengths}
        | {
            # A rate per speed, and a rate of turning per time: R times it is an acceleration.
            "ball_friction_decay": TABLE.ball_friction_decay / sqrt(k),
            "spin_deceleration": TABLE.spin_deceleration / k,
        }
    )


places = st.tuples(st.floats(REACH + 0.01, 3.99 - REACH), st.floats(REACH + 0.01, 7.99 - REACH))
strikes = st.tuples(st.floats(0, 360), st.floats(1, 8), st.floats(-0.35, 0.35), st.floats(-0.35, 0.35))


@given(st.tuples(places, places, places), strikes, st.floats(0.82, 1.3))
@settings(max_examples=150)
def test_a_stroke_on_a_table_of_another_scale(lying, strike, k):
    assume(
        all(
            hypot(a[0] - b[0], a[1] - b[1]) > 2 * REACH + 0.01
            for a, b in zip(lying, lying[1:] + lying[:1], strict=True)
        )
    )
    layout = dict(zip(BALLS, lying, strict=True))
    direction, speed, side, height = strike
    one = play_stroke(layout, "white", Strike(direction, speed, side, height))
    other = play_stroke(layout, "white", Strike(direction, speed * sqrt(k), side, height), scaled(k))
    for met, image in list(zip(one.contacts, other.contacts, strict=False))[:3]:
        assert (met.contact.ball, met.contact.rail) == (image.contact.ball, image.contact.rail)
        assert image.at == pytest.approx(met.at, abs=1e-9)
        assert image.t == pytest.approx(met.t * sqrt(k), abs=1e-9)
    assert bool(one.contacts) == bool(other.contacts)


def test_the_same_balls_on_a_smaller_table_are_another_stroke():
    layout = {"white": (1.0, 1.0), "yellow": (0.3, 7.0), "red": (3.5, 0.5)}
    strike = Strike(40.0, 3.0, 0.2, 0.0)
    small = TABLE.overridden({"table_length": 2.84 * 0.82, "table_width": 1.42 * 0.82})
    one, other = (play_stroke(layout, "white", strike, table) for table in (TABLE, small))
    assert abs(one.contacts[1].at[1] - other.contacts[1].at[1]) > 0.01
