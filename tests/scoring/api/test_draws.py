"""Draws, entrants and the ledger of a competition through the API."""

from __future__ import annotations

import uuid

import pytest

from scoring.models import CompetitionEntry, Match
from scoring.rules.event.drawn import work_out
from tests import cast
from tests.scoring.event.playing import begin, result

pytestmark = pytest.mark.django_db
FORMAT = {"distance": [5, 5]}


@pytest.fixture
def cup():
    return cast.make_competition()


@pytest.fixture
def client():
    return cast.client_for(cast.make_organiser())


def people(count: int) -> list[int]:
    return [cast.make_player(f"Player{number}").pk for number in range(count)]


def draw(client, cup, **body):
    return client.post(f"/api/competitions/{cup.pk}/draw/", {"format": FORMAT} | body, format="json")


def entrants(client, cup, **body):
    return client.post(f"/api/competitions/{cup.pk}/entrants/", body, format="json")


def test_a_round_robin_as_the_contract_has_it(client, cup):
    players = people(5)
    answer = draw(client, cup, kind="round-robin", players=players)
    assert answer.status_code == 201
    rounds = answer.json()["rounds"]
    one, two, three, four, five = players
    # FIDE Handbook C.05, Annex 1, the table for six; the sixth is nobody
    assert rounds[0] == [[two, five], [three, four], [one, None]]
    assert [len(pairs) for pairs in rounds] == [3] * 5
    assert Match.objects.filter(competition=cup).count() == 10
    state = client.get(f"/api/matches/{Match.objects.order_by('tie').first().pk}/").json()
    assert (state["entrants"], state["format"]["distance"]) == ([two, five], [5, 5])


def test_a_knock_out_stands_in_bracket_order_with_byes_for_the_highest_seeds(client, cup):
    players = people(11)
    answer = draw(client, cup, kind="knockout", players=players).json()
    seeds = {player: seed for seed, player in enumerate(players, 1)}
    shown = [[seeds.get(player) for player in pair] for pair in answer["rounds"][0]]
    assert shown == [[1, None], [8, 9], [4, None], [5, None], [2, None], [7, 10], [3, None], [6, 11]]
    assert answer["byes"] == ["1", "2", "3", "4", "5"]
    # Two who have byes meet in the second round, so their match is made with the draw.
    assert Match.objects.count() == 4


def test_a_draw_is_idempotent_and_closed_once_it_has_begun(client, cup):
    players, name = people(4), str(uuid.uuid4())
    first = draw(client, cup, kind="knockout", players=players, uuid=name)
    again = draw(client, cup, kind="knockout", players=players, uuid=name)
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    anew = draw(client, cup, kind="knockout", players=players[::-1])
    assert (anew.status_code, anew.json()["stage"]) == (201, first.json()["stage"])
    assert Match.objects.count() == 2
    begin(Match.objects.first())
    closed = draw(client, cup, kind="knockout", players=players)
    assert (closed.status_code, closed.json()["code"]) == (409, "locked")
    assert draw(client, cup, kind="knockout", players=players, uuid=name).status_code == 200
    other = draw(client, cup, kind="knockout", players=players[:3], uuid=name)
    assert (other.status_code, other.json()["code"]) == (409, "uuid-known")
    assert draw(client, cup, kind="knockout", players=players, stage=None).status_code == 201


def test_anybody_repeats_a_published_draw(client, cup):
    players = people(9)
    body = {"kind": "round-robin", "players": players, "way": "pots", "seed": "20711", "groups": 3}
    draw(client, cup, **body)
    stranger = cast.client_for()
    assert stranger.get(f"/api/competitions/{cup.pk}/draw/").status_code == 404
    cup.published = True
    cup.save()
    told = stranger.get(f"/api/competitions/{cup.pk}/draw/").json()
    again = work_out("groups", told["given"], way=told["way"], seed=told["seed"], groups=len(told["groups"]))
    assert (again.order, again.groups) == (told["order"], told["groups"])
    assert [told["numbers"][number] for number in told["given"]] == players


def test_what_cannot_be_drawn_writes_nothing(client, cup):
    players = people(3)
    for body, field in (
        ({"kind": "swiss", "players": players}, "kind"),
        ({"kind": "knockout", "players": players[:1]}, "players"),
        ({"kind": "knockout", "players": [*players, players[0]]}, "players"),
        ({"kind": "knockout", "players": [*players, 987654]}, "players"),
        ({"kind": "knockout", "players": players, "way": "lots"}, "seed"),
        ({"kind": "knockout", "players": players, "format": {"distance": [1]}}, "format.distance"),
        ({"kind": "round-robin", "players": players, "groups": 2}, "groups"),
    ):
        answer = draw(client, cup, **body)
        assert (answer.status_code, list(answer.json())) == (400, [field])
    assert not CompetitionEntry.objects.exists()
    assert not Match.objects.exists()


