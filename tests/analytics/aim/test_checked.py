"""The check of the systems: that every track is played, and that the same question has the same answer."""

from __future__ import annotations

from dataclasses import replace

import pytest

from analytics.aim.checked import playing, trust
from analytics.aim.checked.tracks import RAILS, STROKES, tracks
from analytics.aim.diamonds.systems import SYSTEMS
from analytics.table.batches import play_strokes
from analytics.table.parameters import PRESETS, TableParameters

HEATED = PRESETS["match-heated"]


def residuals(system: str, table: TableParameters = HEATED) -> dict[tuple[float, float], float | None]:
    return {(one.track.origin, one.track.aim): one.residual for one in playing.check(system, table)}


def test_every_system_has_tracks_a_stroke_and_rails() -> None:
    for system in SYSTEMS:
        found = tracks(system)
        assert len(found) >= 4
        assert len({one.key for one in found}) == len(found)
        assert system in STROKES
        assert system in RAILS
        assert all(one.answer.arrival is not None for one in found)


# The published sums of the corner system and of plus (Alciatore TP 7.2; newsgroup FAQ; Barry 1928;
# PoolDawg library; Gazzetta dello Sport, 23 March 2002; be-ja.nl; *Systems in Three Cushion*;
# billard-au-carre.com).
@pytest.mark.parametrize(
    ("system", "origin", "aim", "arrival"),
    [
        ("corner", 4.5, 2, 2.5),
        ("corner", 5, 2, 3),
        ("corner", 5, 3, 2),
        ("corner", 4, 1, 3),
        ("corner", 4.5, 3, 1.5),
        ("corner", 7, 5, 2),
        ("corner", 3, 1, 2),
        ("plus", 3, 3, 6),
        ("plus", 3, 2.5, 5.5),
        ("plus", 6, 1, 7),
        ("plus", 5, 3, 8),
        ("plus", 2.7, 3.8, 6.5),
        ("sid", 3, 7.5, 3),
        ("half", 8, 4, 0),
    ],
)
def test_published_sums_are_among_the_tracks(system: str, origin: float, aim: float, arrival: float) -> None:
    found = {(one.origin, one.aim): one.arrival for one in tracks(system)}
    assert found[origin, aim] == pytest.approx(arrival)


# Not a proof: the simulated cushion was fitted to these (tests/published/test_tracks.py has all).
def test_tracks_of_the_fit_arrive_near() -> None:
    fitted = [one for one in playing.check("corner", HEATED) if one.track.fitted]
    assert len(fitted) == 13
    assert max(abs(one.residual or 0.0) for one in fitted) <= 0.3


def test_a_track_is_the_same_stroke_as_through_the_batch_door() -> None:
    from math import atan2, degrees

    one = next(one for one in playing.check("corner", HEATED) if one.track.key == "5-3")
    (x0, y0), (x1, y1) = one.track.answer.line
    direction = degrees(atan2(y1 - y0, x1 - x0))
    layout = {"white": one.way[0], "yellow": (0.12, 2.2), "red": (0.12, 1.6)}
    batch = play_strokes(layout, "white", [(direction, 3.0, -0.3, 0.05)], HEATED)
    third = batch.contacts[0, 2]
    assert one.arrival == pytest.approx(8 - third[3] / batch.scale[1], abs=1e-9)


def test_answers_depend_on_the_table_alone() -> None:
    playing.check.cache_clear()
    first = residuals("plus")
    playing.check.cache_clear()
    assert residuals("plus") == first
    other = residuals("plus", replace(HEATED, cushion_restitution=0.85))
    assert max(abs((other[key] or 9) - (first[key] or 9)) for key in first) > 0.1


def test_a_scaled_table_changes_little_where_friction_of_rolling_does_not_count() -> None:
    book, small = residuals("corner"), residuals("corner", PRESETS["small-210"])
    assert abs((book[5.0, 3.0] or 9) - (small[5.0, 3.0] or 9)) < 0.5


def test_trust_counts_every_track_once_and_sorts_by_bands() -> None:
    found = playing.check("corner", HEATED)
    told = trust.judge(found)
    assert sum(told.counts.values()) == told.total == len(found)
    assert told.by == "arrival"
    # Sums into the corner itself come nearly a diamond long on the simulated table.
    assert told.doubted == (0.0,)
    assert 0.5 < told.worst < 1.2
    assert 3.0 in told.trusted
    assert sum(told.fourth.values()) == 5


@pytest.mark.parametrize(
    ("residual", "word"),
    [(0.0, "near"), (-0.25, "near"), (0.26, "off"), (-0.5, "off"), (0.51, "far"), (None, "lost")],
)
def test_grade(residual: float | None, word: str) -> None:
    assert trust.grade(residual) == word


def test_fourth_rail_is_counted_round_the_corner() -> None:
    found = {one.track.key: one for one in playing.check("corner", HEATED)}
    # vanderkraan.nl: 5 -> 4 comes to (4, 1), 5 -> 2 to (3.14, 0).
    assert found["5-4"].book_fourth == -1.0
    assert found["5-2"].book_fourth == pytest.approx(0.86)
    assert found["4-2"].book_fourth is None
    assert abs(found["5-2"].fourth_residual or 9) < 0.2
    assert -0.6 < (found["5-4"].fourth_residual or 9) < -0.2
