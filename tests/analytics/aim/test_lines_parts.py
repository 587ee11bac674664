"""The parts of the search for lines: errors, keys of contacts, neighbours, costs."""

from __future__ import annotations

import numpy as np
import pytest

from analytics.aim.lines import exploring
from analytics.aim.lines.climbing import Plans, best_of_groups, tried
from analytics.aim.lines.errors import executed, normals
from analytics.aim.lines.judging import Game, contacts_of_key, keys_of
from analytics.aim.lines.measuring import costs_of, measured
from analytics.aim.lines.mirror import Mirror, first_image
from analytics.table.batches import play_strokes
from analytics.table.parameters import TableParameters
from scoring.rules.contacts import BALLS, course
from scoring.rules.disciplines import DISCIPLINES
from scoring.rules.rulesets import DEFAULT, RULE_SETS
from scoring.rules.rulings import rule

LAYOUT = {"white": (1.0, 1.0), "yellow": (3.1, 2.3), "red": (2.1, 5.9)}
FROZEN = {"white": (0.0866197183098592, 3.0), "yellow": (0.0866197183098592, 4.0), "red": (2.1, 5.9)}
TABLE = TableParameters()
THREE = DISCIPLINES["three-cushion"]


def game(layout=LAYOUT, cue_ball="white", **how) -> Game:
    return Game(layout, cue_ball, THREE, TABLE, **how)


def test_errors_are_standard_normal_and_no_two_streams_alike():
    errors = normals(1024, 5)
    assert errors.mean(axis=0) == pytest.approx([0] * 4, abs=0.02)
    assert errors.std(axis=0) == pytest.approx([1] * 4, abs=0.02)
    assert np.abs(np.corrcoef(errors.T) - np.eye(4)).max() < 0.05
    assert not np.array_equal(errors, normals(1024, 6))
    assert not errors.flags.writeable


def test_errors_scale_with_spread_and_a_tip_past_the_edge_slips():
    plan = np.array([[90.0, 3.0, 0.4, 0.0], [10.0, 2.0, 0.0, 0.0]])
    errors = np.array([[0.0, 0, 0, 0], [1.0, 1, 1, 1], [0, 0, 2, 0]])
    done, sound = executed(plan, errors, 1.0)
    assert done.shape == (2, 3, 4)
    assert done[0, 1] == pytest.approx([90.43, 3 * 1.086, 0.465, 0.065])
    assert sound.tolist() == [[True, True, False], [True, True, True]]
    half, _ = executed(plan, errors, 0.5)
    assert half[:, 1] - plan == pytest.approx((done[:, 1] - plan) / 2)
    wild, _ = executed(plan, np.array([[0, -9.0, 0, 0], [0, 99.0, 0, 0]]), 5.0)
    assert wild[0, :, 1].tolist() == [0.05, 12.0]


@pytest.mark.parametrize("layout", [LAYOUT, FROZEN])
@pytest.mark.parametrize("cue_ball", ["white", "yellow"])
def test_strokes_are_ruled_as_one_by_one(layout, cue_ball):
    one = game(layout, cue_ball)
    strikes = exploring.strikes_all_over(one, 1500)
    found = one.outcomes(strikes)
    batch = play_strokes(layout, cue_ball, strikes, most=40)
    rails = {"left"} if layout is FROZEN else None
    for row in range(len(batch)):
        contacts = [met.contact for met in batch.contacts_of(row)]
        ruling = rule(THREE, cue_ball, contacts, touching_rail=rails, rule_set=RULE_SETS[DEFAULT])
        assert bool(found.made[row]) == ruling.valid
        if ruling.valid:
            group, way = one.groups[found.group[row]], course(contacts)
            assert (group.family, group.first_ball) == (ruling.family, way.first)
            assert group.first_rail == [*way.before, *way.after][0]
    assert found.made.any()


def test_a_key_holds_the_contacts_up_to_the_second_ball():
    strikes = exploring.strikes_all_over(game(), 2000)
    batch = play_strokes(LAYOUT, "white", strikes, most=16)
    keys = keys_of(batch)
    assert 0 < (keys != 0).sum() < len(keys)
    for row in range(0, len(batch), 3):
        contacts = [met.contact for met in batch.contacts_of(row)]
        balls = [at for at, one in enumerate(contacts) if one.ball]
        second = next((at for at in balls if contacts[at].ball != contacts[balls[0]].ball), None)
        expected = () if second is None else tuple(contacts[: second + 1])
        assert contacts_of_key(int(keys[row])) == expected


