"""What holds for every stroke, whatever the numbers."""

from math import cos, hypot, pi, sin

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from analytics.table import cloth, cushion, impacts
from analytics.table.parameters import BALL_RESTITUTION, TableParameters
from analytics.table.shots import BALLS, Strike, play_stroke
from scoring.rules.said import Malformed
from tests.analytics.table.drawn import layouts, strikes

TABLE = TableParameters()
P = TABLE.as_array()
R = TABLE.radius
speeds = st.floats(-6, 6)
spins = st.floats(-300, 300)
motions = st.tuples(speeds, speeds, spins, spins, spins)


def ball_of(motion, at=(0.0, 0.0)):
    return np.array([*at, *motion], dtype=float)


@given(motions, motions, st.floats(0, 2 * pi))
def test_balls_keep_their_momentum_and_gain_no_energy(one, two, angle):
    first, second = ball_of(one), ball_of(two, (2 * R * cos(angle), 2 * R * sin(angle)))
    momentum = first[2:4] + second[2:4]
    energy = cloth.energy(first, P) + cloth.energy(second, P)
    n = np.array([cos(angle), sin(angle)])
    approach = (first[2:4] - second[2:4]) @ n
    impacts.collide(first, second, P, P[BALL_RESTITUTION])
    assert first[2:4] + second[2:4] == pytest.approx(momentum, abs=1e-11)
    assert cloth.energy(first, P) + cloth.energy(second, P) <= energy * (1 + 1e-12) + 1e-15
    if approach > 1e-9:
        assert (second[2:4] - first[2:4]) @ n == pytest.approx(TABLE.ball_restitution * approach, rel=1e-9)


@given(motions, st.integers(0, 3), st.sampled_from([0.0, 0.5, 0.95, 1.0]))
def test_a_cushion_gives_no_energy_and_sends_the_ball_back(motion, rail, restitution):
    ball = ball_of(motion)
    outwards = ((0, -1), (1, 0), (0, 1), (-1, 0))[rail]
    assume(ball[2:4] @ np.array(outwards) > 1e-3)
    energy = cloth.energy(ball, P)
    cushion.rebound(ball, rail, P, restitution)
    assert np.isfinite(ball).all()
    assert ball[2:4] @ np.array(outwards) <= 1e-12
    assert cloth.energy(ball, P) <= energy * (1 + 1e-9)


@given(layouts, strikes)
@settings(max_examples=150)
def test_every_stroke_ends_with_the_balls_inside_and_apart(layout, strike):
    shot = play_stroke(layout, "white", strike)
    assert shot.complete
    times = [one.t for one in shot.contacts]
    assert times == sorted(times)
    assert all(t <= shot.duration for t in times)
    rest = [np.array(shot.rest[name]) * TABLE.table_width / 4 for name in BALLS]
    for at, place in enumerate(rest):
        assert R - 1e-6 <= place[0] <= TABLE.table_width - R + 1e-6
        assert R - 1e-6 <= place[1] <= TABLE.table_length - R + 1e-6
        assert all(hypot(*(place - other)) > 2 * R - 1e-5 for other in rest[:at])


MIRRORED = {
    "left and right": (
        lambda at: (4 - at[0], at[1]),
        lambda s: Strike(180 - s.direction, s.speed, -s.side, s.height),
        {"left": "right", "right": "left"},
    ),
    "end to end": (
        lambda at: (at[0], 8 - at[1]),
        lambda s: Strike(-s.direction, s.speed, -s.side, s.height),
        {"top": "bottom", "bottom": "top"},
    ),
}


@pytest.mark.parametrize("way", MIRRORED)
@given(layouts, strikes)
@settings(max_examples=60)
def test_the_mirrored_stroke_meets_the_mirrored_things(way, layout, strike):
    place, turn, rails = MIRRORED[way]
    shot = play_stroke(layout, "white", strike)
    image = play_stroke({name: place(at) for name, at in layout.items()}, "white", turn(strike))
    # Beyond a few contacts after a ball rounding itself decides: chaos, not a fault.
    for one, other in list(zip(shot.contacts, image.contacts, strict=False))[:4]:
        name = one.contact.ball or rails.get(one.contact.rail, one.contact.rail)
        assert name == (other.contact.ball or other.contact.rail)
        assert other.at == pytest.approx(place(one.at), abs=1e-4)
    assert image.ruling.family == shot.ruling.family or len(shot.contacts) > 4


@given(layouts, strikes)
@settings(max_examples=40)
def test_naming_the_object_balls_the_other_way_round_changes_nothing_else(layout, strike):
    swapped = {"white": layout["white"], "yellow": layout["red"], "red": layout["yellow"]}
    shot, other = play_stroke(layout, "white", strike), play_stroke(swapped, "white", strike)
    names = {"yellow": "red", "red": "yellow"}
    for one, two in list(zip(shot.contacts, other.contacts, strict=False))[:5]:
        assert names.get(one.contact.ball, one.contact.rail) == (two.contact.ball or two.contact.rail)
        assert two.at == pytest.approx(one.at, abs=1e-6)


@pytest.mark.parametrize(
    ("field", "layout", "strike"),
    [
        ("layout.yellow", {"yellow": [2, 2.05]}, {}),
        ("layout.red", {"red": [0.01, 6]}, {}),
        ("layout.red", {"red": [float("nan"), 6]}, {}),
        ("layout.white", {"white": "here"}, {}),
        ("strike.speed", {}, {"speed": 0}),
        ("strike.speed", {}, {"speed": 12.1}),
        ("strike.side", {}, {"side": 0.4, "height": 0.4}),
        ("strike.direction", {}, {"direction": float("inf")}),
    ],
)
def test_what_cannot_be_played_is_refused_with_its_field(field, layout, strike):
    lying = {"white": [2, 2], "yellow": [1, 5], "red": [2, 6]} | layout
    with pytest.raises(Malformed) as refused:
        play_stroke(lying, "white", Strike(**({"direction": 90, "speed": 3} | strike)))
    assert refused.value.field == field


@pytest.mark.parametrize(
    "changes",
    [
        {"radius": 1},
        {"cushion_friction": -0.1},
        {"colour": 1},
        {"nose_height": 0.03},
        # So high and rough a nose would hold a ball for ever.
        {"nose_height": 0.05, "cushion_friction": 0.5, "cloth_sliding_friction": 0.5},
    ],
)
def test_a_table_out_of_bounds_is_refused_with_its_field(changes):
    with pytest.raises(Malformed) as refused:
        TABLE.overridden(changes)
    assert refused.value.field == next(iter(changes))
