"""Lines against a trial of the same model that shares no code with this one.

Its values were measured on random layouts (three-cushion, uniform places, at least 3 mm apart)
with a search of 131,072 strokes; no published source is known for any of them. Few layouts
are searched here, so the bounds are two standard errors of what layouts differ (0.13 each).
Over 100 other layouts our own search gave the means of `MEAN_BEST` in analytics.aim.lines.players,
with errors a little smaller than the trial's: those are what make every second best line here.
"""

from dataclasses import replace
from functools import cache
from statistics import mean

import numpy as np
import pytest

from analytics.aim.lines.errors import PARTS, SIGMAS, uniforms
from analytics.aim.lines.judging import Game
from analytics.aim.lines.measuring import measured
from analytics.aim.lines.search import FULL, Found, find_lines
from analytics.table.parameters import TableParameters
from scoring.rules.disciplines import DISCIPLINES
from tests.analytics.aim.layouts import layouts_at_random

LAYOUTS = layouts_at_random(4)
# Two thirds of a full search, which finds the best line nearly as well.
BUDGET = replace(FULL, explored=32768, members=8, seeds=2, rounds=(32, 32, 64), kept=(2, 6), chosen=128)
MEAN_BEST = {0.5: 0.816, 1.0: 0.497, 2.0: 0.229}
MEAN_SCORING, MOST_SCORING, LEAST_SCORING = 1 / 65, 1 / 20, 1 / 250
BETWEEN_LAYOUTS = 0.13


def game(layout) -> Game:
    return Game(layout, "white", DISCIPLINES["three-cushion"], TableParameters())


@cache
def found() -> list[Found]:
    return [find_lines(layout, "white", limit=2, budget=BUDGET) for layout in LAYOUTS]


def test_the_reference_player_makes_every_second_best_line():
    assert SIGMAS.tolist() == [0.43, 0.086, 0.065, 0.065]
    best = [one.lines[0].measured.success for one in found()]
    assert all(one.complete for one in found())
    assert mean(best) == pytest.approx(MEAN_BEST[1.0], abs=2 * BETWEEN_LAYOUTS / len(best) ** 0.5)


@pytest.mark.parametrize("spread", [0.5, 2.0])
def test_success_falls_with_spread_as_it_should(spread):
    """The best line of spread 1 under another one: not better than that one's own best line."""
    shares = []
    for layout, one in zip(LAYOUTS, found(), strict=True):
        strike = one.lines[0].strike
        plan = np.array([strike.direction, strike.speed, strike.side, strike.height])
        share = measured(game(layout), plan, spread, 1024).success
        assert (share > one.lines[0].measured.success) == (spread < 1)
        shares.append(share)
    assert mean(shares) == pytest.approx(
        MEAN_BEST[spread], abs=0.03 + 2 * BETWEEN_LAYOUTS / len(shares) ** 0.5
    )


def test_direction_and_side_cost_most():
    """Without it, success was 0.43, 0.41, 0.36, 0.35 for direction, side, height, speed; 0.34 with all."""
    costs = {part: mean(line.measured.costs[part] for one in found() for line in one.lines) for part in PARTS}
    assert min(costs["direction"], costs["side"]) > max(costs["speed"], 0.0)
    assert costs["direction"] > costs["height"] > 0


def test_how_many_strokes_of_all_make_the_point():
    points = uniforms(4096, 99)
    offsets = 0.9 * points[:, 2:] - 0.45
    offsets *= np.minimum(1, 0.45 / np.hypot(*offsets.T))[:, None]
    strikes = np.column_stack([360 * points[:, 0], 1.5 + 4.5 * points[:, 1], offsets])
    shares = [game(layout).outcomes(strikes).made.mean() for layout in layouts_at_random(12, 3)]
    assert mean(shares) == pytest.approx(MEAN_SCORING, rel=0.3)
    assert min(shares) > LEAST_SCORING
    assert max(shares) < MOST_SCORING
