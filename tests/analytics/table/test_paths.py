"""Paths: what a page draws is where the balls were."""

from itertools import pairwise
from math import hypot

import pytest
from hypothesis import given, settings

from analytics.table.parameters import TableParameters
from analytics.table.shots import BALLS, play_stroke
from tests.analytics.table.drawn import REACH_X, REACH_Y, layouts, strikes

TABLE = TableParameters()
ACROSS, ALONG = TABLE.table_width / 4, TABLE.table_length / 8


def at(path, time):
    """Return where a ball is at a time [diamonds]."""
    piece = max((one for one in path if one[0] <= time), default=path[0], key=lambda one: one[0])
    t, x, y, vx, vy, ax, ay = piece
    s = time - t
    return x + (vx + ax * s / 2) * s, y + (vy + ay * s / 2) * s


@given(layouts, strikes)
@settings(max_examples=60)
def test_at_every_event_the_balls_are_inside_and_apart(layout, strike):
    shot = play_stroke(layout, "white", strike)
    times = sorted({piece[0] for path in shot.paths.values() for piece in path})
    for time in times:
        places = [at(shot.paths[name], time) for name in BALLS]
        for x, y in places:
            assert REACH_X - 1e-5 <= x <= 4 - REACH_X + 1e-5
            assert REACH_Y - 1e-5 <= y <= 8 - REACH_Y + 1e-5
        for one, other in ((0, 1), (0, 2), (1, 2)):
            way = hypot(
                (places[one][0] - places[other][0]) * ACROSS, (places[one][1] - places[other][1]) * ALONG
            )
            assert way > 2 * TABLE.radius - 1e-5


@given(layouts, strikes)
@settings(max_examples=60)
def test_a_path_is_in_one_piece_and_ends_at_rest(layout, strike):
    shot = play_stroke(layout, "white", strike)
    for name, path in shot.paths.items():
        assert path[0][:3] == pytest.approx((0.0, *layout[name]), abs=1e-12)
        for before, after in pairwise(path):
            assert before[0] < after[0]
            # A ball that presses on a rail creeps into it by a micrometre, and is put back.
            assert at([before], after[0]) == pytest.approx(after[1:3], abs=1e-5)
        assert path[-1][3:] == (0.0, 0.0, 0.0, 0.0)
        assert path[-1][1:3] == shot.rest[name]
    times = [met.t for met in shot.contacts]
    assert times == sorted(times)
    for met in shot.contacts:
        assert at(shot.paths["white"], met.t) == pytest.approx(met.at, abs=1e-9)


def test_a_path_longer_than_the_usual_room_is_given_whole(monkeypatch):
    layout = {"white": (1.0, 1.0), "yellow": (3.0, 7.0), "red": (3.0, 6.0)}
    from analytics.table import shots

    whole = play_stroke(layout, "white", shots.Strike(70.0, 7.0, 0.2))
    monkeypatch.setattr(shots, "PIECES", 3)
    assert play_stroke(layout, "white", shots.Strike(70.0, 7.0, 0.2)) == whole
    assert len(whole.paths["white"]) > 3
