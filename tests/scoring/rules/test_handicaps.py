"""Distances and points in small numbers: bounds, rounding, what is said of the working."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.handicaps import (
    METHODS,
    Method,
    distance_from_average,
    distance_from_distance,
    rounded,
    share_of_distance,
)
from scoring.rules.points import SCHEMES, Scheme, award, percentage_points, ranking_points
from tests.scoring.rules.spelling import refusal

PLUS_2 = METHODS["average-30-plus-2"]


def lines(told):
    return [str(line) for line in told.working]


def test_only_upwards():
    told = distance_from_average(PLUS_2, 50, 100, current=20, upwards_only=True)
    assert (told.distance, told.changes) == (20, False)
    assert lines(told)[-1] == "only upwards: 20 stays"
    assert distance_from_average(PLUS_2, 50, 100, current=20).distance == 17
    assert distance_from_average(PLUS_2, 50, 100, current=15, upwards_only=True).changes


def test_the_working_names_every_step():
    assert lines(distance_from_average(PLUS_2, 20, 100)) == [
        "20 points in 100 innings: an average of 0.200",
        "20/100 × 30 + 2 = 8",
        "at least 10",
    ]
    short = replace(PLUS_2, most=15)
    assert lines(distance_from_average(short, 50, 100))[-1] == "at most 15"
    assert lines(distance_from_distance(METHODS["one-cushion-from-straight-rail"], 47)) == [
        "a distance of 47 in the other discipline",
        "47 × 2/3 = 31.33",
        "rounded: 31",
    ]


def test_without_innings_what_holds_stays():
    told = distance_from_average(PLUS_2, 0, 0, current=22)
    assert (told.distance, told.changes, len(told.working)) == (22, False, 1)
    assert distance_from_average(PLUS_2, 0, 0).distance is None


def test_a_method_of_the_other_base_is_refused():
    with pytest.raises(ValueError, match="average-30-plus-2"):
        distance_from_distance(PLUS_2, 30)
    with pytest.raises(ValueError, match="one-cushion"):
        distance_from_average(METHODS["one-cushion-from-straight-rail"], 30, 30)
    with pytest.raises(ValueError, match="nearest"):
        rounded(Fraction(1), "nearest")


@given(st.fractions(0, 1000, max_denominator=60))
def test_roundings_enclose_the_value(value):
    down, up, half = (rounded(value, name) for name in ("down", "up", "half-up"))
    assert down <= value < down + 1
    assert up - 1 < value <= up
    assert half - Fraction(1, 2) <= value < half + Fraction(1, 2)


@given(st.sampled_from(["average-30", PLUS_2.code]), st.integers(0, 900), st.integers(1, 300))
def test_a_better_average_never_gets_a_shorter_distance(code, points, innings):
    method = METHODS[code]
    here = distance_from_average(method, points, innings).distance
    assert method.least <= here <= method.most
    assert distance_from_average(method, points + 1, innings).distance >= here
    assert distance_from_average(method, points, innings + 1).distance <= here


def test_a_share_of_the_distance():
    assert [share_of_distance(40, 80), share_of_distance(33, 50), share_of_distance(1, 10)] == [32, 17, 1]
    assert share_of_distance(33, 50, "down") == 16


PLAIN_METHOD = {"code": "own", "name": "Own", "factor": "1.5", "source": "a club"}


def test_a_method_of_a_club():
    assert Method.from_json(PLAIN_METHOD).factor == Fraction(3, 2)
    assert refusal(lambda: Method.from_json({"code": "own"})).field == "handicap.name"
    for part, value in (
        ("factor", "0"), ("factor", "1e9"), ("factor", "1/0"), ("factor", True), ("factor", 1.5), ("factor", "x"),
        ("least", 0), ("base", "luck"), ("rounding", "luck"), ("plus", -1), ("average_decimals", 7),
    ):  # fmt: skip
        refused = refusal(lambda part=part, value=value: Method.from_json(PLAIN_METHOD | {part: value}))
        assert refused.field == f"handicap.{part}"
    refused = refusal(lambda: Method.from_json(PLAIN_METHOD | {"least": 20, "most": 10}))
    assert refused.field == "handicap.least"


PLAIN_SCHEME = {"code": "own", "name": "Own", "source": "a club"}


def test_a_scheme_of_a_club():
    assert award(Scheme.from_json(PLAIN_SCHEME), "win", 40, 20, 40).points == 0
    assert refusal(lambda: Scheme.from_json({})).field == "points.code"
    for part, value, field in (
        ("win", "2", "win"), ("draw", 1000, "draw"), ("percentage", {"of": 10}, "percentage.decimals"),
        ("percentage", {"of": 0, "decimals": 0, "for": []}, "percentage.of"),
        ("percentage", {"of": 10, "decimals": 0, "for": "win"}, "percentage.for"),
        ("short", {"below": 25, "points": 1, "for": ["luck"]}, "short.for"), ("short", [], "short"),
    ):  # fmt: skip
        refused = refusal(lambda part=part, value=value: Scheme.from_json(PLAIN_SCHEME | {part: value}))
        assert refused.field == f"points.{field}"


def test_the_working_of_points():
    told = award(SCHEMES["own-average"], "loss", 33, 30, 38, Fraction(1))
    assert (told.points, lines(told)) == (
        9,
        ["lost: 0", "10 × 33 / 38: 8", "1.10 is above the own average 1.00: 1"],
    )
    told = award(SCHEMES["tenths-and-short"], "win", 40, 24, 40)
    assert lines(told) == ["won: 2", "10 × 40 / 40: 10", "24 innings, fewer than 25: 1"]
    minus = Scheme.from_json(PLAIN_SCHEME | {"loss": -1})
    assert lines(award(minus, "loss", 3, 9)) == ["lost: −1"]


def test_whether_an_own_average_is_beaten_may_be_compared_exactly():
    shown = SCHEMES["own-average"]
    exact = replace(shown, own_average=replace(shown.own_average, compare="exact"))
    assert [award(one, "win", 21, 24, 21, Fraction("0.87")).points for one in (shown, exact)] == [10, 12]


def test_parts_that_cannot_be_worked_out_bring_nothing():
    assert award(SCHEMES["own-average"], "loss", 9, 0, None, Fraction(1)).points == 0
    assert award(SCHEMES["tenths-and-short"], "win", 0, 0, 40).points == 2
    assert ranking_points(round_left="final") == ranking_points() == 0
    assert percentage_points(41, 40, 2) == 10
    with pytest.raises(ValueError, match="0"):
        percentage_points(1, 0, 2)
    with pytest.raises(ValueError, match="luck"):
        award(SCHEMES["plain"], "luck", 1, 1)
