"""Running a day: calls, moves, tables out of order, walkovers; and who may be where at once."""

from __future__ import annotations

import datetime
import uuid

import pytest
from django.utils import timezone

from scoring.conducting import do_rebuild_competition, do_record, read_state
from scoring.day_plan import read_day
from scoring.ledger import Author
from scoring.linking import do_make_link
from scoring.models import CompetitionEntry, Match, MatchEntry
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed
from scoring.running import do_act
from tests import cast
from tests.scoring.pages.writing import innings, opened

pytestmark = pytest.mark.django_db
ME = Author(organises=True)


class World:
    def __init__(self, matches: int = 2, tables: int = 2) -> None:
        self.cup = cast.make_competition(regulations={"rest_minutes": 10})
        self.tables = [cast.make_table(f"Table {at + 1}", number=at + 1) for at in range(tables)]
        self.players = [cast.make_player(f"Player{at}") for at in range(2 * matches)]
        self.matches = [
            cast.make_match(*self.players[2 * at : 2 * at + 2], competition=self.cup) for at in range(matches)
        ]

    def act(self, act: str, **fields) -> None:
        do_act(self.cup, act, fields, ME)

    def fresh(self, at: int = 0) -> Match:
        return Match.objects.select_related("projection").get(pk=self.matches[at].pk)

    def day(self, **later):
        return read_day(self.cup, timezone.now() + datetime.timedelta(**later))


@pytest.fixture
def world():
    return World()


def refused(world: World, act: str, **fields) -> str:
    with pytest.raises(Refused) as caught:
        world.act(act, **fields)
    return caught.value.code


def test_a_called_match_is_at_its_table_and_taken_back_it_is_nowhere(world):
    match, table = world.matches[0], world.tables[1]
    referee = cast.make_player("Astavik")
    world.act("call", match=match.pk, table=table.pk, referee=referee.pk)
    stored = world.fresh()
    assert (stored.table_id, stored.projection.table_id, stored.referee_id) == (
        table.pk,
        table.pk,
        referee.pk,
    )
    world.act("take-back", match=match.pk)
    stored = world.fresh()
    assert (stored.table_id, stored.projection.table_id, stored.referee_id) == (None, None, None)
    assert refused(world, "take-back", match=match.pk) == "not-called"


def test_the_link_of_the_table_writes_the_match_that_is_called_there_and_follows_a_move(world):
    match = world.matches[0]
    links = [do_make_link(world.cup, table) for table in world.tables]
    first, second = (cast.client_for(bearer=link.fresh_token) for link in links)
    address = f"/api/matches/{match.pk}/"
    assert first.get(address).status_code == 404
    world.act("call", match=match.pk, table=world.tables[0].pk)
    sent = {"uuid": str(uuid.uuid4()), "after": 0, "kind": "open", "starter": match.entrant_a_id}
    assert first.post(f"{address}entries/", sent, format="json").status_code == 201
    assert second.get(address).status_code == 404
    pen = first.post(f"{address}pen/", {"device": "tablet"}, format="json").json()["token"]
    world.act("move", match=match.pk, table=world.tables[1].pk, why="the cloth is torn")
    assert (first.get(address).status_code, second.get(address).status_code) == (404, 200)
    sent = {"uuid": str(uuid.uuid4()), "after": world.fresh().projection.seq, "kind": "inning", "run": 2}
    assert cast.client_for(bearer=pen).post(f"{address}entries/", sent, format="json").status_code == 401
    assert second.post(f"{address}entries/", sent, format="json").status_code == 201


def test_a_match_moved_in_the_middle_keeps_its_score(world):
    match = opened(world.matches[0])
    world.act("tables-in-use", tables=[one.pk for one in world.tables])
    innings(match, 2, 1)
    world.act("move", match=match.pk, table=world.tables[0].pk)
    kinds = [one.kind for one in MatchEntry.objects.filter(match=match).order_by("seq")]
    assert kinds == ["open", "inning", "inning", "suspend", "resume"]
    stored = world.fresh()
    assert (stored.projection.status, stored.projection.table_id) == ("playing", world.tables[0].pk)
    assert refused(world, "move", match=match.pk, table=world.tables[0].pk) == "same-table"
    assert refused(world, "call", match=match.pk, table=world.tables[1].pk) == "begun"


def test_a_retry_does_nothing_again(world):
    match, name = opened(world.matches[0]), uuid.uuid4()
    for _ in range(2):
        do_act(world.cup, "move", {"match": match.pk, "table": world.tables[0].pk}, ME, name)
    called = uuid.uuid4()
    for _ in range(2):
        do_act(world.cup, "call", {"match": world.matches[1].pk, "table": world.tables[1].pk}, ME, called)
    absent = {"match": world.matches[1].pk, "absent": world.players[2].pk, "why": "did not appear"}
    for _ in range(2):
        do_act(world.cup, "walkover", absent, ME, called)
    assert CompetitionEntry.objects.count() == 2
    assert MatchEntry.objects.filter(kind="result").count() == 1


