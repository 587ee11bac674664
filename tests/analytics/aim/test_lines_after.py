"""Where executions of a line go, and what it leaves."""

from dataclasses import replace

import numpy as np
import pytest

from analytics.aim.lines.leaving import leaves, set_clear
from analytics.aim.lines.search import FIRST, find_lines
from analytics.aim.lines.straying import STROKES, WAYS, stray
from analytics.table.parameters import TableParameters
from analytics.table.shots import Strike, play_stroke

LAYOUT = {"white": (1.0, 1.0), "yellow": (3.1, 2.3), "red": (2.1, 5.9)}
TABLE = TableParameters()
LEAST = replace(FIRST, explored=1024, members=2, seeds=1)


def best():
    return find_lines(LAYOUT, "white", limit=1, budget=FIRST).lines[0]


def test_ways_begin_at_the_cue_ball_and_end_soon_after_they_leave_the_plan():
    line = best()
    found = stray(LAYOUT, "white", line.strike, spread=2.0)
    assert len(found.ways) == WAYS
    assert all(way[0] == pytest.approx(LAYOUT["white"], abs=1e-3) for way in found.ways)
    exact = stray(LAYOUT, "white", line.strike, spread=0.2)
    length = sum(np.hypot(*np.diff(way, axis=0).T).sum() for way in found.ways)
    assert length < sum(np.hypot(*np.diff(way, axis=0).T).sum() for way in exact.ways)


def test_a_way_without_error_is_the_plan():
    line = best()
    found = stray(LAYOUT, "white", line.strike, spread=1e-9)
    assert all(found.made)
    assert found.ways[0][-1] == pytest.approx(line.contacts[-1].at, abs=2e-3)
    rest = play_stroke(LAYOUT, "white", line.strike).rest["white"]
    assert np.allclose(found.rests, rest, atol=1e-3)
    third = [one for one in line.contacts if one.contact.rail][2]
    assert found.rail == third.contact.rail
    place = third.at[1 if found.rail in ("left", "right") else 0]
    assert found.arrivals == pytest.approx([place] * STROKES, abs=1e-3)


def test_the_points_made_agree_with_the_success_of_the_line():
    line = best()
    found = stray(LAYOUT, "white", line.strike)
    share = sum(found.made) / STROKES
    doubt = (share * (1 - share) / STROKES) ** 0.5 + line.measured.stderr
    assert abs(share - line.measured.success) < 3 * doubt


def test_a_stroke_that_meets_nothing_strays_too():
    found = stray(LAYOUT, "white", Strike(270.0, 0.2))
    assert found.rail is None
    assert found.arrivals == ()
    assert not any(found.made)


def test_what_a_line_leaves_is_the_mean_over_its_leaves():
    line = best()
    found = leaves(LAYOUT, "white", line.strike, rests=3, budget=LEAST)
    values = [one.success for one in found.leaves]
    assert len(values) == 3
    assert found.complete
    assert values == sorted(values)
    assert found.success == pytest.approx(np.mean(values))
    assert found.stderr == pytest.approx(np.std(values, ddof=1) / 3**0.5)
    one = found.leaves[0]
    again = find_lines(one.layout, "white", limit=3, budget=LEAST)
    assert one.success == again.lines[0].measured.success


def test_a_stroke_that_makes_no_point_leaves_nothing():
    found = leaves(LAYOUT, "white", Strike(270.0, 0.2), rests=3, budget=LEAST)
    assert (found.success, found.stderr, found.leaves) == (None, None, ())


def test_leaving_can_be_stopped():
    found = leaves(LAYOUT, "white", best().strike, rests=3, budget=LEAST, stopped=lambda: True)
    assert not found.complete
    assert found.leaves == ()


def test_balls_that_rest_against_one_another_are_set_clear():
    radius = TABLE.radius / 0.355
    rest = np.array([[radius, 4.0], [radius - 1e-8, 4.0 + 2 * radius - 1e-7], [2.0, 2.0]])
    layout = set_clear(rest, TABLE)
    assert play_stroke(layout, "white", Strike(0.0, 1.0)).complete
    assert layout["yellow"] == pytest.approx(rest[1], abs=1e-5)
