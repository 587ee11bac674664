"""A match's story: every number can be read off the sheet, and every chance off the race."""

from fractions import Fraction

import pytest

from analytics.reports.forecasts import Knowledge
from analytics.reports.race_formats import match, shoot_out
from analytics.reports.races import Rules, Score, race
from analytics.reports.story import story
from analytics.reports.story_parts import Block, blocks_of
from scoring.rules.match.shown import innings_of
from tests.scoring.rules.match.desk import FIRST, Desk

NAMES = ("Anke", "Bo")
P = (0.5, 0.4)
#        1  2  3  4  5  6  7  8
ANKE = (0, 0, 3, 0, 0, 0, 0, 7)
BO = (1, 0, 0, 4, 0, 0, 0, 2)
RULES = Rules((10, 10))


def told(*args, **more):
    return story(*args, P, NAMES, **more)


def words(found):
    return [str(one) for one in found.sentences]


def test_leads_changes_and_spells_are_those_of_the_sheet():
    found = told([Block((ANKE, BO))], RULES)
    assert found.leads == (-1, -1, 2, -2, -2, -2, -2, 3)
    assert found.changes == 3
    first, second = found.furthest
    assert (first.ahead, first.place.inning) == (3, 8)
    assert (second.ahead, second.place.inning) == (2, 4)
    assert (found.dry[0].first.inning, found.dry[0].last.inning, found.dry[0].innings) == (4, 7, 4)
    assert (found.dry[1].first.inning, found.dry[1].innings) == (5, 3)
    assert len(found.steps) == 16


def test_chances_are_those_of_the_race_from_each_score():
    found = told([Block((ANKE, BO))], RULES)
    assert found.chances[0] == pytest.approx(race(P, RULES).even)
    assert found.chances[4] == pytest.approx(race(P, RULES, Score((3, 5), 0, 4)).even)
    assert found.steps[6].after == pytest.approx(race(P, RULES, Score((3, 1), 1, 3)).even)
    assert found.chances[-1] == 1
    assert len(found.chances) == len(found.leads) + 1
    assert [step.before for step in found.steps[1:]] == [step.after for step in found.steps[:-1]]
    assert (found.low, found.high) == (None, None)


def test_it_turned_where_the_chance_moved_most():
    found = told([Block((ANKE, BO))], RULES)
    assert (found.turn.place.inning, found.turn.player, found.turn.run) == (8, 0, 7)
    assert words(found)[0] == "The lead changed hands 3 times."
    assert words(found)[1] == "Anke was furthest ahead after inning 8, by 3 points."
    assert words(found)[-1].startswith("It turned most in inning 8: a run of 7 took the chance of Anke from ")


def test_the_other_player_may_have_started():
    found = told([Block((ANKE, BO[:7]), starter=1)], RULES)
    turned = Rules((10, 10))
    assert found.chances[0] == pytest.approx(1 - race(P[::-1], turned).even)
    assert found.steps[0].player == 1
    assert found.chances[2] == pytest.approx(1 - race(P[::-1], turned, Score((1, 0), 0, 2)).even)


def test_unlike_distances_are_compared_by_their_shares():
    found = told([Block(((3, 0), (2, 0)))], Rules((30, 10)))
    assert found.leads == (1, 1)
    assert found.furthest[0] is None
    assert found.furthest[1].ahead == Fraction(1, 10)
    assert "by 10 % of the distance" in words(found)[1]
    assert words(found)[0] == "By shares of the own distance, Bo was never behind after an inning of both."


def test_sets_are_followed_to_the_end_of_the_match():
    rules = Rules((3, 3), sets_to_win=2)
    blocks = [
        Block(((0, 3), (1, 0)), starter=0),
        Block(((0, 1), (2, 1)), starter=1),
        Block(((3,), (1,)), starter=0),
    ]
    found = told(blocks, rules)
    assert found.chances[0] == pytest.approx(match(P, rules).starter)
    assert found.chances[2] == pytest.approx(
        match(P[::-1], rules.turned(), Score(opening=True, sets=(0, 1))).second
    )
    assert found.chances[4] == pytest.approx(match(P, rules, Score(opening=True, sets=(1, 1))).starter)
    assert found.chances[-1] == 1
    assert found.turn.place.set in (2, 3)
    assert any("of set" in sentence for sentence in words(found))


