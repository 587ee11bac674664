"""Book number beside own-table number: what few tracks support, and no more."""

from __future__ import annotations

import json

import pytest

from analytics.aim.measured.correcting import BEYOND, TrackNumber, correction_from, correction_of


def tracks(*pairs: tuple[float, float]) -> list[TrackNumber]:
    """Return tracks of origin 5 that came `own` for `book`."""
    return [TrackNumber(f"t{at}", 5.0, 5.0 - book, book, own) for at, (book, own) in enumerate(pairs)]


def test_two_tracks_correct_nothing():
    assert correction_of(tracks((1, 1.2), (2, 2.2))) is None


def test_an_offset_with_its_interval():
    found = correction_of(tracks((1, 1.2), (2, 2.3), (3, 3.1)))
    assert found is not None
    assert found.offset == pytest.approx(0.2)
    # By hand: differences 0.2, 0.3, 0.1 have sd 0.1; t of 2 degrees at 95 % is 2.92 (from memory).
    assert found.offset_high - found.offset == pytest.approx(2.92 * 0.1 / 3**0.5, rel=1e-3)
    assert (found.slope, found.slope_low) == (0.0, None)
    assert found.arrival(2.0) == pytest.approx((2.2, 2.2 - 0.1686, 2.2 + 0.1686), abs=1e-3)


def test_a_slope_stays_only_where_its_interval_leaves_out_nought():
    sloped = correction_of(tracks((1, 0.9), (2, 2.0), (2, 2.02), (3, 3.12), (4, 4.2)))
    assert sloped is not None
    assert sloped.slope == pytest.approx(0.1, abs=0.02)
    assert sloped.slope_low is not None
    assert sloped.slope_low > 0
    ragged = correction_of(tracks((1, 1.2), (2, 1.9), (2, 2.3), (3, 3.0), (4, 4.3)))
    assert ragged is not None
    assert ragged.slope == 0.0
    assert ragged.slope_low is not None
    assert ragged.slope_high is not None
    assert ragged.slope_low < 0 < ragged.slope_high


def test_the_book_arrival_to_play_comes_to_the_own_one_wanted():
    found = correction_of(tracks((1, 0.9), (2, 2.0), (2, 2.02), (3, 3.12), (4, 4.2)))
    assert found is not None
    book = found.book_for(3.0)
    assert book is not None
    told = found.arrival(book)
    assert told is not None
    assert told[0] == pytest.approx(3.0)


def test_nothing_is_said_beyond_what_was_measured():
    found = correction_of(tracks((1, 1.2), (2, 2.3), (3, 3.1)))
    assert found is not None
    assert found.arrival(3 + BEYOND) is not None
    assert found.arrival(3 + BEYOND + 0.01) is None
    assert found.book_for(0.2) is None


def test_a_correction_is_kept_and_read_as_json():
    found = correction_of(tracks((1, 1.2), (2, 2.3), (3, 3.1), (4, 4.4)))
    assert found is not None
    assert correction_from(json.loads(json.dumps(found.to_json()))) == found
