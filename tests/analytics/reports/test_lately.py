"""The last ten matches beside those before, and when a change may be told."""

from __future__ import annotations

import pytest

from analytics.reports.averages import Sheet
from analytics.reports.lately import read_lately


def sheets(*points: int) -> list[Sheet]:
    return [Sheet(made, 20, 20) for made in points]


def test_the_last_ten_are_no_part_of_those_before():
    found = read_lately([Sheet(5, 0, 0), *sheets(*[10] * 4, *[20] * 10)])
    assert (found.before.matches, found.last.matches) == (4, 10)
    assert (found.before.points, found.last.points) == (40, 200)
    assert found.interval is None, "fewer than six matches before"


@pytest.mark.parametrize(("lately", "clear"), [(20, True), (10, False)])
def test_a_change_is_told_where_its_interval_leaves_out_none(lately, clear):
    found = read_lately(sheets(*[9, 11] * 8, *[lately - 1, lately + 1] * 5))
    assert found.ratio == pytest.approx(lately / 10)
    assert found.clear is clear
    assert found.interval.holds(found.ratio)


def test_without_a_match_or_a_point_nothing_is_told():
    assert read_lately([]).to_tell is None
    assert read_lately(sheets(*[0] * 20)).interval is None
