"""Points schemes and percentages as associations publish them, and the points of a world ranking."""

from fractions import Fraction

import pytest

from scoring.rules.points import QUALIFYING, SCHEMES, award, percentage_points, ranking_points


@pytest.mark.parametrize(("made", "distance", "points"), [(33, 38, "8.68"), (47, 47, "10")])
def test_a_dutch_association_percentage_with_two_decimals(made, distance, points):
    assert percentage_points(made, distance, 2) == Fraction(points)
    assert award(SCHEMES["percentage"], "loss", made, 20, distance).points == Fraction(points)


def test_a_dutch_association_percentage_in_whole_points():
    """8.8 is 8."""
    assert percentage_points(44, 50, 1) == Fraction("8.8")
    assert percentage_points(44, 50, 0) == 8


@pytest.mark.parametrize(
    ("outcome", "made", "innings", "points"),
    [
        ("win", 40, 45, 12),  # 0.88 is above 0.87
        ("draw", 40, 45, 12),
        ("loss", 36, 40, 10),  # 0.90; 10 x 36 / 40 is 9
        ("win", 40, 46, 10),  # 0.86
        ("draw", 40, 46, 10),
        ("loss", 33, 40, 8),  # 8.25 is 8
    ],
)
def test_a_dutch_association_win_draw_and_loss_by_own_average(outcome, made, innings, points):
    """Own average beaten: 12, 12, P+1; not beaten: 10, 10, P. Whole points for P are from memory."""
    own = Fraction("0.87")
    assert award(SCHEMES["own-average"], outcome, made, innings, 40, own).points == points


def test_a_dutch_association_21_in_24_does_not_beat_a_fixed_0_87():
    told = award(SCHEMES["own-average"], "win", 21, 24, 21, Fraction("0.87"))
    assert told.points == 10
    assert str(told.working[-1]) == "0.87 is not above the own average 0.87"


def test_a_dutch_district_10_and_2_for_a_win():
    """Win 10 + 2, draw 10 (an excerpt was read)."""
    assert [award(SCHEMES["win-12"], outcome, 40, 30, 40).points for outcome in ("win", "draw")] == [12, 10]


def test_a_dutch_district_tenths_and_short_matches():
    """2 for the win, 1 for each tenth of the distance, 1 under 25 innings (an excerpt was read)."""
    scheme = SCHEMES["tenths-and-short"]
    assert award(scheme, "win", 40, 24, 40).points == 2 + 10 + 1
    assert award(scheme, "win", 40, 25, 40).points == 2 + 10


def test_world_ranking_points_of_an_encyclopaedia():
    places = {1: 80, 2: 54, 3: 36, 4: 36, 5: 26, 8: 26, 9: 18, 16: 18, 17: 10, 24: 10, 25: 8, 32: 8, 33: 0}
    assert {place: ranking_points(place) for place in places} == places
    assert [ranking_points(round_left=name) for name in QUALIFYING] == [5, 4, 3, 2]
