"""Races against exact fractions, SciPy's negative binomial law, and matches played by the rules."""

from dataclasses import replace
from fractions import Fraction
from functools import cache

import numpy as np
import pytest
from scipy import stats

from analytics.reports import fairness
from analytics.reports.forecasts import forecast, jeffreys_knowledge
from analytics.reports.race_formats import match, shoot_out
from analytics.reports.race_programme import play_out
from analytics.reports.races import START, Rules, Score, race
from scoring.rules.handicaps import METHODS
from scoring.rules.match.entry import read_entry
from scoring.rules.match.play import append
from scoring.rules.match.state import start
from tests.published.statistics import CHECKS, near
from tests.scoring.rules.match.desk import FIRST, SECOND, setup_of

NINE = 1e-9


def rates(case):
    return tuple(float(Fraction(p)) for p in case["p"])


def named(case):
    return "-".join([*case["p"], *map(str, case.get("distance", []))]).replace("/", ":")


def told(chances):
    return [chances.starter, chances.draw, chances.second]


def agree(p, rules, score=START, opening=(None, None)):
    """Closed form and programme, to nine decimals; return the closed form."""
    closed, played = race(p, rules, score, opening), play_out(p, rules, score, opening)
    assert told(closed) == pytest.approx(told(played.chances), abs=NINE)
    assert closed.reached == pytest.approx(played.chances.reached, abs=NINE)
    assert sum(told(closed)) == pytest.approx(1, abs=NINE)
    assert played.lengths.sum() == pytest.approx(1, abs=NINE)
    return closed


@pytest.mark.parametrize("case", CHECKS["race"], ids=named)
def test_race_computed_by_two_algorithms(case):
    p, rules = rates(case), Rules(tuple(case["distance"]))
    equalized, plain = agree(p, rules), agree(p, replace(rules, equalizing=False))
    assert told(equalized) == near([case["equalizing"][name] for name in ("starter", "draw", "second")])
    assert [plain.starter, plain.second] == near(list(case["no_equalizing"].values()))
    assert plain.draw == 0
    for given, expected in zip(
        (rules, replace(rules, equalizing=False)), case["lag_5050"].values(), strict=True
    ):
        even = (race(p, given).even + 1 - race(p[::-1], given.turned()).even) / 2
        assert even == near(expected)
    # The same from SciPy's own law.
    misses = np.arange(600)
    first, second = (stats.nbinom(far, one) for far, one in zip(case["distance"], p, strict=True))
    assert equalized.starter == near((first.pmf(misses) * second.sf(misses)).sum())
    assert equalized.draw == near((first.pmf(misses) * second.pmf(misses)).sum())


@pytest.mark.parametrize("case", CHECKS["race_exact"], ids=named)
def test_race_exact_computed_with_fractions(case):
    found = told(race(rates(case), Rules(tuple(case["distance"]))))
    expected = [float(Fraction(case[name])) for name in ("starter", "draw", "second")]
    assert found == pytest.approx(expected, abs=1e-14)


@pytest.mark.parametrize("case", CHECKS["race_from_score"], ids=lambda c: c["at_table"])
def test_race_from_score_computed_by_two_algorithms(case):
    needs, turn = case["need"], int(case["at_table"] == "second")
    rules = Rules((30, 30))
    score = Score((30 - needs[0], 30 - needs[1]), turn, rounds=20)
    assert told(agree(rates(case), rules, score)) == near([case[n] for n in ("starter", "draw", "second")])


def test_race_opening_stroke_computed():
    case = CHECKS["race_opening_stroke"]
    found = agree(rates(case), Rules(tuple(case["distance"])), opening=(None, case["second_opening_stroke"]))
    assert told(found) == near([case[name] for name in ("starter", "draw", "second")])
    plain = race(rates(case), Rules(tuple(case["distance"])))
    assert found.draw == pytest.approx(plain.draw * case["second_opening_stroke"] / rates(case)[1])


@pytest.mark.parametrize("case", CHECKS["race_innings_limit"], ids=named)
def test_race_innings_limit_computed_by_two_algorithms(case):
    found = agree(rates(case), Rules(tuple(case["distance"]), innings_limit=case["innings_limit"]))
    assert told(found) == near([case[name] for name in ("starter", "draw", "second")])
    assert found.reached == near(case["reached_within_limit"])


@pytest.mark.parametrize("case", CHECKS["shoot_out"], ids=named)
def test_shoot_out_computed_with_fractions(case):
    one, finally_first = shoot_out(rates(case))
    expected = [case[name] for name in ("first_wins_one_round", "tie_one_round", "first_wins_finally")]
    assert [one.starter, one.draw, finally_first] == pytest.approx([float(Fraction(x)) for x in expected])


@pytest.mark.parametrize("case", CHECKS["race_uncertain"], ids=lambda c: str(c["points"]))
def test_race_uncertain_computed_with_quantile_midpoints(case):
    known = [jeffreys_knowledge(*counts) for counts in zip(case["points"], case["misses"], strict=True)]
    found = forecast(*known, Rules(tuple(case["distance"])))
    assert found.plug_in == near(case["plug_in"])
    assert found.mean == pytest.approx(case["mean"], abs=case["tolerance"])
    ends = [found.interval.low, found.interval.high]
    assert ends == pytest.approx(case["interval90"], abs=case["tolerance"])


@pytest.mark.parametrize("case", CHECKS["fair_distance"], ids=named)
def test_fair_distance_computed(case):
    found = fairness.fair_distance(rates(case), case["distance_first"])
    assert found.distance == case["fair_distance_second"]
    expected = [case[name] for name in ("second_wins", "one_more", "one_less")]
    assert [found.chance, found.one_more, found.one_less] == near(expected)


