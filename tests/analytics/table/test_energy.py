"""The energy of the three balls never rises, from the tip to rest, whatever happens on the way."""

import numpy as np
import pytest

from analytics.table import cloth, stroke
from analytics.table.parameters import TableParameters

TABLE = TableParameters()
P = TABLE.as_array()
# What changes a ball within a stroke, and how many balls come first among its arguments.
CHANGES = {"advance": 1, "end_state": 1, "rebound": 1, "collide": 2}
# Direction [deg], speed [m/s], side, height: each meets balls and rails.
STRIKES = [
    (65.9, 4.0, 0.3, 0.2),
    (68.2, 2.5, -0.3, 0.3),
    (63.0, 6.0, 0.2, -0.35),
    (17.2, 1.5, 0.0, 0.4),
    (45.0, 5.0, 0.0, 0.45),
]


def watched(monkeypatch, seen):
    """Let the events of a stroke run uncompiled, and note each change of the balls' energy."""
    for name, count in CHANGES.items():
        kernel = getattr(stroke, name)

        def watch(*given, name=name, count=count, kernel=kernel):
            before = sum(cloth.energy(ball, P) for ball in given[:count])
            answer = kernel(*given)
            seen.append((name, before, sum(cloth.energy(ball, P) for ball in given[:count])))
            return answer

        monkeypatch.setattr(stroke, name, watch)


@pytest.mark.parametrize("strike", STRIKES)
def test_no_part_of_a_stroke_gains_energy(strike, monkeypatch):
    balls = np.zeros((3, 7))
    balls[:, :2] = (0.4, 0.5), (0.9, 1.6), (0.7, 2.2)
    stroke.strike(balls, 0, *strike, P)
    begun = cloth.energy(balls[0], P)
    seen = []
    watched(monkeypatch, seen)
    contacts, work = np.zeros((stroke.MOST_CONTACTS, 4)), np.zeros(stroke.SCRATCH)
    pieces, counts = np.zeros((3, 0, 7)), np.zeros(3, np.int64)
    stroke.play.py_func(balls, 0, P, contacts, pieces, counts, np.zeros(3), work, False)
    assert {name for name, _, _ in seen} == set(CHANGES)
    assert all(after <= before * (1 + 1e-12) + 1e-15 for _, before, after in seen)
    # Nothing else changed a ball: what all parts took is what the tip gave.
    lying = sum(cloth.energy(ball, P) for ball in balls)
    assert sum(before - after for _, before, after in seen) == pytest.approx(begun - lying, rel=1e-9)
