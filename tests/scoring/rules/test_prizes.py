"""Who holds a prize."""

from dataclasses import replace
from fractions import Fraction

import pytest

from scoring.rules.prizes import Performance, prize

ADA = Performance("Ada", 1, 40, 20, 6, won=True, reached=True)
BO = Performance("Bo", 1, 31, 20, 9)
CY = Performance("Cy", 2, 30, 15, 6, won=True, reached=True)


def test_best_average_of_equal_ones_is_the_longer_match():
    told = prize("best-average", [CY, ADA, BO])
    assert (told.holders, told.value, str(told.working)) == ((ADA,), Fraction(2), "40 points in 20 innings")
    assert prize("best-average", [CY, ADA, BO], least_innings=21).holders == ()
    given_up = replace(ADA, finished=False)
    assert prize("best-average", [CY, given_up]).holders == (CY,)


def test_high_run_is_shared():
    equal = replace(ADA, high_run=9, finished=False)
    told = prize("high-run", [CY, equal, BO])
    assert (told.holders, told.value, str(told.working)) == ((equal, BO), 9, "a run of 9")


def test_shortest_match_is_won_at_the_distance():
    quick = Performance("Dee", 3, 20, 10, 4, won=True)
    told = prize("shortest-match", [ADA, BO, CY, quick])
    assert (told.holders, told.value) == ((CY,), 15)
    assert str(told.working) == "30 points in only 15 innings"
    longer = replace(CY, key="Ed", points=35)
    assert prize("shortest-match", [CY, longer]).holders == (longer,)


def test_nobody_yet():
    told = prize("high-run", [])
    assert (told.holders, told.value, str(told.working)) == ((), None, "Nobody yet.")
    with pytest.raises(ValueError, match="beauty"):
        prize("beauty", [])