def test_a_set_that_goes_to_nobody_is_followed_by_another():
    rules = Rules((3, 3), sets_to_win=1)
    found = told([Block(((3,), (3,))), Block(((3,), (1,)), starter=1)], rules)
    assert found.chances[1] == pytest.approx(match(P[::-1], rules.turned()).second)
    assert 0 < found.chances[1] < 1


def test_extra_innings_decide_a_draw():
    found = told([Block(((4, 6), (4, 6))), Block(((1, 0), (1, 2)), starter=1, extra=True)], RULES)
    assert found.chances[2] == 0.5
    assert found.chances[3] == pytest.approx(1 - shoot_out(P[::-1])[1])
    assert found.chances[4] == 0
    assert str(found.steps[-1].place.said) == "extra inning 2"
    # What made it a draw had moved the chance more.
    assert found.turn.run == 6


def test_a_story_is_read_off_the_match_itself():
    desk = Desk(distance=[3, 3], sets_to_win=2, equalizing=True).open()
    desk.innings(0, 1, 3, 2)
    for kind in ("point", "miss"):
        desk.write(kind)
    desk.innings(1, 3, 0)
    blocks = blocks_of(innings_of(desk.rows))
    assert blocks == [
        Block(([0, 3], [1]), starter=0),
        Block(([1], [2, 1]), starter=1),
        Block(([3], [0]), starter=0),
    ]
    assert told(blocks, Rules((3, 3), sets_to_win=2)).chances[-1] == 1
    assert desk.seen["winner"] == FIRST


def test_extra_innings_are_a_block_of_their_own():
    desk = Desk(distance=[2, 2], equalizing=True).open().innings(2, 2)
    desk.write("extra")
    desk.innings(1, 1, 0, 2)
    blocks = blocks_of(innings_of(desk.rows))
    assert blocks == [Block(([2], [2])), Block(([1, 0], [1, 2]), extra=True)]
    assert told(blocks, Rules((2, 2))).chances[-1] == 0


def test_what_is_not_known_widens_the_range_and_draws_towards_even():
    known = Knowledge(25, 25), Knowledge(16, 24)
    blocks = [Block((ANKE, BO))]
    sure, unsure = told(blocks, RULES), story(blocks, RULES, known, NAMES)
    assert all(
        low <= mean <= high for low, mean, high in zip(unsure.low, unsure.chances, unsure.high, strict=True)
    )
    assert 0.5 < unsure.chances[0] < sure.chances[0]
    assert unsure.low[0] < sure.chances[0] < unsure.high[0]
    assert unsure.chances[-1] == pytest.approx(1)
    # A rate taken at its word may stand beside one that is not.
    mixed = story(blocks, RULES, (0.5, known[1]), NAMES)
    assert mixed.high[0] - mixed.low[0] < unsure.high[0] - unsure.low[0]


def test_long_dry_spells_are_told_and_short_ones_are_not():
    runs = ((0, 0, 0, 0, 0, 0, 1), (1, 0, 0, 1, 0, 0, 0))
    said = [sentence for sentence in words(told([Block(runs)], RULES)) if "no point" in sentence]
    assert said == ["Anke made no point in 6 innings running, up to inning 6."]


def test_a_match_in_which_nothing_happened():
    found = told([Block(((0,), (0,)))], RULES)
    assert words(found) == ["Nobody was ever ahead after an inning of both."]
    assert found.furthest == (None, None)
    with pytest.raises(ValueError, match="no story"):
        told([Block(((), ()))], RULES)


def test_a_chance_that_is_not_certain_is_never_told_as_certain():
    found = told([Block(((29,), (0, 0)))], Rules((30, 30)))
    assert "more than 99 in 100" in words(found)[-1]
