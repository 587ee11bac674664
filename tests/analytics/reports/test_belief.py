"""Whether promises deserve belief: kinds and lines apart, thresholds, and players drawn anew."""

from __future__ import annotations

import numpy as np
import pytest

from analytics.reports import belief as beliefs_of
from analytics.reports.belief import Promised, belief, beliefs, slope_of_players
from analytics.reports.played import SOURCES, TOLD
from analytics.reports.recalibrating import Shows, Verdict, recalibrate


def drawn(seed: int, strokes: int, shift: float = 0.0, slope: float = 1.0):
    """Return promises as they are in play, and outcomes whose log-odds are moved."""
    rng = np.random.default_rng(seed)
    p = rng.beta(4.0, 5.0, strokes)
    logits = shift + slope * (np.log(p) - np.log1p(-p))
    return p, rng.random(strokes) < 1.0 / (1.0 + np.exp(-logits))


def test_kinds_and_lines_are_never_pooled():
    p, made = drawn(1, 90)
    told = np.repeat([1, 2, 3], 30).astype(np.uint8)
    source = np.tile([1, 2], 45).astype(np.uint8)
    found = beliefs(Promised(p, made, told, source, np.zeros(90, dtype=np.int64)))
    assert [(one.kind, one.line) for one in found] == [
        (kind, line) for kind in TOLD[1:] for line in SOURCES[1:]
    ]
    assert [one.strokes for one in found] == [15] * 6
    assert sum(one.promise.points for one in found) == made.sum()


@pytest.mark.parametrize(
    ("strokes", "shown"), [(99, Shows.TOTALS), (100, Shows.IN_THE_LARGE), (399, Shows.IN_THE_LARGE)]
)
def test_fewer_strokes_show_less(strokes, shown):
    found = belief("blind", "declared", *drawn(2, strokes))
    assert found.shown is shown
    assert (found.large is None, found.scores is None) == (shown is Shows.TOTALS,) * 2
    assert found.both is None
    assert found.diagram is None
    assert sum(row.strokes for row in found.tenths.values()) == strokes


def test_from_400_strokes_on_all_is_shown_and_scores_add_up():
    found = belief("blind", "declared", *drawn(3, 400))
    assert found.diagram is not None
    assert found.both is not None
    for score in found.scores.values():
        assert score.score == pytest.approx(score.mcb - score.dsc + score.unc, abs=1e-12)
    assert 0.0 < found.chance["brier"].mean < found.chance["brier"].most
    assert (found.club, found.of_slope) == (None, None)


def test_promises_that_are_off_are_found():
    assert belief("blind", "declared", *drawn(4, 800, shift=-0.6)).found is Verdict.FEWER
    assert belief("blind", "declared", *drawn(5, 3000, slope=0.5)).found is Verdict.BOLD


def test_players_drawn_anew_answer_for_what_strays_by_player(monkeypatch):
    # Two in three players make more than promised, one in three fewer: strokes alone would be sure.
    monkeypatch.setattr(beliefs_of, "RULES", ("brier",))
    parts = [drawn(seed, 300, shift=0.8 if seed % 3 else -1.0) for seed in range(6)]
    p, made = np.concatenate([one[0] for one in parts]), np.concatenate([one[1] for one in parts])
    players = np.repeat(np.arange(6), 300)
    assert belief("blind", "declared", p, made).found is Verdict.MORE
    club = belief("blind", "declared", p, made, players)
    assert club.found is Verdict.AS_PROMISED
    assert club.players == 6
    assert club.club.of_shift.holds(0.0)
    assert club.of_slope.low < club.both.slope < club.of_slope.high


@pytest.mark.parametrize("players", [2, 8])
def test_few_players_drawn_anew_raise_no_more_alarms_than_chance(players, monkeypatch):
    # Promises that hold; drawn anew, two players alone would be called off in half of the runs.
    monkeypatch.setattr(beliefs_of, "RULES", ())
    alarms = 0
    for seed in range(30):
        p, made = drawn(100 + seed, 120)
        found = belief("blind", "declared", p, made, np.arange(120) % players)
        assert found.club.of_shift.low <= found.large.interval.low
        assert found.club.of_shift.high >= found.large.interval.high
        alarms += found.found is not Verdict.AS_PROMISED
    assert alarms <= 7  # at most one in ten is meant; 8 or more would come up once in 100


def test_a_calculator_too_bold_for_all_players_is_found_among_them():
    p, made = drawn(6, 3000, slope=0.5)
    assert belief("blind", "declared", p, made, np.arange(3000) % 12).found is Verdict.BOLD


def test_players_of_one_stroke_each_give_the_interval_of_strokes():
    # Two ways to one interval: drawing anew, and the curvature of the likelihood.
    p, made = drawn(7, 2000, slope=0.8)
    fitted = recalibrate(p, made)
    found = slope_of_players(p, made, np.arange(2000), draws=400)
    assert (found.low + found.high) / 2 == pytest.approx(fitted.slope, abs=0.02)
    widths = [one.high - one.low for one in (found, fitted.of_slope)]
    assert widths[0] == pytest.approx(widths[1], rel=0.15)


def test_other_lengths_are_refused():
    with pytest.raises(ValueError, match="player"):
        belief("blind", "declared", [0.5, 0.5], [1, 0], [1])
