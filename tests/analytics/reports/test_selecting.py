"""Players whose truth is known describe strokes afterwards: points readily, misses seldom."""

from __future__ import annotations

import numpy as np
import pytest

from analytics.reports.played import COUNTS, LAID, POINT, SOURCES, TOLD, Played
from analytics.reports.promises import promise
from analytics.reports.spread_learning import NODES
from analytics.reports.spreads import fit
from analytics.reports.trying import read_trying

from .simulated import drawn

HINDSIGHT, BLIND, BEST = TOLD.index("hindsight"), TOLD.index("blind"), SOURCES.index("best")
P = 0.4


def described(played: Played, kinds) -> Played:
    """Return the same strokes, each told at the time that `kinds` says, with its true chance."""
    strokes = played.strokes.copy()
    strokes["told"] = kinds
    strokes["source"] = np.where(kinds > 0, BEST, 0)
    strokes["promised"] = np.where(kinds > 0, P, np.nan)
    strokes["bits"] = COUNTS | np.where(kinds > 0, LAID, 0)
    return Played(played.matches, strokes, played.of)


def a_player(seed=5):
    played = drawn(seed, matches=20, strokes=20, p=P)
    return played, played.strokes["kind"] == POINT


def test_points_described_afterwards_are_in_no_comparison():
    played, made = a_player()
    found = read_trying(described(played, np.where(made, HINDSIGHT, 0)))
    assert found.promised == {}
    assert found.aside.chosen == int(made.sum())
    # What they would have said: every one a point.
    biased = promise(np.full(made.sum(), P), made[made])
    assert biased.p_high < 1e-9


def test_a_match_described_to_its_end_is_compared_beside_one_that_is_not():
    played, made = a_player()
    whole = played.of % 2 == 0
    found = read_trying(described(played, np.where(whole | made, HINDSIGHT, 0)))
    ((kind, told),) = found.promised.items()
    assert kind == ("hindsight", "best")
    assert (told.strokes, told.points) == (int(whole.sum()), int(made[whole].sum()))
    assert told.p_two > 0.05
    assert found.aside.chosen == int((made & ~whole).sum())


def test_what_was_told_in_time_stays_where_points_are_described_afterwards():
    played, made = a_player()
    before = np.arange(made.size) % 3 == 0
    found = read_trying(described(played, np.where(before, BLIND, np.where(made, HINDSIGHT, 0))))
    assert list(found.promised) == [("blind", "best")]
    assert found.promised["blind", "best"].strokes == int(before.sum())
    assert found.aside.chosen == int((made & ~before).sum())


def test_two_models_are_never_pooled():
    played, made = a_player()
    told = described(played, np.full(made.size, BLIND))
    old = played.of < 12
    told.strokes["model"] = np.where(old, 1, 2)
    told.strokes["promised"] = np.where(old, 0.9, P)
    found = read_trying(told)
    assert found.promised["blind", "best"].expected == pytest.approx(P * (~old).sum())
    assert (found.aside.older, found.aside.chosen) == (int(old.sum()), 0)


@pytest.mark.parametrize("seed", range(3))
def test_pooling_such_points_would_have_made_the_hand_look_steadier(seed):
    """The true spread lies in the interval of what is compared; with the points described alone it does not."""
    rng = np.random.default_rng(seed)
    ease = rng.normal(-0.5, 1.0, 600)
    success = 1.0 / (1.0 + np.exp(-(ease[:, None] - 1.5 * np.log(NODES))))
    made = rng.random(600) < 1.0 / (1.0 + np.exp(-ease))
    in_time = np.arange(600) < 300
    fair = fit(success[in_time], made[in_time]).interval
    pooled = in_time | made
    biased = fit(success[pooled], made[pooled]).interval
    assert fair.low < 1.0 < fair.high
    assert biased.high < 1.0
