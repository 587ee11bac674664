"""Streaks: matches of a stroke or two, many matches together, and speed of a club's ten years."""

from fractions import Fraction
from itertools import combinations
from time import process_time

import numpy as np
import pytest

from analytics.reports import permuting, streaks
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
    since = process_time()
    found = streaks.stratified(matches)
    assert process_time() - since < 2.0  # a tenth of this
    assert found.innings == 60_000
    assert found.interval.high - found.interval.low < 0.02


@pytest.mark.parametrize(("size", "points", "won"), [(7, 4, 0), (8, 5, 1), (3, 3, 1), (2, 1, 1), (6, 0, 0)])
@pytest.mark.parametrize("after", [1, 2, 3])
def test_moments_of_every_order_enumerated(size, points, won, after):
    orders = np.array(
        [
            [int(place in places) for place in range(size - won)] + [1] * won
            for places in combinations(range(size - won), points - won)
        ]
    )
    made, tried = permuting.after_streak(orders, after)
    expected = [
        made.mean(),
        tried.mean(),
        made.var(),
        (made * tried).mean() - made.mean() * tried.mean(),
        tried.var(),
    ]
    found = permuting.moments(np.array([size * 1.0]), np.array([points * 1.0]), np.array([won * 1.0]), after)
    assert found == pytest.approx(expected, abs=1e-12)


def matches_of(rng, count, size, chances):
    for p in rng.choice(chances, count):
        won = bool(rng.random() < 0.5)
        yield np.append(rng.random(size - 1) < p, won), won


@pytest.mark.parametrize("after", [1, 2])
def test_the_normal_law_stands_in_for_many_draws(after):
    matches = list(matches_of(np.random.default_rng(8), 20, 50, [0.3, 0.5]))
    drawn = permuting.streak(matches, after, draws=4_000)
    counted = permuting.streak(matches, after, drawn_up_to=0)
    assert (counted.points, counted.strokes) == (drawn.points, drawn.strokes)
    assert (counted.draws, counted.seed) == (0, None)
    assert counted.difference == pytest.approx(drawn.difference, abs=0.004)
    assert counted.interval.low == pytest.approx(drawn.interval.low, abs=0.006)
    assert counted.p_high == pytest.approx(drawn.p_high, abs=0.03)


def test_form_between_matches_is_no_streak_in_a_hundred_thousand_strokes():
    matches = list(matches_of(np.random.default_rng(9), 2_500, 40, [0.2, 0.6]))
    since = process_time()
    found = permuting.streak(matches, 2)
    assert process_time() - since < 1.0  # a fiftieth of this
    assert found.observed > 0.1  # what pooling would have called a streak
    assert found.interval.holds(0.0)
    assert permuting.streak(matches, 20).p_high is None


def test_nothing_follows_on_across_matches():
    points, tries = permuting.after_streak([1, 1, permuting.BREAK, 1, 1, 0, permuting.BREAK], 2)
    assert (points, tries) == (0, 1)
