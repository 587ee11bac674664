"""Distances from averages, each rule named after the club or association that publishes it."""

from fractions import Fraction

import pytest

from scoring.rules.handicaps import METHODS, distance_from_average, distance_from_distance


def test_a_dutch_club_200_points_in_150_innings():
    """1.33 x 30 gives 40."""
    told = distance_from_average(METHODS["average-30"], 200, 150)
    assert told.distance == 40
    assert [str(line) for line in told.working] == [
        "200 points in 150 innings: an average of 1.33",
        "1.33 × 30 = 39.90",
        "rounded: 40",
    ]


@pytest.mark.parametrize(
    ("points", "innings", "distance"), [(200, 150, 40), (50, 100, 25), (5, 6, 25), (259, 300, 26)]
)
def test_a_dutch_club_average_times_30_at_least_25(points, innings, distance):
    """The rule is the club's; the sums but the first are worked by hand."""
    assert distance_from_average(METHODS["average-30-at-least-25"], points, innings).distance == distance


@pytest.mark.parametrize(
    ("points", "innings", "distance"), [(50, 100, 17), (20, 100, 10), (8, 30, 10), (1, 3, 12), (45, 60, 25)]
)
def test_a_dutch_club_average_times_30_plus_2_at_least_10(points, innings, distance):
    """Three-cushion. The rule is the club's; the sums are worked by hand (24.5 is rounded to 25)."""
    assert distance_from_average(METHODS["average-30-plus-2"], points, innings).distance == distance


def test_a_dutch_club_distances_in_other_disciplines():
    """One-cushion: two thirds of straight rail, rounded down; three-cushion: a third of that, 30 gives 10."""
    one, three = METHODS["one-cushion-from-straight-rail"], METHODS["three-cushion-from-one-cushion"]
    assert distance_from_distance(three, 30).distance == 10
    assert [distance_from_distance(one, distance).distance for distance in (45, 46, 47, 48)] == [
        30, 30, 31, 32,
    ]  # fmt: skip
    assert one.factor == Fraction(2, 3)
