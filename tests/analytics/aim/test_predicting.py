"""Predictions: fresh errors at every spread, never rising, the same however they are asked for."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from math import log, sqrt

import numpy as np
import pytest

from analytics.aim.lines import climbing, exploring, measuring
from analytics.aim.lines.errors import executed
from analytics.aim.lines.judging import Game
from analytics.aim.lines.search import FIRST, find_lines
from analytics.aim.predicting import (
    BEST,
    DECLARED,
    SPREADS,
    STREAM,
    STROKES,
    Predicted,
    falling,
    predict,
    success_at,
)
from analytics.table.parameters import TableParameters
from analytics.table.shots import Strike
from scoring.rules.disciplines import DISCIPLINES
from scoring.rules.said import Malformed

LAYOUT = {"white": (1.0, 1.0), "yellow": (3.1, 2.3), "red": (2.1, 5.9)}
ACROSS = {name: (4 - x, y) for name, (x, y) in LAYOUT.items()}
LINE = Strike(33.78, 5.84, -0.31, 0.25)
MIRRORED = Strike(180 - 33.78, 5.84, 0.31, 0.25)


@cache
def declared() -> Predicted:
    found = predict(LAYOUT, "white", LINE, spread=0.9)
    assert found is not None
    return found


def test_a_declared_line_is_kept_with_its_whole_grid():
    found = declared()
    assert (found.source, found.strike, found.strokes) == (DECLARED, LINE, 1024)
    assert len(found.grid) == len(found.hits) == 12
    assert SPREADS[0] == pytest.approx(0.4)
    assert SPREADS[-1] == pytest.approx(3.0)
    assert all(earlier >= later for earlier, later in pairwise(found.grid))
    assert 0 < found.grid[-1] < found.grid[0] < 1
    # Steadier hands make more of it, and by much: the errors are scaled.
    assert found.grid[0] > 3 * found.grid[-1]
    assert found.stderr == pytest.approx(sqrt(found.success * (1 - found.success) / 1024))


def test_success_agrees_with_strokes_by_other_errors():
    n = 20_000
    errors = np.random.default_rng(5).standard_normal((n, 4))
    game = Game(LAYOUT, "white", DISCIPLINES["three-cushion"], TableParameters())
    for at in (2, 5, 9):
        plan = np.array([[LINE.direction, LINE.speed, LINE.side, LINE.height]])
        done, sound = executed(plan, errors, SPREADS[at])
        share = game.outcomes(done[0], sound[0]).made.mean()
        doubt = sqrt(share * (1 - share) * (1 / n + 1 / STROKES))
        assert abs(declared().grid[at] - share) < 3.5 * doubt


def test_the_best_line_is_told_and_measured_anew():
    found = predict(LAYOUT, "white", spread=0.7, budget=FIRST)
    searched = find_lines(LAYOUT, "white", spread=0.7, limit=1, budget=FIRST).lines[0]
    assert found is not None
    assert (found.source, found.strike) == (BEST, searched.strike)
    # By strokes of its own: what the search played to measure it is not played again.
    assert STREAM not in {
        *(climbing.RANK, climbing.WIDE, climbing.CLIMB, climbing.CHOOSE),
        *(exploring.STREAM, measuring.FRESH),
    }
    assert found.success == pytest.approx(searched.measured.success, abs=0.06)


def test_the_numbers_depend_neither_on_threads_nor_on_which_way_round_one_stands():
    assert predict(LAYOUT, "white", LINE, spread=0.9, threads=1) == declared()
    mirrored = predict(ACROSS, "white", MIRRORED, spread=0.9, threads=2)
    assert mirrored is not None
    assert mirrored.hits == declared().hits


def test_no_way_to_the_point_is_no_prediction(monkeypatch):
    from analytics.aim import predicting
    from analytics.aim.lines.search import Found

    monkeypatch.setattr(predicting, "find_lines", lambda *asked, **how: Found((), 10, True))
    assert predict(LAYOUT, "white") is None


def test_balls_that_overlap_are_refused():
    with pytest.raises(Malformed):
        predict(LAYOUT | {"red": (1.0, 1.01)}, "white", LINE)


@pytest.mark.parametrize(
    ("hits", "kept"),
    [
        ((8, 6, 4), (8, 6, 4)),
        ((6, 8, 4), (7, 7, 4)),  # pooled
        ((10, 10, 10), (10, 10, 10)),
        ((0, 0, 0), (0, 0, 0)),
    ],
)
def test_what_is_kept_never_rises_and_is_never_certain(hits, kept):
    assert falling(hits, 10) == pytest.approx([(one + 0.5) / 11 for one in kept])


def test_a_grid_is_read_off_between_its_nodes():
    """The rule of statistics for a spread: logit of success over the logarithm of the spread, PCHIP."""
    for spread, share in zip(SPREADS, declared().grid, strict=True):
        assert success_at(declared().grid, spread) == pytest.approx(share)
    # A straight line in those measures stays one.
    nodes = np.array([log(one) for one in SPREADS])
    grid = 1 / (1 + np.exp(1.5 * nodes))
    assert success_at(grid, 0.83) == pytest.approx(1 / (1 + 0.83**1.5), abs=1e-9)
    # Beyond the grid nothing is claimed that was not played.
    assert success_at(declared().grid, 0.2) == pytest.approx(declared().grid[0])
    assert success_at(declared().grid, 5) == pytest.approx(declared().grid[-1])
