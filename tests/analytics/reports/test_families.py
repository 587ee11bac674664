"""Families: what is counted, what is withheld, and what may be said."""

from time import process_time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analytics.reports import families, offsets, shrinking, wording
from analytics.reports.wording import Shown

NAMES = ("natural", "reverse", "double")
UNKNOWN = 255
STROKES = st.lists(st.tuples(st.sampled_from([0, 1, 2, UNKNOWN]), st.booleans()), min_size=1, max_size=60)


def strokes(*groups):
    """(family, points, attempts, promised) each, as arrays."""
    family = np.concatenate([np.full(n, place) for place, _, n, _ in groups])
    made = np.concatenate([np.arange(n) < points for _, points, n, _ in groups])
    promised = np.concatenate([np.full(n, p) for _, _, n, p in groups])
    return family, made, promised


@settings(max_examples=25)
@given(STROKES)
def test_every_stroke_is_counted_once(played):
    family, made = zip(*played, strict=True)
    found = families.table(NAMES, family, made)
    assert sum(row.attempts for row in found.rows) + found.unrecorded.strokes == len(played)
    assert sum(row.points for row in found.rows) + found.unrecorded.points == sum(made)
    assert sum(row.share for row in found.rows) == pytest.approx(1.0 if found.rows else 0.0)
    assert [row.attempts for row in found.rows] == sorted((r.attempts for r in found.rows), reverse=True)


def test_what_may_be_shown_grows_with_attempts():
    found = families.table(NAMES, *strokes((0, 70, 120, 0.4), (1, 12, 30, 0.4), (2, 4, 10, 0.4)))
    many, some, few = found.rows
    assert (many.shown, some.shown, few.shown) == (Shown.WORDS, Shown.ESTIMATE, Shown.COUNTS)
    assert str(many.words) == "more than promised"
    assert "too early to tell: about 600 strokes" in str(some.words)
    assert few.words is None
    assert many.wilson.holds(many.raw)
    assert many.promised.gained == pytest.approx(22)
    assert 0 < many.drawn.mean < many.offset.mode
    assert (some.adjusted, few.adjusted) == (None, None)


def test_fewer_points_than_promised_are_called_so_and_nothing_is_at_the_promise():
    found = families.table(NAMES, *strokes((0, 60, 200, 0.5), (1, 80, 160, 0.5)))
    assert [str(row.words)[:10] for row in found.rows] == ["fewer than", "too early "]


def test_uneven_records_withhold_every_rate():
    """90 of 100 points are noted, 60 of 100 misses: the plain rate would be .6."""
    family = np.repeat([0, UNKNOWN, 0, UNKNOWN], [90, 10, 60, 40])
    made = np.arange(200) < 100
    found = families.table(NAMES, family, made, np.full(200, 0.4))
    (row,) = found.rows
    assert found.withheld
    assert (row.attempts, row.points, row.shown) == (150, 90, Shown.COUNTS)
    assert (row.raw, row.wilson, row.shrunken, row.promised, row.drawn) == (None,) * 5
    assert (found.unrecorded.of_points, found.unrecorded.of_misses) == (0.9, 0.6)
    assert "90 of 100 points and for 60 of 100 misses" in str(found.words)


def test_records_that_differ_by_ten_points_are_even_enough():
    family = np.repeat([0, UNKNOWN, 0, UNKNOWN], [90, 10, 80, 20])
    assert not families.table(NAMES, family, np.arange(200) < 100).withheld


def test_promises_of_points_alone_make_no_family_better():
    family, made, promised = strokes((0, 110, 200, 0.4))
    promised[110:170] = np.nan
    found = families.table(NAMES, family, made, promised)
    assert found.one_sided
    assert not found.withheld
    assert found.rows[0].shown is Shown.ESTIMATE
    assert "100 of 100 points and 33 of 100 misses" in str(found.words)


def test_a_family_without_points_has_a_posterior_and_a_share_in_the_others():
    found = families.table(NAMES, *strokes((0, 0, 25, 0.3), (1, 40, 100, 0.4)))
    without = found.rows[1]
    assert without.offset.mode is None
    assert without.offset.interval.high < 0
    assert without.offset.mean < without.drawn.mean < 0
    assert without.shrunken.rate > 0


def test_a_table_without_families_or_promises_has_nothing_to_draw_together():
    alone = families.table(NAMES, [UNKNOWN, UNKNOWN], [0, 1])
    assert (alone.rows, alone.tau, alone.unrecorded.strokes) == ((), None, 2)
    bare = families.table(NAMES, [0, 0], [0, 1])
    assert (bare.rows[0].promised, bare.rows[0].drawn, bare.tau) == (None, None, None)
    with pytest.raises(ValueError, match="nan"):
        families.table(NAMES, [0, 0], [0, 1], [0.5])