def test_a_table_out_of_order_takes_no_match_until_it_is_back(world):
    first, second = world.tables
    world.act("table-out", table=first.pk, why="heating")
    assert refused(world, "call", match=world.matches[0].pk, table=first.pk) == "table-out"
    day = world.day()
    assert [one.out is not None for one in day.tables] == [True, False]
    assert {slot.table.pk for slot in day.slots} == {second.pk}
    with pytest.raises(Malformed):
        world.act("table-out", table=second.pk)
    world.act("table-back", table=first.pk)
    world.act("call", match=world.matches[0].pk, table=first.pk)


def test_a_table_has_one_match_and_a_player_one_duty(world):
    shared = cast.make_match(world.players[0], world.players[2], competition=world.cup)
    world.act("call", match=world.matches[0].pk, table=world.tables[0].pk, referee=world.players[2].pk)
    one, two = world.tables[0].pk, world.tables[1].pk
    assert refused(world, "call", match=world.matches[1].pk, table=one) == "table-taken"
    # Player 2 referees, player 0 is called.
    assert refused(world, "call", match=world.matches[1].pk, table=two) == "busy"
    assert refused(world, "call", match=shared.pk, table=two) == "busy"
    world.act("assign", match=world.matches[0].pk)
    world.act("call", match=world.matches[1].pk, table=two)
    assert refused(world, "assign", match=world.matches[1].pk, referee=world.players[0].pk) == "busy"


def test_players_rest_unless_the_organiser_says_otherwise(world):
    match = opened(world.matches[0])
    innings(match, 5, 0)
    again = cast.make_match(world.players[0], world.players[2], competition=world.cup)
    assert [code for code, _, _ in _line(world.day(), again).waits] == ["rest"]
    assert refused(world, "call", match=again.pk, table=world.tables[0].pk) == "rest"
    assert not _line(world.day(minutes=11), again).waits
    world.act("call", match=again.pk, table=world.tables[0].pk, anyway=True)


def _line(day, match: Match):
    return next(line for line in day.lines if line.match.pk == match.pk)


def test_who_is_not_there_is_not_called(world):
    here, gone = world.players[:2]
    do_record(world.cup, "enter", {"players": [one.pk for one in world.players]}, ME)
    assert not _line(world.day(), world.matches[0]).waits
    do_record(world.cup, "present", {"player": here.pk}, ME)
    waits = _line(world.day(), world.matches[0]).waits
    assert [(code, player.pk) for code, player, _ in waits] == [("absent", gone.pk)]
    do_record(world.cup, "present", {"player": gone.pk}, ME)
    assert not _line(world.day(), world.matches[0]).waits
    do_record(world.cup, "withdraw", {"player": gone.pk}, ME)
    assert refused(world, "call", match=world.matches[0].pk, table=world.tables[0].pk) == "left"
    world.act("walkover", match=world.matches[0].pk, absent=gone.pk, why="withdrew")
    assert world.fresh().projection.winner_id == here.pk


def test_held_back_forward_and_not_before(world):
    first, second = world.matches
    world.act("hold", match=first.pk)
    assert [slot.what.match.pk for slot in world.day().calls] == [second.pk]
    assert refused(world, "call", match=first.pk, table=world.tables[0].pk) == "held"
    world.act("table-out", table=world.tables[1].pk, why="heating")
    world.act("release", match=first.pk)
    assert [slot.what.match.pk for slot in world.day().calls] == [first.pk]
    world.act("forward", match=second.pk)
    assert [slot.what.match.pk for slot in world.day().calls] == [second.pk]
    later = timezone.now() + datetime.timedelta(minutes=30)
    world.act("not-before", match=second.pk, at=later.isoformat())
    day = world.day()
    assert [slot.what.match.pk for slot in day.calls] == [first.pk]
    assert next(slot.start for slot in day.slots if slot.what.match.pk == second.pk) >= later


def test_what_is_late_says_so(world):
    called, planned = world.matches
    Match.objects.filter(pk=planned.pk).update(scheduled_at=timezone.now())
    world.act("call", match=called.pk, table=world.tables[0].pk)
    assert world.day().late == []
    late = {line.match.pk: line.late for line in world.day(minutes=12).late}
    assert late == {called.pk: [("not-begun", 12)], planned.pk: [("behind", 12)]}
    opened(called)
    late = {line.match.pk: line.late[0][0] for line in world.day(hours=3).late}
    assert late[called.pk] == "long"


def test_the_day_opens_and_ends(world):
    world.act("day-open")
    assert refused(world, "day-open") == "day-open"
    world.act("day-end")
    assert read_state(world.cup)["day"]["ended"] is not None
    assert refused(world, "day-end") == "day-not-open"
    assert do_rebuild_competition(world.cup) == []


def test_foreign_rows_are_not_taken(world):
    other = cast.make_match()
    with pytest.raises(Malformed):
        world.act("call", match=other.pk, table=world.tables[0].pk)
    with pytest.raises(Malformed):
        world.act("call", match=world.matches[0].pk, table=10**6)
    with pytest.raises(Malformed):
        world.act("referees", players=[10**6])
