"""Strength through time: weights, form, and what goes on into a race."""

from math import inf

import numpy as np
import pytest

from analytics.reports import strength
from analytics.reports.forecasts import forecast
from analytics.reports.races import Rules


def season(rng, matches, form_sd, misses=25, middle=-0.3):
    a = np.exp(middle + form_sd * rng.standard_normal(matches))
    return [(int(rng.negative_binomial(misses, 1 / (1 + one))), misses) for one in a]


def test_older_matches_weigh_less():
    assert list(strength.weights([0, 180, 360])) == pytest.approx([1, 0.5, 0.25])
    assert list(strength.weights([0, 10_000], inf)) == [1, 1]
    lately = strength.form_weighted([(30, 20, 0), (10, 20, 400)])
    once = strength.form_weighted([(30, 20, 400), (10, 20, 0)])
    assert lately.average > 1 > once.average
    with pytest.raises(ValueError, match="0"):
        strength.weights([1], 0)


def test_without_a_match_the_club_is_all_that_is_known():
    prior = strength.club_prior(3_000, 5_000)
    found = strength.form_weighted([], prior=prior, club_form=0.3)
    assert found.average == pytest.approx(0.6, rel=1e-3)
    assert sum(prior) == pytest.approx(strength.CLUB_STROKES)
    assert found.form_sd == 0.3
    with pytest.raises(ValueError, match="0"):
        strength.form_weighted([(1, 2, 3)], prior=(0, 1))


@pytest.mark.parametrize("truth", [0.0, 0.3, 0.5])
def test_the_form_of_many_players_is_found(truth):
    rng = np.random.default_rng(11)
    found = strength.pooled_form([season(rng, 40, truth) for _ in range(25)])
    assert found == pytest.approx(truth, abs=0.08 if truth else 0.12)


def test_form_needs_six_matches_and_leans_on_the_club():
    assert strength.form([(10, 20)] * 5) is None
    assert strength.pooled_form([[(10, 20)] * 5]) is None
    still = strength.form([(10, 20)] * 6)
    assert still.variance < 0
    assert strength.shrunk_form(still, None) == 0
    assert 0 < strength.shrunk_form(still, 0.3) < 0.3
    assert strength.shrunk_form(None, 0.3) == 0.3
    assert strength.shrunk_form(None, None) == 0


def test_form_widens_what_a_race_makes_of_a_rating():
    moving = strength.form_weighted([(5, 25, 0), (35, 25, 0)] * 6)
    steady = strength.form_weighted([(20, 25, 0)] * 12)
    assert moving.average == steady.average
    assert moving.phi > 3 > 1 > steady.phi
    known = moving.knowledge
    assert known.a + known.b < (moving.a + moving.b) / 3
    assert known.p == pytest.approx(steady.knowledge.p)
    other = strength.form_weighted([(14, 25, 0)] * 12).knowledge
    sure, unsure = (forecast(one.knowledge, other, Rules((25, 25))) for one in (steady, moving))
    assert unsure.mean < sure.mean
    assert unsure.plug_in == pytest.approx(sure.plug_in)


def test_a_short_memory_is_chosen_where_players_change_and_the_usual_one_where_they_do_not():
    rng = np.random.default_rng(5)

    def played(change):
        players = []
        for _ in range(20):
            middle, matches = -0.3, []
            for week in range(40):
                middle += change * rng.standard_normal()
                ((made, missed),) = season(rng, 1, 0.0, middle=middle)
                matches.append((made, missed, 7 * week))
            players.append(matches)
        return strength.choose_half_life(players, (12, 20))

    changing, constant = played(0.25), played(0.0)
    assert changing.days < strength.HALF_LIFE <= constant.days
    assert changing.matches == 20 * 39
    assert dict(constant.scores)[inf] > dict(constant.scores)[45.0]
    assert strength.choose_half_life([], (12, 20)).days == strength.HALF_LIFE
