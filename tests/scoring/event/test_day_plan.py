"""The plan of a day: nobody twice at once whatever happens, rest, referees, later rounds, when it ends."""

from __future__ import annotations

import datetime
import itertools
import random
from unittest import mock

import pytest
from django.utils import timezone

from scoring.day_plan import read_day
from scoring.day_shapes import UNDER_WAY, Day, Line
from scoring.drawing import Asked, do_draw
from scoring.ledger import Author
from scoring.models import Match, MatchProjection
from scoring.paces import read_paces
from scoring.running import do_act
from tests import cast
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db
ME = Author(organises=True)
REST = 10


def people_of(slot) -> set[int]:
    if isinstance(slot.what, Line):
        found = set(slot.what.match.entrant_ids)
    else:
        found = {side for side in slot.what.fixture.sides if side is not None}
    return found | ({slot.referee.pk} if slot.referee else set())


def collisions(day: Day) -> list[tuple]:
    """Return the pairs of the plan that share a table or a person at one time."""
    found = []
    for one, other in itertools.combinations(day.slots, 2):
        if one.start < other.end and other.start < one.end:
            tables = one.table is not None and one.table == other.table
            if tables or people_of(one) & people_of(other):
                found.append((one, other))
    return found


def rests(day: Day) -> list[float]:
    """Return the minutes between two matches of one player, of those that are planned."""
    plays: dict[int, list] = {}
    for slot in day.slots:
        if isinstance(slot.what, Line):
            for pk in slot.what.match.entrant_ids:
                plays.setdefault(pk, []).append(slot)
    return [
        (after.start - before.end).total_seconds() / 60
        for slots in plays.values()
        for before, after in itertools.pairwise(sorted(slots, key=lambda slot: slot.start))
        if not after.locked
    ]


@pytest.mark.parametrize("seed", [1, 2])
def test_whatever_happens_nobody_is_at_two_places_at_once(seed):
    luck = random.Random(seed)
    cup = cast.make_competition(regulations={"rest_minutes": REST})
    tables = [cast.make_table(f"Table {at}", number=at) for at in (1, 2, 3)]
    players = [cast.make_player(f"Player{at}") for at in range(8)]
    pairs = luck.sample(list(itertools.combinations(players, 2)), 9)
    for pair in pairs:
        cast.make_match(*pair, competition=cup)
    do_act(cup, "referees", {"players": [one.pk for one in players[:6]]}, ME)
    now = timezone.now()
    for step in range(24):
        now += datetime.timedelta(minutes=luck.randint(1, 30))
        with mock.patch("django.utils.timezone.now", return_value=now):
            day = read_day(cup)
            assert collisions(day) == []
            assert all(minutes >= REST for minutes in rests(day))
            for slot in day.calls[: luck.randint(0, 2)]:
                told = {"match": slot.what.match.pk, "table": slot.table.pk, "referee": slot.referee.pk}
                do_act(cup, "call", told, ME)
            at_tables = [line for line in day.lines if line.state in UNDER_WAY]
            if step == 6:
                do_act(cup, "table-out", {"table": tables[0].pk, "why": "heating"}, ME)
            for line in day.lines:
                if line.state == "called":
                    opened(line.match)
            if at_tables:
                ending = luck.choice(at_tables).match
                write(ending, "concede", player=ending.entrant_a_id)
    over = Match.objects.filter(projection__status=MatchProjection.Status.OVER).count()
    assert over >= 5


def test_a_player_of_the_pool_referees_while_not_playing():
    cup = cast.make_competition()
    for at in (1, 2):
        cast.make_table(f"Table {at}", number=at)
    players = [cast.make_player(f"Player{at}") for at in range(4)]
    first = cast.make_match(*players[:2], competition=cup)
    second = cast.make_match(*players[2:], competition=cup)
    do_act(cup, "referees", {"players": [one.pk for one in players]}, ME)
    day = read_day(cup)
    # Two tables are free, but whoever referees the first match cannot play the second.
    assert [slot.what.match.pk for slot in day.calls] == [first.pk]
    assert day.calls[0].referee.pk in second.entrant_ids


def test_later_rounds_are_planned_before_anybody_knows_who_plays_them():
    cup = cast.make_competition(regulations={"rest_minutes": REST})
    for at in (1, 2, 3, 4):
        cast.make_table(f"Table {at}", number=at)
    players = [cast.make_player(f"Player{at}").pk for at in range(8)]
    do_draw(cup, Asked("knockout", players, format={"distance": [20, 20]}), ME)
    day = read_day(cup)
    assert (len(day.slots), len(day.open)) == (7, 3)
    starts = [
        sorted(slot.start for slot in day.slots if _tie(slot) in ties)
        for ties in ((1, 2, 3, 4), (5, 6), (7,))
    ]
    ends = [max(slot.end for slot in day.slots if _tie(slot) in ties) for ties in ((1, 2, 3, 4), (5, 6))]
    rest = datetime.timedelta(minutes=REST)
    assert starts[1][0] >= ends[0] + rest
    assert starts[2][0] >= ends[1] + rest
    assert day.end == max(slot.end for slot in day.slots)
    assert day.bound <= day.end
    # Three rounds one after the other cannot be played in less, whatever the tables.
    assert (day.bound - day.now).total_seconds() / 60 >= 3 * min(
        one.minutes for one in day.open
    ) + 2 * REST - 1


def _tie(slot) -> int:
    return slot.what.match.tie if isinstance(slot.what, Line) else slot.what.fixture.tie


def test_the_day_ends_as_the_players_own_averages_say():
    cup = cast.make_competition(regulations={"seconds_a_stroke": 30})
    cast.make_table("Table 1", number=1)
    slow = [cast.make_player(f"Slow{at}") for at in range(2)]
    match = opened(cast.make_match(*slow, distance=(30, 30)))
    innings(match, *[1, 0] * 20)
    write(match, "concede", player=slow[0].pk)
    paces = read_paces([one.pk for one in slow], "three-cushion", 30)
    assert {pk: round(value, 2) for pk, value in paces.averages.items()} == {slow[0].pk: 1.0, slow[1].pk: 0.0}
    cast.make_match(*slow, competition=cup, distance=(10, 10))
    ready = read_day(cup)
    # Average 1 needs some 10 innings for 10 points; who makes none has as many: 10 x (2 + 1.05) strokes of 30 s.
    assert 10 + 13 <= ready.queue[0].minutes <= 10 + 18
    assert round((ready.end - ready.now).total_seconds() / 60) in range(ready.queue[0].minutes - 1, 40)


def test_a_match_that_is_played_ends_by_what_is_left_of_it():
    cup = cast.make_competition(regulations={"seconds_a_stroke": 30})
    cast.make_table("Table 1", number=1)
    match = opened(cast.make_match(competition=cup, distance=(20, 20)))
    before = read_day(cup).elsewhere[0].end
    innings(match, 15, 15)
    assert read_day(cup).elsewhere[0].end < before - datetime.timedelta(minutes=5)


def test_a_match_of_another_day_is_not_in_the_plan():
    cup = cast.make_competition()
    cast.make_table("Table 1", number=1)
    tomorrow = timezone.now() + datetime.timedelta(days=1)
    cast.make_match(competition=cup, scheduled_at=tomorrow)
    day = read_day(cup)
    assert (day.lines, day.end, day.bound) == ([], None, None)
