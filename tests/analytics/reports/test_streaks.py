"""Streaks: matches of a stroke or two, many matches together, and speed of a club's ten years."""

from fractions import Fraction
from time import perf_counter

import numpy as np
import pytest

from analytics.reports import streaks
from analytics.reports.streaks import Strokes

# Nothing is left to chance in any of these.
SURE = [
    Strokes(0, 1, 1, "point"),
    Strokes(3, 1, 1, "point"),
    Strokes(1, 0, 0, "miss"),
    Strokes(1, 5, 1, "miss"),
    Strokes(0, 4, 1, "point"),
    Strokes(5, 1, 1, "miss"),
]
PLAYED = [Strokes(25, 20, 9, "miss"), Strokes(18, 25, 11, "point"), Strokes(40, 12, 8, "miss")]


@pytest.mark.parametrize("match", SURE, ids=lambda m: f"{m.misses}-{m.points}-{m.last}")
def test_a_match_that_could_go_one_way_alone_adds_no_chance(match):
    chances = streaks.law(match.misses, match.points, match.last)
    assert chances[match.scoring] == pytest.approx(1.0)
    alone, beside = streaks.stratified(PLAYED), streaks.stratified([*PLAYED, match])
    assert beside.p_low == pytest.approx(alone.p_low)
    assert beside.p_two == pytest.approx(alone.p_two)


def test_the_law_of_matches_is_their_product():
    whole = np.ones(1)
    for match in PLAYED:
        whole = np.convolve(whole, streaks.law(match.misses, match.points, match.last))
    found = streaks.stratified(PLAYED)
    assert found.p_low == pytest.approx(whole[: found.scoring + 1].sum())
    assert found.expected == pytest.approx(whole @ np.arange(len(whole)))


def test_one_match_alone_shows_its_corrected_difference_and_the_spread_of_its_law():
    match = PLAYED[1]
    found = streaks.stratified([match], level=0.6826894921)
    one = streaks.scoring_innings(match.points, match.misses, match.scoring, match.last)
    assert found.after_point == pytest.approx(float(one.corrected_difference))
    chances = streaks.law(match.misses, match.points, match.last)
    g = np.arange(len(chances))
    sd = np.sqrt(chances @ g**2 - (chances @ g) ** 2)
    per_inning = float(Fraction(1, 19) + Fraction(1, 24))  # both rates move with one scoring inning
    assert found.interval.high - found.after_point == pytest.approx(sd * per_inning)


def test_a_hundred_thousand_strokes_are_told_at_once():
    rng = np.random.default_rng(3)
    points = rng.negative_binomial(25, 0.6, 2_400)
    matches = [Strokes(25, int(made), min(25, int(made) * 5 // 8), "miss") for made in points]
    since = perf_counter()
    found = streaks.stratified(matches)
    assert perf_counter() - since < 2.0  # a tenth of this on a machine with nothing else to do
    assert found.innings == 60_000
    assert found.interval.high - found.interval.low < 0.02
