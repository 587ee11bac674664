"""A ball alone does what it does with two others that it never meets."""

from __future__ import annotations

import numpy as np
import pytest

from analytics.table.alone import run_alone
from analytics.table.parameters import PRESETS
from analytics.table.shots import RAILS, Strike, play_stroke


def test_a_ball_alone_runs_as_beside_balls_it_never_meets():
    table = PRESETS["club"]
    strike = (64.0, 2.0, -0.2, 0.1)
    layout = {"white": (1.0, 1.0), "yellow": (0.1, 0.1), "red": (3.9, 0.1)}
    shot = play_stroke(layout, "white", Strike(*strike), table)
    assert all(met.contact.rail for met in shot.contacts)
    alone = run_alone(layout["white"], strike, table)
    assert [RAILS[int(at[1])] for at in alone.contacts] == [met.contact.rail for met in shot.contacts]
    np.testing.assert_array_equal(alone.contacts[:, 0], [met.t for met in shot.contacts])
    np.testing.assert_allclose(alone.rest, shot.rest["white"], atol=1e-12)
    assert alone.duration == pytest.approx(shot.duration, abs=1e-12)
