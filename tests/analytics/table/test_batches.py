"""Many strokes at once are the same strokes, bit for bit."""

import numpy as np
import pytest

from analytics.table.batches import play_strokes
from analytics.table.parameters import COARSE
from analytics.table.shots import BALLS, Strike, play_stroke
from scoring.rules.said import Malformed

LAYOUT = {"white": (1.5, 2.0), "yellow": (2.6, 5.5), "red": (2.0, 6.0)}


def strikes_of(n, seed=7):
    draw = np.random.default_rng(seed)
    offset, turn = 0.5 * np.sqrt(draw.random(n)), draw.uniform(0, 2 * np.pi, n)
    return np.column_stack(
        [draw.uniform(0, 360, n), draw.uniform(0.1, 12, n), offset * np.cos(turn), offset * np.sin(turn)]
    )


def bits(batch):
    return [
        getattr(batch, name).tobytes()
        for name in ("contacts", "met", "rest", "moved", "duration", "complete")
    ]


def test_a_stroke_alone_equals_the_same_stroke_in_a_batch():
    strikes = strikes_of(300)
    batch = play_strokes(LAYOUT, "white", strikes, most=200)
    for row, strike in enumerate(strikes.tolist()):
        shot = play_stroke(LAYOUT, "white", Strike(*strike))
        assert shot.contacts == batch.contacts_of(row)
        assert [list(shot.rest[name]) for name in BALLS] == batch.rest[row].tolist()
        assert shot.duration == batch.duration[row]
        assert shot.complete == batch.complete[row]


@pytest.mark.parametrize("threads", [2, 3, 7])
def test_the_number_of_threads_changes_nothing(threads):
    strikes = strikes_of(1000)
    assert bits(play_strokes(LAYOUT, "white", strikes, threads=threads)) == bits(
        play_strokes(LAYOUT, "white", strikes, threads=1)
    )


def test_size_and_order_of_a_batch_change_nothing():
    strikes = strikes_of(400)
    whole = play_strokes(LAYOUT, "yellow", strikes)
    back = play_strokes(LAYOUT, "yellow", strikes[::-1])
    part = play_strokes(LAYOUT, "yellow", strikes[137:150])
    assert back.contacts[::-1].tobytes() == whole.contacts.tobytes()
    assert part.contacts.tobytes() == whole.contacts[137:150].tobytes()
    assert part.rest.tobytes() == whole.rest[137:150].tobytes()


def test_ending_a_stroke_once_decided_changes_nothing_until_then():
    strikes = strikes_of(600)
    whole = play_strokes(LAYOUT, "white", strikes, most=40)
    until = play_strokes(LAYOUT, "white", strikes, most=40, decided=True)
    shorter = 0
    for row in range(len(strikes)):
        n = until.met[row]
        assert until.contacts[row, :n].tobytes() == whole.contacts[row, :n].tobytes()
        balls = set(whole.contacts[row, : whole.met[row], 1]) & {5.0, 6.0}
        if balls == {5.0, 6.0}:
            shorter += until.duration[row] < whole.duration[row]
            assert until.contacts[row, n - 1, 1] in balls
            assert set(until.contacts[row, : n - 1, 1]) & {5.0, 6.0} != balls
        else:
            assert until.rest[row].tobytes() == whole.rest[row].tobytes()
    assert shorter > 20


def test_it_is_told_when_a_ball_was_first_moved():
    strikes = strikes_of(300)
    batch = play_strokes(LAYOUT, "white", strikes)
    assert (batch.moved.max(axis=1) > 0).sum() > 50
    for row in np.flatnonzero(batch.moved.max(axis=1) > 0)[:40].tolist():
        shot = play_stroke(LAYOUT, "white", Strike(*strikes[row]))
        for at, name in enumerate(BALLS[1:], 1):
            pieces = shot.paths[name]
            assert batch.moved[row, at] == (pieces[1][0] if len(pieces) > 1 else -1)


def test_coarse_cushions_are_nearly_the_fine_ones():
    strikes = strikes_of(500)
    fine = play_strokes(LAYOUT, "white", strikes)
    coarse = play_strokes(LAYOUT, "white", strikes, fineness=COARSE)
    rails = (fine.met > 2) & (fine.contacts[:, :3, 1] < 4).all(axis=1)
    third = np.abs(coarse.contacts[rails, 2, 2:] - fine.contacts[rails, 2, 2:]).max(axis=1)
    assert 0 < np.median(third) < 0.01
    assert rails.sum() > 50


def test_an_empty_batch_is_answered_empty():
    assert len(play_strokes(LAYOUT, "white", np.zeros((0, 4)))) == 0


@pytest.mark.parametrize(
    ("strikes", "field"),
    [
        ([[90, 3, 0, 0], [90, 13, 0, 0]], "strikes.1"),
        ([[90, 3, 0.4, 0.4]], "strikes.0"),
        ([[float("nan"), 3, 0, 0]], "strikes.0"),
        ([[90, 3, 0]], "strikes"),
        ("fast", "strikes"),
    ],
)
def test_what_cannot_be_played_is_refused_with_its_row(strikes, field):
    with pytest.raises(Malformed) as refusal:
        play_strokes(LAYOUT, "white", strikes)
    assert refusal.value.field == field


def test_more_contacts_than_there_is_room_for_are_counted():
    strikes = strikes_of(200)
    short, long = (play_strokes(LAYOUT, "white", strikes, most=most) for most in (2, 200))
    assert (short.met == long.met).all()
    assert short.contacts.tobytes() == np.ascontiguousarray(long.contacts[:, :2]).tobytes()
    assert long.met.max() > 2
