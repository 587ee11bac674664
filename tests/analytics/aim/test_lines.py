"""Lines: what is found holds on the table, is told apart, and is the same however it is asked."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from math import hypot, sqrt

import numpy as np
import pytest

from analytics.aim.lines import telling
from analytics.aim.lines.errors import MOST_SPREAD, PARTS, SIGMAS
from analytics.aim.lines.mirror import Mirror
from analytics.aim.lines.search import FIRST, FULL, Found, find_lines
from analytics.table.batches import play_strokes
from analytics.table.parameters import TableParameters
from analytics.table.shots import Met, play_stroke
from scoring.rules.contacts import Contact
from scoring.rules.disciplines import DISCIPLINES
from scoring.rules.families import family_of
from scoring.rules.rulesets import DEFAULT, RULE_SETS
from scoring.rules.rulings import rule
from scoring.rules.said import Malformed

LAYOUT = {"white": (1.0, 1.0), "yellow": (3.1, 2.3), "red": (2.1, 5.9)}
TABLE = TableParameters()
THREE = DISCIPLINES["three-cushion"]


@cache
def first_lines(spread: float = 1.0, discipline: str = "three-cushion") -> Found:
    return find_lines(
        LAYOUT, "white", spread=spread, limit=6, budget=FIRST, discipline=DISCIPLINES[discipline]
    )


def test_every_line_makes_the_point_with_the_contacts_it_claims():
    lines = first_lines().lines
    assert len(lines) == 6
    for line in lines:
        shot = play_stroke(LAYOUT, "white", line.strike)
        assert shot.ruling.valid
        assert shot.contacts[: len(line.contacts)] == line.contacts
        contacts = [one.contact for one in line.contacts]
        balls = [one.ball for one in contacts if one.ball]
        assert set(balls) == {"yellow", "red"}
        assert (line.group.family, line.group.first_ball) == (family_of(THREE, "white", contacts), balls[0])
        assert line.group.first_rail == next(one.rail for one in contacts if one.rail)
        assert shot.paths["white"] == line.path


def test_lines_are_distinct_and_the_likeliest_comes_first():
    lines = first_lines().lines
    assert len({line.group for line in lines}) == len(lines)
    shares = [line.measured.success for line in lines]
    assert shares == sorted(shares, reverse=True)


def test_probabilities_add_up():
    for line in first_lines().lines:
        found = line.measured
        assert found.strokes == FIRST.fresh < FULL.fresh
        assert 0 <= found.luck <= found.success <= 1
        assert found.kiss >= 0
        assert found.success + found.kiss <= 1
        assert found.stderr == pytest.approx(sqrt(found.success * (1 - found.success) / found.strokes))
        assert set(found.costs) == set(found.costs_stderr) == set(PARTS)
        for cost in found.costs.values():
            assert 0 <= found.success + cost <= 1


def test_success_agrees_with_plain_sampling_and_the_referee():
    """Errors of another kind, rulings one by one: no code of the search judges here."""
    line = first_lines().lines[0]
    n = 4000
    plan = np.array([line.strike.direction, line.strike.speed, line.strike.side, line.strike.height])
    errors = np.random.default_rng(77).standard_normal((n, 4)) * SIGMAS
    strikes = plan + errors
    strikes[:, 1] = plan[1] * (1 + errors[:, 1])
    sound = np.hypot(strikes[:, 2], strikes[:, 3]) <= 0.5
    batch = play_strokes(LAYOUT, "white", strikes[sound], most=24)
    made = 0
    for row in range(len(batch)):
        contacts = [one.contact for one in batch.contacts_of(row)]
        made += rule(THREE, "white", contacts, rule_set=RULE_SETS[DEFAULT]).valid
    share = made / n
    doubt = hypot(line.measured.stderr, sqrt(share * (1 - share) / n))
    assert abs(share - line.measured.success) < 3 * doubt


def test_a_steadier_hand_makes_more():
    best = [first_lines(spread).lines[0].measured for spread in (0.5, 1.0, 2.0, MOST_SPREAD)]
    for steady, shaky in pairwise(best):
        assert steady.success > shaky.success + hypot(steady.stderr, shaky.stderr)


@pytest.mark.parametrize("mirror", [Mirror(across=True), Mirror(along=True)])
def test_a_mirrored_layout_has_the_mirrored_lines(mirror):
    asked = first_lines()
    found = find_lines(mirror.layout(LAYOUT), "white", limit=6, budget=FIRST)
    for line, image in zip(asked.lines, found.lines, strict=True):
        assert image.measured == line.measured
        assert (image.group.family, image.group.first_ball) == (line.group.family, line.group.first_ball)
        assert image.strike.side == -line.strike.side
        assert image.thickness == pytest.approx(line.thickness, abs=1e-6)
        assert image.hit != line.hit


def test_the_same_question_has_the_same_answer_whatever_the_threads():
    stages: list[tuple[str, int]] = []
    again = find_lines(
        LAYOUT, "white", limit=6, budget=FIRST, threads=1, progress=lambda *stage: stages.append(stage)
    )
    assert again == first_lines()
    assert [name for name, _ in stages] == ["explore", "rank", "climb", "choose", "measure", "done"]
    played = [strokes for _, strokes in stages]
    assert played == sorted(played)
    assert played[-1] == again.searched
    assert not again.complete


def test_a_search_that_is_stopped_answers_what_it_has():
    found = find_lines(LAYOUT, "white", limit=2, budget=FIRST, stopped=lambda: True)
    assert found.lines
    assert not found.complete
    assert found.searched < first_lines().searched


@pytest.mark.parametrize("discipline", ["straight-rail", "one-cushion"])
def test_other_disciplines_ask_for_less(discipline):
    lines = first_lines(1.0, discipline).lines
    assert lines[0].measured.success > first_lines().lines[0].measured.success
    for line in lines:
        shot = play_stroke(LAYOUT, "white", line.strike, discipline=DISCIPLINES[discipline])
        assert shot.ruling.valid
        assert (line.aim is None) == (line.group.first_rail is None)


def test_a_line_without_a_rail_has_no_aim_on_one():
    near = {"white": (2.0, 2.0), "yellow": (2.1, 2.6), "red": (2.5, 2.9)}
    lines = find_lines(near, "white", limit=3, budget=FIRST, discipline=DISCIPLINES["straight-rail"]).lines
    assert (lines[0].group.family, lines[0].group.first_rail, lines[0].aim) == ("direct", None, None)


def test_a_ball_in_contact_is_not_played_into():
    touching = {"white": (2.0, 2.0), "red": (2.0, 2.0 + 0.0615 / 0.355), "yellow": (3.0, 6.0)}
    lines = find_lines(touching, "white", limit=4, budget=FIRST).lines
    assert lines
    for line in lines:
        assert line.contacts[0].contact != Contact(ball="red")


@pytest.mark.parametrize("how", [{"spread": 0.1}, {"spread": 6.0}, {"limit": 0}, {"limit": 21}])
def test_bounds(how):
    with pytest.raises(ValueError, match="out of bounds"):
        find_lines(LAYOUT, "white", **how)


def test_a_layout_that_cannot_be_is_refused():
    with pytest.raises(Malformed) as refused:
        find_lines(LAYOUT | {"red": (1.0, 1.05)}, "white")
    assert refused.value.field == "layout.red"


# --- what is told of a line ---------------------------------------------------

RADIUS = TABLE.radius / (TABLE.table_width / 4)


@pytest.mark.parametrize(
    ("aside", "covered", "fraction", "side"),
    [
        (0.0, 1.0, "full", "left"),
        (1.0, 0.5, "1/2", "right"),
        (-1.5, 0.25, "1/4", "left"),
        (1.99, 0.005, "thin", "right"),
    ],
)
def test_thickness_is_what_is_covered_of_the_ball(aside, covered, fraction, side):
    """A cue ball that comes straight up; the ball lies `aside` radii to the left."""
    ball = (2 - aside * RADIUS, 4 + sqrt(4 - aside**2) * RADIUS)
    met = Met(1.0, Contact(ball="red"), (2.0, 4.0))
    told, seen = telling._covered(met, ball, (0.0, 3.0), (0.355, 0.355), TABLE.radius)
    assert told == pytest.approx(covered)
    assert seen == side
    assert telling.FRACTIONS[round(told * 8)] == fraction


def test_the_aim_is_where_the_way_crosses_the_nose():
    met = Met(1.0, Contact(rail="right"), (4 - RADIUS, 5.0))
    assert telling._aim(met, (1.0, 1.0), (0.355, 0.355), TABLE.radius) == ("right", pytest.approx(5 + RADIUS))
    top = Met(1.0, Contact(rail="top"), (1.0, 8 - RADIUS))
    assert telling._aim(top, (-2.0, 1.0), (0.355, 0.355), TABLE.radius) == (
        "top",
        pytest.approx(1 - 2 * RADIUS),
    )
    graze = Met(1.0, Contact(rail="top"), (1.0, 8 - RADIUS))
    assert telling._aim(graze, (9.0, 1e-9), (0.355, 0.355), TABLE.radius) == ("top", 4.0)
