"""The demo's events: run by the verbs of the pages, once, and with something to do for whoever signs in."""

from __future__ import annotations

import runpy
from collections import Counter
from pathlib import Path

import pytest
from django.conf import settings
from django.db import transaction

from clubsite.demo import club, events, fixture, league, replay
from scoring.closing import verify
from scoring.conducting import do_rebuild_competition, read_state
from scoring.day_plan import read_day
from scoring.handicapping import open_proposals
from scoring.models import (
    CompetitionEntry,
    Encounter,
    HandicapDistance,
    HandicapProposal,
    Match,
    MatchProjection,
    RefusedEntry,
    Team,
)
from scoring.prizes import read_prizes
from scoring.publishing import shown_parts
from scoring.rebuilding import do_rebuild
from scoring.standing import read_standings
from tests.cast import client_for

pytestmark = pytest.mark.django_db
RECIPE = Path(settings.BASE_DIR) / "fixtures" / "make_demo_events.py"


@pytest.fixture(scope="module")
def held(django_db_setup, django_db_blocker):
    """Return the demo with its events, made once; beside them only two of its own matches."""
    with django_db_blocker.unblock(), transaction.atomic():
        told = fixture.read()
        few = [row for row in told["matches"] if row["code"] in ("tonight-1", "group-b-perrolt-ruvenhold")]
        told = events.joined(told | {"matches": few}, events.read())
        demo = club.do_set_up(told)
        replay.do_replay(demo, told)
        events.do_hold_events(demo, events.read())
        yield demo
        transaction.set_rollback(True)


def rows() -> list[int]:
    kinds = (CompetitionEntry, Match, Encounter, Team, HandicapDistance, HandicapProposal)
    return [kind.objects.count() for kind in kinds] + [
        sum(MatchProjection.objects.values_list("seq", flat=True))
    ]


def test_nothing_was_refused_and_all_equals_a_rebuild(held):
    assert not RefusedEntry.objects.exists()
    for one in held.competitions.values():
        assert do_rebuild_competition(one) == []
    for pk in Match.objects.filter(competition=held.competitions["copper-evening"]).values_list(
        "pk", flat=True
    ):
        assert do_rebuild(pk) == []


def test_second_run_changes_nothing(held):
    before = rows()
    events.do_hold_events(held, events.read())
    assert rows() == before


@pytest.mark.parametrize(
    ("name", "hold", "last"),
    [
        ("weekend", events._hold_weekend, ""),
        ("evening", events._hold_evening, "close"),
        ("league", league.do_hold, "asked"),
    ],
)
def test_run_that_was_interrupted_goes_through_every_step_again(held, name, hold, last):
    before, book = rows(), events.Book(held, events.read()[name])
    steps = book.row.get("steps", [])
    book.done.discard(book.uuid(f"{len(steps) - 1}:{steps[-1]['do']}" if steps else last))
    hold(book)
    assert rows() == before


def test_weekend_is_in_the_middle_of_its_first_day(held):
    weekend = held.competitions["lantern-weekend"]
    statuses = Counter(
        MatchProjection.objects.filter(match__competition=weekend).values_list("status", flat=True)
    )
    assert (statuses["confirmed"], statuses["playing"]) == (9, 2)
    day = read_day(weekend)
    at_tables = [line.state for table in day.tables for line in table.lines]
    assert sorted(at_tables) == ["called", "playing", "playing"]
    # What the referee, who organises this event, may call at once.
    assert len(day.calls) == 1
    entrants = Counter(one["status"] for one in read_state(weekend)["entrants"].values())
    assert entrants == {"present": 13, "reserve": 1, "withdrawn": 1}
    assert [one["draw"] is None for one in read_state(weekend)["stages"].values()] == [False, True]
    assert shown_parts(weekend) == ["standings", "schedule", "bracket", "results"]


def test_visitors_see_groups_without_what_is_on_withheld_sheets(held, client):
    page = client.get(f"/competitions/{held.competitions['lantern-weekend'].pk}/groups/").content.decode()
    assert "walkover" in page
    assert '<a class="fixture-sides"' not in page
    assert page.count('<span class="unseen">score </span>') == 7


def test_evening_is_closed_and_only_the_high_run_tells_two_neighbours_apart(held):
    evening = held.competitions["copper-evening"]
    evening.refresh_from_db()
    assert verify(evening).holds
    told = [one.separated_by for one in read_standings(evening).ranked]
    assert told.count("high_run") == 1
    assert len(read_prizes(evening).given) == 3


def test_season_waits_for_its_captains(held):
    status = Counter(Encounter.objects.values_list("status", flat=True))
    assert (status["confirmed"], status["disputed"], status["lined-up"]) == (3, 1, 1)
    state = read_state(held.competitions["lantern-league"])["encounters"].values()
    assert [sum(one["postponed"] for one in state), sum(one["proposed"] is not None for one in state)] == [
        1,
        1,
    ]
    quendal = Team.objects.get(captain=held.players["quendal"])
    waits = Encounter.objects.get(away=quendal, round=3)
    assert (waits.home_line_up is not None, waits.away_line_up) == (True, None)
    page = client_for(held.users["quendal"]).get(f"/encounters/{waits.pk}/")
    assert page.status_code == 200


def test_distances_hold_and_proposals_wait(held):
    assert HandicapDistance.objects.filter(player=held.players["karnhof"]).count() == 2
    assert open_proposals(held.club, "three-cushion").exists()


def test_file_is_what_its_maker_writes():
    maker = runpy.run_path(str(RECIPE))
    assert maker["written"](maker["events"]()) == events.PATH.read_text(encoding="utf-8")
