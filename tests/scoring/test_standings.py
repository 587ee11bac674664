"""Standings of a competition: from the ledger to the table, as JSON, CSV and a page."""

from __future__ import annotations

import csv
import io
import json

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from scoring.models import Competition
from tests import cast
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db


@pytest.fixture
def cup() -> Competition:
    return cast.make_competition(published=True)


def played(cup, white, yellow, *runs, distance=(5, 5), confirmed=True):
    """Play a match by whole innings and confirm it."""
    match = opened(cast.make_match(white, yellow, competition=cup, distance=distance))
    innings(match, *runs)
    if confirmed:
        write(match, "confirm")
    return match


def trio():
    return [cast.make_player(name) for name in ("Quendal", "Vilemeer", "Karnhof")]


def answered(cup, client=None):
    answer = (client or cast.client_for()).get(f"/api/competitions/{cup.pk}/standings/")
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_rows_are_ranked_by_match_points_then_by_the_exact_average(cup):
    one, two, three = trio()
    # Each wins once; the averages decide: 5/2 and 2/2, 5/3 and 3/3, 5/2 and 4/2.
    played(cup, one, two, 2, 1, 3, 1)
    played(cup, two, three, 1, 1, 2, 2, 2, 0)
    played(cup, three, one, 3, 2, 2, 2)
    told = answered(cup, cast.client_for(cast.make_organiser()))
    assert not told["provisional"]
    rows = told["rows"]
    assert [row["match_points"] for row in rows] == [2, 2, 2]
    assert [row["player"] for row in rows] == [one.pk, three.pk, two.pk]
    assert rows[0] | {"name": ""} == {
        "rank": 1,
        "shared": False,
        "player": one.pk,
        "name": "",
        "played": 2,
        "match_points": 2,
        "points": 9,
        "innings": 4,
        "average": "2.250",
        "best_average": "2.500",
        "high_run": 3,
        "separated_by": "general_average",
    }
    assert rows[-1]["separated_by"] is None


def test_only_confirmed_matches_count_and_the_rest_makes_it_provisional(cup):
    one, two, three = trio()
    played(cup, one, two, 2, 1, 3, 1)
    played(cup, two, three, 5, 1, confirmed=False)
    told = answered(cup)
    assert told["provisional"]
    by_player = {row["player"]: row for row in told["rows"]}
    assert by_player[three.pk]["played"] == 0
    assert by_player[three.pk]["average"] is None
    # Nobody agreed to be named: outsiders read numbers.
    assert "Quendal" not in json.dumps(told)
    assert [row["rank"] for row in told["rows"]] == [1, 2, 3]


def test_equal_rows_share_a_rank_and_the_next_is_skipped(cup):
    one, two, three = trio()
    played(cup, one, two, 2, 2, 3, 3)
    cast.make_match(three, cast.make_player("Brinsel"), competition=cup)
    rows = answered(cup)["rows"]
    assert [(row["rank"], row["shared"]) for row in rows] == [(1, True), (1, True), (3, True), (3, True)]
    assert [row["separated_by"] for row in rows] == [None, "match_points", None, None]


def test_a_walkover_brings_match_points_alone(cup):
    one, two, _three = trio()
    match = cast.make_match(one, two, competition=cup)
    write(match, "result", outcome="walkover", player=one.pk, why="no-show")
    write(match, "confirm")
    first, second = answered(cup)["rows"]
    assert (first["player"], first["match_points"], first["innings"], first["average"]) == (
        one.pk,
        2,
        0,
        None,
    )
    assert (second["match_points"], second["played"]) == (0, 1)


def test_csv_has_the_names_and_texts_of_the_json(cup):
    one, two, _three = trio()
    played(cup, one, two, 2, 1, 3, 1)
    answer = cast.client_for().get(f"/api/competitions/{cup.pk}/standings/?format=csv")
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    rows = list(csv.DictReader(io.StringIO(answer.content.decode())))
    told = answered(cup)["rows"]
    assert list(rows[0]) == list(told[0])
    assert rows[0]["average"] == told[0]["average"] == "2.500"
    assert (rows[0]["shared"], rows[1]["separated_by"]) == ("false", "")


def test_an_unpublished_competition_has_no_standings_for_others():
    hidden = cast.make_competition(published=False)
    for address in (f"/api/competitions/{hidden.pk}/standings/", f"/competitions/{hidden.pk}/standings/"):
        assert cast.client_for().get(address).status_code == 404
        assert cast.client_for(cast.make_organiser()).get(address).status_code == 200
    assert cast.client_for().get("/api/competitions/999/standings/").status_code == 404


def test_a_merged_record_counts_for_the_whole_player(cup):
    one, two, three = trio()
    played(cup, one, two, 2, 1, 3, 1)
    played(cup, three, two, 2, 1, 3, 1)
    three.merged_into = one
    three.save()
    rows = answered(cup)["rows"]
    assert [(row["player"], row["played"], row["match_points"]) for row in rows] == [
        (one.pk, 2, 4),
        (two.pk, 2, 0),
    ]


def test_the_page_says_what_put_each_before_the_next(cup):
    one, two, three = trio()
    played(cup, one, two, 2, 1, 3, 1)
    played(cup, two, three, 1, 1, 2, 2, 2, 0)
    played(cup, three, one, 3, 2, 2, 2)
    page = cast.client_for(cast.make_organiser()).get(f"/competitions/{cup.pk}/standings/").content.decode()
    assert "before Karnhof: <b>general average</b>, 9/4 against 8/5" in page
    assert "Provisional" not in page
    listed = cast.client_for().get(f"/competitions/{cup.pk}/").content.decode()
    assert f"/competitions/{cup.pk}/standings/" in listed


def test_the_number_of_queries_does_not_grow(cup):
    one, two, three = trio()

    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as seen:
            answered(cup)
        return len(seen)

    played(cup, one, two, 2, 1, 3, 1)
    few = queries()
    for pair in ((two, three), (three, one), (one, three), (two, one)):
        played(cup, *pair, 2, 1, 3, 1)
    assert queries() == few
