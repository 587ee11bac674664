"""A season's figures: weeks without a gap, classes that hold every average, lists compared as fractions."""

from __future__ import annotations

import datetime

import numpy as np
import pandas as pd
import pytest

from analytics.reports.played import Played
from analytics.reports.season import CLASSES, LISTED, classed, read_season
from tests.analytics.reports.simulated import as_played


def together(matches: list[list[int]], minutes: list[float] | None = None) -> Played:
    """Return matches as sides, each of a player of its own."""
    played = as_played(matches)
    frame = played.matches.assign(
        player=np.arange(1, len(matches) + 1), minutes=minutes if minutes else np.full(len(matches), np.nan)
    )
    return Played(frame, played.strokes, played.of)


@pytest.mark.parametrize("averages", [[0.5], [0.25, 0.3, 0.31, 0.9], [0.1, 12.0, 55.0], [1.0, 1.0]])
def test_every_average_lies_in_its_class(averages):
    edges, counts = classed(averages)
    assert np.histogram(averages, edges)[0].sum() == sum(counts) == len(averages)
    assert all(
        sum(low <= one < high for one in averages) == many
        for low, high, many in zip(edges, edges[1:], counts, strict=False)
    )
    assert len(counts) <= CLASSES


def test_weeks_begin_on_mondays_and_leave_none_out():
    played = together([[1, 0], [1, 0], [0]])
    days = pd.to_datetime(["2026-03-02", "2026-03-08", "2026-03-18"])
    found = read_season(Played(played.matches.assign(date=days), played.strokes, played.of))
    assert found.weeks == tuple(datetime.date(2026, 3, day) for day in (2, 9, 16))
    assert found.a_week == (2, 0, 1)


def test_the_best_are_ordered_by_fractions_and_of_equal_ones_more_points_come_first():
    found = read_season(together([[1, 0, 0], [1, 1, 0, 0, 0], [1, 0, 0, 0], [1, 1, 0, 0, 0, 0]]))
    assert [(one.points, one.innings) for one in found.best_averages] == [(2, 3), (2, 4), (1, 2), (1, 3)]
    assert [one.high_run for one in found.high_runs] == [2, 2, 1, 1]
    many = read_season(together([[1, 0]] * (LISTED + 5)))
    assert len(many.best_averages) == len(many.high_runs) == LISTED


def test_clocks_that_tell_nothing_are_left_out_of_how_long_matches_last():
    found = read_season(together([[1, 0]] * 5, [0.5, 40.0, 50.0, 60.0, 3000.0])).lengths
    assert found is not None
    assert (found.matches, found.left_out, found.median) == (3, 2, 50.0)
    assert (found.first, found.classes) == (30, (1, 1, 1))
