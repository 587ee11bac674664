"""Round robins and groups against the published tables and orders."""

import json
from pathlib import Path

import pytest

from scoring.rules.groups import DRAWN, After, GroupMatch, group_matches
from scoring.rules.pairings import berger, match_count, round_robin

BERGER = json.loads(Path(__file__).with_name("data").joinpath("berger.json").read_text("utf-8"))


@pytest.mark.parametrize("count", sorted(BERGER["tables"], key=int))
def test_fide_handbook_c_05_annex_1(count):
    """The first named starts, as printed."""
    printed = [
        [tuple(int(number) for number in pair.split("-")) for pair in one] for one in BERGER["tables"][count]
    ]
    assert berger(int(count)) == printed


@pytest.mark.parametrize(("players", "matches"), [(7, 21), (10, 45), (23, 253)])
def test_garno_modern_billiards_number_of_matches(players, matches):
    """Garno, *Modern Billiards*: n(n-1)/2."""
    assert match_count(players) == matches
    assert sum(len(one.pairs) for one in round_robin(range(players))) == matches


def test_umb_notice_of_17_dec_2019_groups_of_three():
    """2-3, then 1 against the winner, then 1 against the loser. Who starts: balanced, common practice."""
    assert group_matches("123") == [
        GroupMatch(1, "2", "3"),
        GroupMatch(2, "1", After(0, winner=True)),
        GroupMatch(3, "1", After(0, winner=False)),
    ]
    for winner, second, third in (("2", {"1", "2"}, {"1", "3"}), ("3", {"1", "3"}, {"1", "2"})):
        pairs = [{one.first, one.second} for one in group_matches("123", [winner])]
        assert pairs == [{"2", "3"}, second, third]


def test_a_drawn_first_match_of_three_goes_on_by_berger():
    """Common practice, no source: the texts are silent."""
    pairs = [(one.first, one.second) for one in group_matches("123", [DRAWN])]
    assert pairs == [("2", "3"), ("1", "2"), ("3", "1")]
    assert pairs == [pair for one in round_robin("123") for pair in one.pairs]