def test_entrants_come_and_go(client, cup):
    one, two, three = people(3)
    answer = entrants(client, cup, kind="enter", players=[one, two])
    assert answer.status_code == 201
    assert [(row["number"], row["status"]) for row in answer.json()["entrants"]] == [
        (1, "entered"), (2, "entered"),
    ]  # fmt: skip
    entrants(client, cup, kind="enter", players=[three], reserve=True)
    entrants(client, cup, kind="present", player=one)
    entrants(client, cup, kind="seeds", players=[two, one])
    refused = entrants(client, cup, kind="withdraw", player=two)
    assert (refused.status_code, list(refused.json())) == (400, ["why"])
    entrants(client, cup, kind="no-show", player=two, why="never came")
    rows = client.get(f"/api/competitions/{cup.pk}/entrants/").json()
    assert [(row["status"], row["seed"]) for row in rows["entrants"]] == [
        ("present", 2), ("no-show", 1), ("reserve", None),
    ]  # fmt: skip
    refused = draw(client, cup, kind="round-robin", players=[one, two, three])
    assert (refused.status_code, refused.json()["code"]) == (409, "left-before")
    assert draw(client, cup, kind="round-robin", players=[one, three]).status_code == 201


def test_a_leaving_is_shown_beforehand(client, cup):
    players = people(4)
    draw(client, cup, kind="knockout", players=players)
    begin(Match.objects.get(tie=1))
    body = {"kind": "withdraw", "player": players[1], "why": "ill"}
    seen = entrants(client, cup, **body, preview=True)
    assert (seen.status_code, [one["what"] for one in seen.json()["changes"]]) == (200, ["walkover"])
    assert Match.objects.get(tie=2).projection.seq == 0
    name = str(uuid.uuid4())
    assert entrants(client, cup, **body, uuid=name).status_code == 201
    assert entrants(client, cup, **body, uuid=name).status_code == 200
    assert Match.objects.get(tie=2).projection.winner_id == players[2]


def test_the_ledger_keeps_its_reasons_for_organisers(client, cup):
    (one,) = people(1)
    entrants(client, cup, kind="enter", players=[one])
    entrants(client, cup, kind="withdraw", player=one, why="away")
    path = f"/api/competitions/{cup.pk}/entries/"
    rows = client.get(path + "?after=1").json()["results"]
    assert [(row["seq"], row["kind"], row["texts"]) for row in rows] == [(2, "withdraw", {"why": "away"})]
    cup.published = True
    cup.save()
    rows = cast.client_for().get(path + "?limit=1").json()
    assert rows["next"].endswith("?after=1&limit=1")
    assert "texts" not in rows["results"][0]


def test_a_weekend_of_groups_and_a_knock_out(client, cup):
    players = people(24)
    groups = draw(client, cup, kind="round-robin", players=players, group_size=3, way="pots", seed="9").json()
    assert [len(group) for group in groups["groups"]] == [3] * 8
    for _round in range(3):
        for match in Match.objects.filter(competition=cup, projection__status="planned"):
            result(match, min(match.entrant_ids))
    told = client.get(f"/api/competitions/{cup.pk}/draw/").json()
    assert {one["state"] for one in told["fixtures"]} == {"confirmed"}
    numbers = told["numbers"]
    seated = [sorted(numbers[number] for number in group) for group in told["groups"]]
    firsts, seconds = [group[0] for group in seated], [group[1] for group in seated]
    order = sorted(firsts) + sorted(seconds)
    cup_draw = draw(client, cup, kind="knockout", players=order, third_place=True, groups_apart=True).json()
    mates = [set(group) for group in seated]
    assert not any(set(pair) <= group for pair in cup_draw["rounds"][0] for group in mates)
    for size in (8, 4, 2, 2):
        planned = Match.objects.filter(competition=cup, projection__status="planned")
        assert planned.count() == size or size == 2
        for match in planned:
            result(match, min(match.entrant_ids))
    told = client.get(f"/api/competitions/{cup.pk}/draw/").json()
    final = next(one for one in told["fixtures"] if one["tie"] == 15)
    assert (len(told["fixtures"]), final["winner"]) == (16, min(players))