def test_a_club_draws_a_family_of_few_attempts_to_its_own():
    points = np.array([[30, 12, 4]] * 8)
    club = shrinking.club(points, np.full((8, 3), 60))
    assert club.rates == pytest.approx((0.5, 0.2, 4 / 60))
    family, made, _ = strokes((0, 30, 60, 0.5), (1, 3, 5, 0.5))
    beside = families.table(NAMES, family, made, club=club).rows[1].shrunken
    alone = families.table(NAMES, family, made).rows[1].shrunken
    assert beside.rate < alone.rate < 0.6
    assert beside.weight > shrinking.GUESSED  # players of this club are all alike
    assert shrinking.club(points[:4], np.full((4, 3), 60)).weights == (shrinking.A_GUESS,) * 3
    empty = shrinking.club(np.zeros((0, 3)), np.zeros((0, 3)))
    assert empty.rates == (0.5,) * 3


@settings(max_examples=25)
@given(st.integers(0, 40), st.integers(1, 40), st.floats(0.05, 0.95))
def test_a_shrunken_rate_lies_between_the_raw_one_and_its_prior(points, misses, prior):
    found = shrinking.shrunk(points, points + misses, prior, shrinking.fit([3, 9], [10, 20]).weight)
    low, high = sorted((points / (points + misses), prior))
    assert low - 1e-9 <= found.rate <= high + 1e-9
    assert found.interval.holds(found.rate)


@settings(max_examples=25)
@given(st.lists(st.tuples(st.floats(0.05, 0.95), st.booleans()), min_size=1, max_size=80))
def test_an_offset_turns_its_sign_with_the_outcomes(played):
    promised, made = (np.array(part) for part in zip(*played, strict=True))
    there, back = offsets.offset(promised, made), offsets.offset(1 - promised, ~made)
    assert there.mean == pytest.approx(-back.mean, abs=1e-6)
    assert there.positive == pytest.approx(1 - back.positive, abs=1e-6)
    assert there.gained.low <= there.gained.high
    if there.mode is not None:
        odds = promised / (1 - promised) * np.exp(there.mode)
        assert (odds / (1 + odds)).sum() == pytest.approx(made.sum())


@settings(max_examples=25)
@given(st.lists(st.floats(0, 1), min_size=1, max_size=15))
def test_adjusting_raises_p_values_and_keeps_their_order(p_values):
    found = offsets.adjusted(p_values)
    assert (found >= np.array(p_values)).all()
    assert (np.diff(found[np.argsort(p_values)]) >= 0).all()


@pytest.mark.parametrize(
    ("probability", "word"),
    [(0.79, None), (0.8, "likely"), (0.95, "likely"), (0.96, "very likely"), (0.1, None)],
)
def test_words_of_chance_begin_at_eighty_in_a_hundred(probability, word):
    said = wording.how_likely(probability)
    assert (said and str(said)) == word


def test_words_need_a_hundred_attempts_and_a_clear_interval():
    assert wording.shown(19, clear=True) is Shown.COUNTS
    assert wording.shown(99, clear=True) is Shown.ESTIMATE
    assert wording.shown(5_000) is Shown.ESTIMATE
    assert wording.shown(100, clear=True) is Shown.WORDS


def test_twelve_families_raise_few_false_alarms():
    """Promises that are true: a table of twelve families is called wrong one time in ten, not seven."""
    rng = np.random.default_rng(6)
    names = tuple(map(str, range(12)))
    family = np.repeat(np.arange(12), 120)
    alarms = 0
    for _ in range(8):
        promised = rng.uniform(0.1, 0.8, family.size)
        found = families.table(names, family, rng.random(family.size) < promised, promised)
        alarms += any(row.shown is Shown.WORDS for row in found.rows)
    assert alarms <= 2


def test_a_hundred_thousand_strokes_have_their_table_at_once():
    rng = np.random.default_rng(7)
    promised = rng.uniform(0.1, 0.8, 100_000)
    family = rng.integers(0, 13, promised.size)
    made = rng.random(promised.size) < promised
    since = process_time()
    found = families.table(tuple(map(str, range(12))), family, made, promised)
    assert process_time() - since < 1.5  # a fifth of this
    assert len(found.rows) == 12
    assert found.unrecorded.strokes == (family == 12).sum()
