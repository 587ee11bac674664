"""Layouts and strikes at random, for properties of strokes."""

from math import hypot

from hypothesis import assume
from hypothesis import strategies as st

from analytics.table.parameters import TableParameters
from analytics.table.shots import BALLS, Strike

TABLE = TableParameters()
R = TABLE.radius
REACH_X, REACH_Y = R / (TABLE.table_width / 4), R / (TABLE.table_length / 8)

places = st.tuples(st.floats(REACH_X, 4 - REACH_X), st.floats(REACH_Y, 8 - REACH_Y))
strikes = st.builds(
    lambda direction, speed, side, height: Strike(direction, speed, side, height),
    st.floats(0, 360),
    st.floats(0.05, 12),
    st.floats(-0.35, 0.35),
    st.floats(-0.35, 0.35),
)


def laid(white, yellow, red):
    layout = dict(zip(BALLS, (white, yellow, red), strict=True))
    pairs = ((white, yellow), (white, red), (yellow, red))
    scale = TABLE.table_width / 4
    assume(all(hypot(a[0] - b[0], a[1] - b[1]) * scale > 2 * R + 1e-3 for a, b in pairs))
    return layout


layouts = st.builds(laid, places, places, places)
