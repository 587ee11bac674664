"""One family through time: parts that hold every stroke once, and the change between two halves."""

from __future__ import annotations

import numpy as np
import pytest

from analytics.reports.one_family import change, read_family
from analytics.reports.played import FAMILY_NAMES, Played
from analytics.reports.rates import rate
from tests.analytics.reports.simulated import drawn

BANK = FAMILY_NAMES.index("bank")


def of_family(played: Played, every: int) -> Played:
    strokes = played.strokes.copy()
    strokes["family"][::every] = BANK
    return Played(played.matches, strokes, played.of)


@pytest.mark.parametrize(("strokes", "lengths"), [(19, [19]), (39, [39]), (40, [20, 20]), (230, [23] * 10)])
def test_parts_are_of_equal_length_and_hold_every_stroke(strokes, lengths):
    played = of_family(drawn(3, 1, strokes - 1, 0.4), 1)
    found = read_family(played, "bank")
    assert [part.rate.strokes for part in found.parts] == lengths
    assert sum(part.rate.points for part in found.parts) == int(found.made.sum())


def test_other_families_and_whole_innings_are_left_out():
    played = of_family(drawn(4, 6, 60, 0.4), 3)
    found = read_family(played, "bank")
    assert np.array_equal(found.at, np.arange(0, len(played.strokes), 3))
    assert read_family(played, "ticky").parts == ()


def test_a_change_needs_a_hundred_strokes_and_an_interval_clear_of_none():
    assert change(rate(10, 50), rate(35, 50)).clear
    assert not change(rate(10, 50), rate(35, 50), enough=False).clear
    assert not change(rate(24, 50), rate(26, 50)).clear