def test_exploring_reaches_both_balls_from_edge_to_edge():
    strikes = exploring.strikes_all_over(game(), 4096)
    assert (np.hypot(strikes[:, 2], strikes[:, 3]) <= 0.45 + 1e-12).all()
    batch = play_strokes(LAYOUT, "white", strikes, most=1)
    first = batch.contacts[:, 0, 1]
    for code in (5, 6):
        assert 0.3 < (first == code).mean() < 0.5
    assert len(np.unique((strikes[:, 0] // 10).astype(int))) == 36


def test_promise_is_higher_where_neighbours_make_it_too():
    crowd = np.array([[90 + 0.05 * at, 3.0, 0, 0] for at in range(8)])
    alone = np.array([[200.0, 3.0, 0, 0]])
    failing = np.array([[200 + 0.05 * at, 3.0, 0, 0] for at in range(1, 8)])
    strikes = np.vstack([crowd, alone, failing])
    group = np.array([0] * 9 + [-1] * 7)
    promise = exploring._promise(strikes, group, np.arange(9), 1.0)
    assert promise[:8].min() > 0.8
    assert promise[8] < 0.3


def test_a_plan_that_makes_no_point_has_no_group():
    plans = tried(game(), np.array([[0.0, 1.0, 0, 0]]), 16, 1, 1.0)
    assert plans.group.tolist() == [-1]
    assert plans.success.tolist() == [0]


def test_the_best_of_each_group_are_taken_best_group_first():
    success, group = np.array([0.1, 0.5, 0.4, 0.9, 0.2, 0.8]), np.array([0, 0, 0, 1, 2, -1])
    plans = Plans(np.zeros((6, 4)), group, success, np.zeros((6, 4)))
    assert best_of_groups(plans, 2).tolist() == [3, 1, 2, 4]
    assert best_of_groups(plans, 1, 2).tolist() == [3, 1]


def test_a_cost_is_what_a_half_as_large_error_would_gain():
    """Against strokes that are played with the error halved."""
    one = game()
    strikes = exploring.strikes_all_over(one, 2048)
    plan = strikes[np.flatnonzero(one.outcomes(strikes).made)[0]]
    n = 4096
    errors = normals(n, 31)
    done, sound = executed(plan[None], errors, 1.0)
    costs, doubts = costs_of(one.outcomes(done[0], sound[0]).made, errors)
    for part in (0, 2):
        steadier = errors.copy()
        steadier[:, part] /= 2
        again, firm = executed(plan[None], steadier, 1.0)
        gain = one.outcomes(again[0], firm[0]).made.mean() - one.outcomes(done[0], sound[0]).made.mean()
        assert abs(costs[part] - gain) < 3 * np.hypot(doubts[part], 0.5 / np.sqrt(n))


def test_what_does_not_matter_costs_nothing():
    errors = normals(1024, 9)
    costs, doubts = costs_of(np.abs(errors[:, 0]) < 1, errors)
    assert costs[0] == pytest.approx(0.954 - 0.683, abs=0.02)
    assert np.abs(costs[1:]).max() < 0.03
    assert (doubts > 0).all()
    assert (doubts < 0.02).all()


def test_a_mirrored_line_has_exactly_the_success_of_the_line():
    """On the mirrored layout, under the mirrored errors."""
    one = game()
    strikes = exploring.strikes_all_over(one, 2048)
    hits = strikes[np.flatnonzero(one.outcomes(strikes).made)[:4]]
    errors = normals(512, 41)
    done, sound = executed(hits, errors, 1.0)
    for mirror in (Mirror(across=True), Mirror(along=True), Mirror(True, True)):
        image = game(mirror.layout(LAYOUT))
        turned = errors * [-1 if mirror.across != mirror.along else 1, 1, 1, 1]
        turned = turned * [1, 1, -1 if mirror.across != mirror.along else 1, 1]
        again, firm = executed(mirror.strikes(hits), turned, 1.0)
        made = one.outcomes(done.reshape(-1, 4), sound.ravel()).made
        assert np.array_equal(made, image.outcomes(again.reshape(-1, 4), firm.ravel()).made)


def test_all_four_images_of_a_layout_are_searched_as_one():
    images = [Mirror(across, along) for across in (False, True) for along in (False, True)]
    searched = set()
    for image in images:
        layout = image.layout(LAYOUT)
        searched.add(tuple(sorted(first_image(layout, "white").layout(layout).items())))
    assert len(searched) == 1
    middle = {"white": (2.0, 4.0), "yellow": (2.0, 6.0), "red": (1.0, 4.0)}
    assert first_image(middle, "white") == Mirror(across=False, along=True)


def test_balls_that_must_meet_spoil_what_they_spoil():
    """A line is spoilt by kisses if its strokes are; one without a ball near is not."""
    one = game()
    strikes = exploring.strikes_all_over(one, 8192)
    hits = strikes[np.flatnonzero(one.outcomes(strikes).made)[:24]]
    found = [measured(one, plan, 1.0, 256) for plan in hits]
    assert all(0 <= each.kiss <= 1 - each.success for each in found)
    assert max(each.kiss for each in found) > 0.03
    assert min(each.kiss for each in found) < 0.03


@pytest.mark.parametrize("cue_ball", BALLS[:2])
def test_strokes_are_counted(cue_ball):
    one = game(cue_ball=cue_ball)
    one.outcomes(exploring.strikes_all_over(one, 100))
    assert one.played == 100
