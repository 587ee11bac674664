"""What was played as arrays: which matches, which innings, and that nothing stale is ever read."""

from __future__ import annotations

import datetime

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from analytics.models import PackedMatch, Prediction
from analytics.played.asked import Asked, read_asked
from analytics.played.packing import waiting
from analytics.played.reading import ids_of, read_played
from analytics.predictions import do_keep
from analytics.upkeep import do_bring_up_to_date
from scoring.models import Club
from scoring.rules.said import Malformed
from tests.cast import make_competition, make_match, make_player
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db


def played(player, **asked):
    return read_played(ids_of(player), Asked(**asked))


def test_innings_are_read_off_strokes_and_whole_innings_alike():
    one, two = make_player("Quendal"), make_player("Vilemeer")
    match = opened(make_match(one, two, distance=(6, 6)), one.pk)
    innings(match, 3, 0)
    for kind in ("point", "point", "miss"):
        write(match, kind)
    innings(match, 1)
    write(match, "point")
    found = played(one).innings
    # 3, then 2 by strokes, then the last point to the distance, which no miss ended.
    assert found.run.tolist() == [3, 2, 1]
    assert found.ended.tolist() == [True, True, False]
    assert found.by_stroke.tolist() == [False, True, True]
    assert (found.points, found.misses) == (6, 2)


def test_a_whole_inning_to_the_distance_has_no_miss():
    one, two = make_player("Quendal"), make_player("Vilemeer")
    match = opened(make_match(one, two, distance=(5, 5)), one.pk)
    innings(match, 2, 1, 3)
    assert played(one).innings.ended.tolist() == [True, False]
    assert played(two).innings.ended.tolist() == [True]


def test_in_sets_the_distance_is_reached_in_each():
    one, two = make_player("Quendal"), make_player("Vilemeer")
    match = opened(
        make_match(one, two, distance=(3, 3), format={"sets_to_win": 2, "equalizing": False}), one.pk
    )
    innings(match, 1, 0, 2, 0, 3)
    found = played(one).innings
    assert found.run.tolist() == [1, 2, 3]
    assert found.ended.tolist() == [True, False, False]


def test_a_struck_out_inning_is_gone_and_a_correction_read_anew():
    one, two = make_player("Quendal"), make_player("Vilemeer")
    match = opened(make_match(one, two, distance=(9, 9)), one.pk)
    first, *_rest = innings(match, 2, 1, 4)
    assert played(one).innings.run.tolist() == [2, 4]
    write(match, "inning", run=3, instead_of=first, why="miscounted")
    assert played(one).innings.run.tolist() == [3, 4]
    write(match, "void", target=first, why="miscounted")
    assert played(one).innings.run.tolist() == [4]


def test_extra_innings_count_in_no_figure():
    one, two = make_player("Quendal"), make_player("Vilemeer")
    match = opened(make_match(one, two, distance=(2, 2)), one.pk)
    innings(match, 2, 2)
    write(match, "extra")
    innings(match, 5, 1)
    assert played(one).innings.run.tolist() == [2]


def test_what_is_confirmed_counts_as_official():
    one, two = make_player("Quendal"), make_player("Vilemeer")
    match = opened(make_match(one, two, distance=(2, 2)), one.pk)
    innings(match, 2, 1)
    assert len(played(one).official) == 0
    write(match, "confirm")
    sheets = played(one).sheets()
    assert [(sheet.points, sheet.innings, sheet.misses) for sheet in sheets] == [(2, 1, 0)]


def test_totals_alone_tell_the_misses_by_the_distance():
    one, two = make_player("Quendal"), make_player("Vilemeer")
    match = opened(make_match(one, two, distance=(20, 20)), one.pk)
    write(
        match,
        "result",
        outcome="played",
        score={"white": 20, "yellow": 11},
        innings={"white": 30, "yellow": 30},
        high_run={"white": 4, "yellow": 3},
        source="club book",
    )
    write(match, "confirm")
    assert [sheet.misses for sheet in played(one).sheets()] == [29]
    assert [sheet.misses for sheet in played(two).sheets()] == [30]


def test_a_kept_prediction_makes_the_packed_row_stale():
    one, two = make_player("Quendal"), make_player("Vilemeer")
    match = opened(make_match(one, two), one.pk)
    write(match, "point", family="bank")
    assert np.isnan(played(one).strokes["promised"]).all()
    fields = {"layout": {}, "cue_ball": "white", "line": {}, "discipline": "three-cushion", "parameters": {}}
    do_keep(
        Prediction(
            match=match, place=2, kind="blind", source="declared", spread=1.0, success=0.25, stderr=0.01,
            hits=[], grid=[], strokes=1024, model=1, kernels="", **fields,
        )
    )  # fmt: skip
    found = played(one).strokes
    assert found["promised"].tolist() == [0.25]
    assert found["told"].tolist() == [1]


def test_reading_costs_the_same_however_many_matches():
    one, two = make_player("Quendal"), make_player("Vilemeer")
    asked = Asked()
    for number in range(1, 5):
        match = opened(make_match(one, two, distance=(2, 2)), one.pk)
        innings(match, 1, 0)
        read_played({one.pk}, asked, Club.objects.the_first())
        with CaptureQueriesContext(
            connection,
        ) as queries:
            found = read_played({one.pk}, asked, club=match.club)
        assert len(queries) == 2
        assert len(found.matches) == number
    assert PackedMatch.objects.count() == 8


def test_the_filter_narrows_by_day_competition_table_and_opponent():
    one, two, three = (make_player(name) for name in ("Quendal", "Vilemeer", "Astavik"))
    cup = make_competition(discipline="three-cushion")
    days = []
    for other, competition in ((two, cup), (three, None)):
        match = opened(make_match(one, other, competition=competition), one.pk)
        innings(match, 1)
        days.append(played(one).matches["date"].iloc[-1].date())
    assert len(played(one, competition=cup.pk).matches) == 1
    assert played(one, opponent=three.pk).matches["opponent"].tolist() == [three.pk]
    assert len(played(one, since=days[0], until=days[0]).matches) == 2
    assert len(played(one, until=days[0] - datetime.timedelta(days=1)).matches) == 0
    assert len(played(one, published_only=True).matches) == 0


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"since": "yesterday"}, "since"),
        ({"until": "2026-13-01"}, "until"),
        ({"since": "2026-05-02", "until": "2026-05-01"}, "until"),
        ({"discipline": "nonsense"}, "discipline"),
        ({"table": "x"}, "table"),
        ({"opponent": "0"}, "opponent"),
    ],
)
def test_a_filter_that_cannot_be_read_names_its_field(values, field):
    with pytest.raises(Malformed) as fault:
        read_asked(values, Club.objects.the_first())
    assert fault.value.field == field


def test_matches_that_are_over_are_packed_in_the_background_and_only_once():
    over, under_way = opened(make_match(distance=(2, 2))), opened(make_match())
    innings(over, 2, 0)
    innings(under_way, 1, 0)
    assert waiting() == [over.pk]
    do_bring_up_to_date()
    assert waiting() == []
    assert PackedMatch.objects.filter(match=over).count() == 2
    write(over, "confirm")
    assert waiting() == [over.pk]