@pytest.mark.parametrize(
    ("rule", "stronger", "weaker", "expected"),
    [
        ("average-30", (200, 100), (30, 100), 0.526),
        ("average-30-plus-2", (100, 100), (50, 100), 0.447),
        ("average-30-plus-2", (150, 100), (30, 100), 0.374),
        ("average-30-at-least-25", (100, 100), (50, 100), 0.078),
        ("average-30-at-least-25", (100, 100), (30, 100), 0.002),
    ],
)
def test_chance_of_the_weaker_under_clubs_rules_computed(rule, stronger, weaker, expected):
    """Computed with the closed form and a play-out, no published source; three decimals."""
    (found,) = fairness.under_rules((stronger, weaker), methods=[METHODS[rule]])
    assert found.chance == pytest.approx(expected, abs=6e-4)


def by_the_rules(p, q, given, starter=FIRST, entries=()):
    """The chances of the first entrant by following every stroke of the match's own fold.

    A set that goes to nobody ends it as a draw.
    """
    setup = setup_of(**given)
    p, q = dict(zip((FIRST, SECOND), p, strict=True)), dict(zip((FIRST, SECOND), q, strict=True))
    points = {}

    def written(state, **fields):
        entry = replace(read_entry(fields), seq=state["seq"] + 1, uuid="0" * 32)
        return append(setup, state, entry)[0]

    @cache
    def follow(key):
        state = points.pop(key)
        if state["set"] > 1:
            return np.array([0, 1, 0])
        if state["over"]:
            return np.array([state["winner"] == FIRST, state["winner"] is None, state["winner"] == SECOND])
        player = state["players"][state["turn"]]
        chance = (q if state["opening"] else p)[player]
        return chance * turn(written(state, kind="point", by=state["turn"])) + (1 - chance) * turn(
            written(state, kind="miss", by=state["turn"])
        )

    def turn(state):
        names = (
            "score",
            "innings",
            "set_innings",
            "sets",
            "turn",
            "over",
            "winner",
            "opening",
            "set_starter",
            "equalizing",
        )
        key = repr([state[name] for name in names])
        points[key] = state
        return follow(key)

    opened = written(start(setup), kind="open", starter=starter, decided_by="lag")
    for kind in entries:
        opened = written(opened, kind=kind, by=opened["turn"])
    return turn(opened)


@pytest.mark.parametrize(
    "given",
    [
        {"distance": [3, 2], "innings_limit": 3},
        {"distance": [2, 3], "innings_limit": 4, "equalizing": False},
        {"distance": [3, 3], "innings_limit": 2, "equalizing_from": "as-they-lie"},
        {"distance": [2, 2], "innings_limit": 1, "equalizing": False},
        {"distance": [3, 2], "innings_limit": 3, "sets_to_win": 1},
    ],
    ids=["equalizing", "plain", "as-they-lie", "one-inning", "one-set"],
)
@pytest.mark.parametrize("starter", [FIRST, SECOND])
@pytest.mark.parametrize(
    "entries", [(), ("miss",), ("point", "miss", "point")], ids=["start", "reply", "under-way"]
)
def test_races_are_those_of_the_match_itself(given, starter, entries):
    """Every course of a short match, followed through the fold that keeps the score."""
    p, q = (0.45, 0.6), (0.8, 0.3)
    found = by_the_rules(p, q, given, starter, entries)
    fresh = Rules.of_format(setup_of(**given).format, (FIRST, SECOND).index(starter))
    score = START
    for kind in entries:
        score = score.pointed(fresh) if kind == "point" else score.missed(fresh)
    if starter == SECOND:
        expected = told(race(p[::-1], fresh, score, q[::-1]))[::-1]
    else:
        expected = told(race(p, fresh, score, q))
    assert expected == pytest.approx(list(found), abs=1e-12)


@pytest.mark.parametrize("alternate", [True, False])
@pytest.mark.parametrize("equalizing", [True, False])
def test_sets_are_those_of_the_match_itself(alternate, equalizing):
    """Drawn sets go on for ever; short limits and few draws leave a rest too small to see."""
    given = {"distance": [2, 2], "innings_limit": 1, "sets_to_win": 2, "equalizing": equalizing}
    p, q = (0.55, 0.6), (0.5, 0.7)
    rules = Rules.of_format(setup_of(**given).format, sets_alternate=alternate)
    found = match(p, rules, opening=q)
    assert found.starter == pytest.approx(_set_by_set(p, q, given, alternate), abs=1e-10)
    assert found.draw == 0


def _set_by_set(p, q, given, alternate, rounds=400):
    """The chance of the first to win two sets, set after set; each set followed through the fold."""
    one_set = given | {"sets_to_win": None}
    # In sets only a set of a single inning is equalized, and here there are no others.
    sets = [by_the_rules(p, q, one_set, starter) for starter in (FIRST, SECOND)]
    at, won = {(0, 0, 0): 1.0}, 0.0
    for _ in range(rounds):
        after = {}
        for (mine, yours, starts), weight in at.items():
            follows = 1 - starts if alternate else starts
            for gain, chance in zip(((1, 0), (0, 0), (0, 1)), sets[starts], strict=True):
                key = (mine + gain[0], yours + gain[1], follows)
                after[key] = after.get(key, 0.0) + weight * chance
        won += sum(weight for (mine, _, _), weight in after.items() if mine == 2)
        at = {key: weight for key, weight in after.items() if max(key[:2]) < 2}
    return won
