"""Races, forecasts and fair distances: what must hold whatever the players are."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analytics.reports import fairness
from analytics.reports.forecasts import Knowledge, forecast, jeffreys_knowledge
from analytics.reports.race_formats import decided, match, shoot_out
from analytics.reports.race_programme import play_out
from analytics.reports.races import START, Rules, Score, race, race_grid

RATES = st.floats(0.05, 0.9)
SHORT = st.integers(1, 12)


@st.composite
def standings(draw):
    limit = draw(st.sampled_from([None, None, 1, 2, 5]))
    rules = Rules(
        (draw(SHORT), draw(SHORT)),
        draw(st.booleans()),
        draw(st.booleans()),
        limit,
        draw(st.sampled_from([None, 2])),
    )
    points = tuple(draw(st.integers(0, far - 1)) for far in rules.distance)
    rounds = draw(st.integers(0, (limit or 9) - 1))
    return rules, Score(points, draw(st.integers(0, 1)), rounds, draw(st.booleans()))


@given(standings(), st.tuples(RATES, RATES), st.tuples(st.none() | RATES, st.none() | RATES))
@settings(max_examples=25, deadline=None)
def test_closed_form_and_programme_agree_from_any_score(standing, p, opening):
    rules, score = standing
    closed, played = race(p, rules, score, opening), play_out(p, rules, score, opening).chances
    for name in ("starter", "draw", "second", "reached"):
        assert getattr(closed, name) == pytest.approx(getattr(played, name), abs=1e-9)


@given(standings(), st.tuples(RATES, RATES))
@settings(max_examples=15, deadline=None)
def test_a_chance_is_the_mean_of_what_the_next_stroke_makes_of_it(standing, p):
    rules, score = standing
    now = race(p, rules, score)
    point, miss = race(p, rules, score.pointed(rules)), race(p, rules, score.missed(rules))
    share = p[score.turn]
    assert now.starter == pytest.approx(share * point.starter + (1 - share) * miss.starter, abs=1e-10)
    assert now.draw == pytest.approx(share * point.draw + (1 - share) * miss.draw, abs=1e-10)


def test_the_equalizing_inning_takes_half_the_advantage_of_the_start():
    equalized, plain = race((0.5, 0.5), Rules((30, 30))), race((0.5, 0.5), Rules((30, 30), equalizing=False))
    assert equalized.starter == pytest.approx(equalized.second)
    assert plain.starter == pytest.approx(equalized.starter + equalized.draw)


def test_without_a_distance_points_in_the_innings_decide():
    found = race((0.4, 0.4), Rules((None, None), innings_limit=10))
    assert found.starter == pytest.approx(found.second)
    assert found.reached == pytest.approx(0, abs=1e-12)
    one = race((0.4, 0.4), Rules((None, None), innings_limit=1))
    assert one.draw == pytest.approx(0.6 / 1.4)  # equal runs: (1 - p) / (1 + p)


def test_one_player_alone_may_have_a_distance():
    found = race((0.4, 0.4), Rules((5, None), innings_limit=200))
    assert found.starter == pytest.approx(1, abs=1e-9)


@pytest.mark.parametrize("p", [(0.0, 0.5), (0.5, 1.0)])
def test_a_rate_of_nothing_or_all_is_refused(p):
    with pytest.raises(ValueError, match="between 0 and 1"):
        race(p, Rules((3, 3)))


def test_a_race_without_end_is_refused():
    with pytest.raises(ValueError, match="limit"):
        Rules((None, None))
    with pytest.raises(ValueError, match="too long"):
        race((1e-4, 1e-4), Rules((900, 900)))


def test_a_decided_score_has_no_doubt_left():
    rules = Rules((3, 3))
    assert race((0.4, 0.4), rules, Score((1, 3), 1, 4)).second == 1
    assert race((0.4, 0.4), rules, Score((3, 3), 1, 4)).draw == 1
    assert race((0.4, 0.4), rules, Score((3, 1), 0, 5)).starter == 1
    answering = race((0.4, 0.4), rules, Score((3, 1), 1, 4))
    assert (answering.draw, answering.second) == (pytest.approx(0.16), 0)


def test_lengths_of_a_race_are_a_law():
    found = play_out((0.5, 0.4), Rules((15, 15), innings_limit=20))
    assert len(found.lengths) == 20
    assert found.lengths.sum() == pytest.approx(1)
    assert 10 < found.expected < 17


def test_sets_make_the_better_player_surer():
    one = race((0.5, 0.4), Rules((15, 15)))
    three = match((0.5, 0.4), Rules((15, 15), sets_to_win=3))
    assert three.starter > one.even
    assert match((0.5, 0.4), Rules((15, 15), sets_to_win=3), Score(sets=(0, 2))).starter < three.starter
    with pytest.raises(ValueError, match="won"):
        match((0.5, 0.4), Rules((15, 15), sets_to_win=3), Score(sets=(3, 0)))


@pytest.mark.parametrize("alternate", [True, False])
def test_equal_players_in_sets_are_even_but_for_the_start(alternate):
    rules = Rules((7, 7), equalizing=False, sets_to_win=2, sets_alternate=alternate)
    found = match((0.5, 0.5), rules)
    # At one set all, whoever starts the last one has the better of it.
    last = match((0.5, 0.5), rules, Score(sets=(1, 1)))
    assert 0.5 < found.starter <= last.starter + (0.1 if not alternate else 0)
    assert last.starter == pytest.approx(race((0.5, 0.5), rules).starter)


@given(st.tuples(RATES, RATES), st.tuples(RATES, RATES), st.integers(0, 3))
@settings(max_examples=8, deadline=None)
def test_a_round_of_extra_innings_is_what_runs_say(p, opening, ahead):
    """By adding up all pairs of runs."""
    k = np.arange(250)

    def run(rate, first):
        return np.where(k == 0, 1 - first, first * (1 - rate) * rate ** np.maximum(k - 1, 0))

    pairs = np.outer(run(p[0], opening[0]), run(p[1], opening[1]))
    found, finally_first = shoot_out(p, opening)
    assert found.starter == pytest.approx(np.tril(pairs, -1).sum())
    assert found.draw == pytest.approx(np.trace(pairs))
    assert finally_first == pytest.approx(found.starter / (found.starter + found.second))
    # The first made `ahead` points, and the second has one and is at it still.
    reply = (1 - p[1]) * p[1] ** k
    later, _ = shoot_out(p, opening, (ahead, 1), turn=1, begun=True)
    assert later.draw == pytest.approx(reply[k + 1 == ahead].sum())
    assert later.second == pytest.approx(reply[k + 1 > ahead].sum())
    assert decided(later, 0.3).draw == 0


def test_a_grid_holds_the_races_one_by_one():
    first, second, rules = [0.3, 0.5], [0.2, 0.4, 0.6], Rules((5, 9), innings_limit=12)
    grid = race_grid(first, second, rules)
    for row, p in enumerate(first):
        for column, other in enumerate(second):
            assert grid.starter[row, column] == pytest.approx(race((p, other), rules).starter, abs=1e-12)


def test_knowing_less_draws_a_chance_towards_even():
    rules = Rules((30, 30))
    few, many = (
        forecast(jeffreys_knowledge(6 * k, 10 * k), jeffreys_knowledge(5 * k, 11 * k), rules)
        for k in (10, 300)
    )
    assert 0.5 < few.mean < many.mean < many.plug_in
    assert few.interval.high - few.interval.low > 2 * (many.interval.high - many.interval.low)


def test_form_of_the_day_draws_a_chance_towards_even_and_narrows_no_range_to_nothing():
    known = Knowledge(600, 1000), Knowledge(500, 1100)
    moody = [Knowledge(one.a, one.b, 0.35) for one in known]
    steady, moving = forecast(*known, Rules((30, 30))), forecast(*moody, Rules((30, 30)))
    assert 0.5 < moving.mean < steady.mean
    assert moving.interval.low < moving.mean < moving.interval.high
    # The mean over days, by drawing them.
    days = np.random.default_rng(2).standard_normal((2, 80)) * 0.35
    rates = [1 / (1 + np.exp(-(np.log(one.a / one.b) + day))) for one, day in zip(known, days, strict=True)]
    drawn = [(race_grid(*pair, Rules((30, 30)))).even.mean() for pair in (rates, rates[::-1])]
    assert moving.mean == pytest.approx((drawn[0] + 1 - drawn[1]) / 2, abs=0.04)


def test_a_forecast_counts_from_the_player_named_first():
    first, second, rules = Knowledge(60, 100), Knowledge(50, 110), Rules((30, 25))
    here = forecast(first, second, rules, lag="second")
    there = forecast(second, first, rules.turned(), lag="first")
    assert here.chances.starter == pytest.approx(there.chances.second)
    with pytest.raises(ValueError, match="starter"):
        forecast(first, second, rules, score=Score((1, 0)))
    ahead = forecast(first, second, rules, lag="first", score=Score((20, 3), 0, 9))
    assert ahead.mean > here.mean


@pytest.mark.parametrize(("average", "other"), [(0.3, 0.4), (0.5, 1.0), (1.0, 1.2), (0.8, 2.0)])
def test_distances_in_proportion_are_nearly_fair(average, other):
    p = other / (1 + other), average / (1 + average)
    far = round(30 * other)
    fair = fairness.fair_distance(p, far)
    assert fair.distance == pytest.approx(far * average / other, abs=1.6)
    assert fair.one_more < fair.chance < fair.one_less
    assert 0.44 < fair.chance < 0.56


def test_chances_fall_with_the_own_distance():
    chances = fairness.by_distance((0.5, 0.4), 30, range(5, 40, 5))
    assert (np.diff(chances) < 0).all()
    assert chances[0] > 0.9


def test_every_rule_for_averages_is_told_with_its_working():
    found = fairness.under_rules(((100, 100), (50, 100)))
    assert {one.code for one in found} >= {"average-30", "average-30-plus-2", "average-30-at-least-25"}
    assert all(one.working[0] and one.working[1] for one in found)
    table = fairness.rule_chances(_rule(found[0].code), [(100, 100), (50, 100), (75, 100)])
    assert table + table.T == pytest.approx(np.ones((3, 3)))
    assert table[1, 0] == pytest.approx(found[0].chance)
    with pytest.raises(ValueError, match="0"):
        fairness.rate(0, 10)


def _rule(code):
    from scoring.rules.handicaps import METHODS

    return METHODS[code]


def test_the_opening_score_is_the_start_of_a_match():
    assert race((0.4, 0.5), Rules((9, 9)), START).starter == race((0.4, 0.5), Rules((9, 9)), Score()).starter
    assert (
        race((0.4, 0.5), Rules((9, 9)), START, (0.9, None)).starter > race((0.4, 0.5), Rules((9, 9))).starter
    )
