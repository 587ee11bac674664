"""One match through the API: the example match, the pen, the rights, what is read back."""

import json
import uuid

import pytest

from scoring.models import MatchProjection
from tests.cast import (
    client_for,
    make_competition,
    make_match,
    make_organiser,
    make_player,
    make_referee,
    make_user,
)

pytestmark = [pytest.mark.django_db]

ROUND = [{"ball": "red"}, {"rail": "left"}, {"rail": "top"}, {"rail": "right"}, {"ball": "yellow"}]
TWO = [{"ball": "red"}, {"rail": "left"}, {"rail": "top"}, {"ball": "white"}]


class Scorer:
    """A device that writes one match."""

    def __init__(self, match, user=None, bearer=None):
        self.match = match
        self.client = client_for(user, bearer)
        self.url = f"/api/matches/{match.pk}/"

    def post(self, after, kind, **fields):
        body = {"uuid": str(uuid.uuid4()), "after": after, "kind": kind} | fields
        return self.client.post(self.url + "entries/", body, format="json")

    def write(self, kind, **fields):
        return self.post(MatchProjection.objects.get(match=self.match).seq, kind, **fields)


@pytest.fixture
def competition():
    return make_competition(published=True)


@pytest.fixture
def match(competition):
    return make_match(competition=competition, distance=(5, 5), format={"equalizing": True})


@pytest.fixture
def scorer(match, competition):
    return Scorer(match, make_referee(competition))


def flags(state):
    return [(flag["seq"], flag["code"]) for flag in state["flags"]]


@pytest.mark.both_databases
def test_the_example_match_step_by_step(match, scorer, competition):
    seven, nine = match.entrant_a_id, match.entrant_b_id

    def stored(answer, seq):
        assert answer.status_code == 201, answer.content
        assert answer.json()["seq"] == seq
        return answer.json()["state"]

    assert scorer.client.get(scorer.url).json()["seq"] == 0
    state = stored(scorer.post(0, "open", starter=nine, decided_by="lag"), 1)
    assert state["players"] == {"white": nine, "yellow": seven}
    state = stored(scorer.post(1, "point", contacts=ROUND), 2)
    assert (state["score"]["white"], state["run"]["white"], state["innings"]["white"]) == (1, 1, 1)
    rows = scorer.client.get(scorer.url + "innings/").json()["results"]
    assert rows[0]["strokes"][0]["tried"] == "around-the-table"
    stored(scorer.post(2, "miss"), 3)
    stored(scorer.post(3, "inning", run=2), 4)
    stored(scorer.post(4, "inning", run=0), 5)
    state = stored(scorer.post(5, "point", contacts=TWO), 6)
    assert flags(state) == [(6, "ruling")]
    assert state["flags"][0]["counts"] is True
    state = stored(scorer.post(6, "settle", target=6, decision="counted, one cushion was not entered"), 7)
    assert state["flags"] == []
    stored(scorer.post(7, "miss"), 8)

    correction = {
        "uuid": str(uuid.uuid4()),
        "after": 8,
        "kind": "inning",
        "run": 2,
        "instead_of": 5,
        "why": "two written as none",
    }
    first = scorer.client.post(scorer.url + "entries/", correction, format="json")
    state = stored(first, 9)
    assert (state["score"]["white"], state["turn"], state["flags"]) == (3, "white", [])
    again = scorer.client.post(scorer.url + "entries/", correction, format="json")
    assert (again.status_code, again.json()["seq"]) == (200, 9)

    old = scorer.post(6, "miss")
    assert (old.status_code, old.json()["code"]) == (409, "stale")

    pair = [
        {"uuid": str(uuid.uuid4()), "after": 9, "kind": "inning", "run": 2},
        {"uuid": str(uuid.uuid4()), "after": 9, "kind": "inning", "run": 1},
    ]
    answer = scorer.client.post(scorer.url + "entries/", pair, format="json")
    assert answer.status_code == 200
    assert [(one["status"], one["seq"]) for one in answer.json()["results"]] == [
        ("stored", 10),
        ("stored", 11),
    ]
    assert (answer.json()["state"]["status"], answer.json()["state"]["winner"]) == ("over", nine)

    late = scorer.post(11, "miss")
    assert (late.status_code, late.json()["code"]) == (409, "over")
    state = stored(scorer.post(11, "void", target=4), 12)
    assert (state["score"]["yellow"], flags(state), state["winner"]) == (2, [(9, "off-turn")], nine)
    state = stored(scorer.post(12, "inning", run=2, instead_of=4), 13)
    assert (state["flags"], state["score"]["yellow"], state["innings"]["yellow"]) == ([], 4, 3)
    state = stored(scorer.post(13, "confirm"), 14)
    assert state["status"] == "confirmed"
    assert scorer.post(14, "void", target=11).status_code == 403
    assert (state["average"], state["high_run"]) == (
        {"white": "1.666", "yellow": "1.333"},
        {"white": 2, "yellow": 2},
    )
    organiser = Scorer(match, make_organiser())
    assert organiser.post(14, "void", target=11).json() == {
        "why": ["The match is confirmed. Say why it is changed."]
    }
    state = stored(organiser.post(14, "void", target=11, why="one too many"), 15)
    assert state["status"] == "playing"


def test_a_spectator_reads_and_does_not_write(match):
    spectator = Scorer(match)
    assert spectator.client.get(spectator.url).status_code == 200
    assert spectator.post(0, "open", starter=match.entrant_a_id).status_code == 401
    nobody = Scorer(match, make_user())
    assert nobody.post(0, "open", starter=match.entrant_a_id).status_code == 403


def test_an_unpublished_match_is_not_there_for_outsiders():
    match = make_match(competition=make_competition("Closed", published=False))
    for outsider in (Scorer(match), Scorer(match, make_user())):
        for part in ("", "entries/", "innings/"):
            assert outsider.client.get(outsider.url + part).status_code == 404
        assert outsider.post(0, "open", starter=match.entrant_a_id).status_code == 404
    organiser = Scorer(match, make_organiser())
    assert organiser.client.get(organiser.url).status_code == 200


def test_a_player_reads_the_own_match_and_writes_it_where_players_score():
    user = make_user()
    own = make_player("Quendal", user=user)
    closed = make_competition("Closed", published=False)
    match = make_match(own, make_player("Vilemeer"), competition=closed)
    player = Scorer(match, user)
    assert player.client.get(player.url).status_code == 200
    assert player.write("open", starter=own.pk).status_code == 403
    closed.players_score = True
    closed.save()
    assert player.write("open", starter=own.pk).status_code == 201


def test_free_text_and_authors_are_not_for_spectators(match, scorer):
    scorer.write("open", starter=match.entrant_a_id)
    scorer.write("point")
    scorer.write("void", target=2, why="a private remark")
    whole = scorer.client.get(scorer.url + "entries/").json()["results"]
    assert whole[2]["why"] == "a private remark"
    assert whole[2]["author"]["kind"] == "user"
    seen = client_for().get(scorer.url + "entries/").json()["results"]
    assert [one["kind"] for one in seen] == ["open", "point", "void"]
    assert "why" not in seen[2]
    assert "author" not in seen[2]


def test_entries_are_read_on_from_a_seq(match, scorer):
    scorer.write("open", starter=match.entrant_a_id)
    for _ in range(4):
        scorer.write("miss")
    answer = scorer.client.get(scorer.url + "entries/?after=2&limit=2").json()
    assert [one["seq"] for one in answer["results"]] == [3, 4]
    assert "after=4" in answer["next"]
    rest = scorer.client.get(answer["next"]).json()
    assert ([one["seq"] for one in rest["results"]], rest["next"]) == ([5], None)
    assert scorer.client.get(scorer.url + "entries/?after=-1").status_code == 400


def test_nothing_new_is_answered_without_a_body(match, scorer):
    first = scorer.client.get(scorer.url)
    same = scorer.client.get(scorer.url, HTTP_IF_NONE_MATCH=first["ETag"])
    assert (same.status_code, same.content) == (304, b"")
    scorer.write("open", starter=match.entrant_a_id)
    assert scorer.client.get(scorer.url, HTTP_IF_NONE_MATCH=first["ETag"]).status_code == 200


def test_a_device_that_missed_the_answer_asks_for_its_own_pen_again(match, scorer):
    scorer.write("open", starter=match.entrant_a_id)
    asked = {"device": "tablet", "uuid": str(uuid.uuid4())}
    first, again = (scorer.client.post(scorer.url + "pen/", asked, format="json") for _ in range(2))
    assert (first.status_code, again.status_code) == (201, 201)
    assert match.pens.count() == 1
    assert Scorer(match, bearer=first.json()["token"]).write("point").status_code == 401
    assert Scorer(match, bearer=again.json()["token"]).write("point").status_code == 201
    scorer.client.delete(scorer.url + "pen/")
    late = scorer.client.post(scorer.url + "pen/", asked, format="json")
    assert (late.status_code, late.json()["code"]) == (409, "pen-known")


def test_the_pen_is_taken_lost_and_given_back(match, scorer):
    scorer.write("open", starter=match.entrant_a_id)
    taken = scorer.client.post(scorer.url + "pen/", {"device": "tablet"}, format="json")
    assert taken.status_code == 201
    tablet = Scorer(match, bearer=taken.json()["token"])
    assert tablet.write("point").status_code == 201

    refused = scorer.write("point")
    assert (refused.status_code, refused.json()["code"]) == (409, "pen-elsewhere")
    assert scorer.client.get(scorer.url + "pen/").json()["device"] == "tablet"
    second = scorer.client.post(scorer.url + "pen/", {"device": "phone"}, format="json")
    assert (second.status_code, second.json()["code"]) == (409, "pen-elsewhere")

    over = scorer.client.post(scorer.url + "pen/", {"device": "phone", "take_over": True}, format="json")
    phone = Scorer(match, bearer=over.json()["token"])
    assert phone.write("point").status_code == 201
    lost = tablet.write("point")
    assert (lost.status_code, lost.json()["code"]) == (409, "pen-elsewhere")

    assert phone.client.delete(phone.url + "pen/").status_code == 204
    assert scorer.write("miss").status_code == 201


def test_a_pen_writes_its_own_match_alone(match, scorer, competition):
    token = scorer.client.post(scorer.url + "pen/", {"device": "tablet"}, format="json").json()["token"]
    private = make_match(
        make_player("Astavik"), make_player("Karnhof"), competition=make_competition("Closed")
    )
    stray = Scorer(private, bearer=token)
    assert stray.client.get(stray.url).status_code == 404
    assert stray.post(0, "open", starter=private.entrant_a_id).status_code == 404


def test_a_list_is_answered_entry_by_entry(match, scorer):
    scorer.write("open", starter=match.entrant_a_id)
    entries = [
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "inning", "run": 1},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "inning", "run": -1},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "miss"},
    ]
    answer = scorer.client.post(scorer.url + "entries/", entries, format="json")
    assert answer.status_code == 200
    assert [(one["status"], one["code"]) for one in answer.json()["results"]] == [
        ("stored", None),
        ("refused", "malformed"),
        ("refused", "follows-refused"),
    ]
    assert "run" in answer.json()["results"][1]["reason"]
    assert answer.json()["state"]["seq"] == 2
    for no_list in ([], [{}] * 501):
        assert scorer.client.post(scorer.url + "entries/", no_list, format="json").status_code == 400


def test_a_preview_says_what_would_change(match, scorer):
    scorer.write("open", starter=match.entrant_a_id)
    scorer.write("inning", run=2)
    body = {"uuid": str(uuid.uuid4()), "after": 2, "kind": "inning", "run": 5, "instead_of": 2}
    answer = scorer.client.post(scorer.url + "entries/preview/", body, format="json").json()
    assert "Total of White: 2 becomes 5." in answer["changes"]
    assert answer["state"]["score"]["white"] == 5
    assert scorer.client.get(scorer.url).json()["seq"] == 2
    late = scorer.client.post(scorer.url + "entries/preview/", body | {"after": 0}, format="json")
    assert (late.status_code, late.json()["code"]) == (409, "stale")


@pytest.mark.parametrize(
    "body",
    [
        None,
        "text",
        7,
        {},
        {"uuid": "no"},
        {"uuid": str(uuid.uuid4()), "after": 0},
        {"uuid": str(uuid.uuid4()), "after": True, "kind": "miss"},
        {"uuid": str(uuid.uuid4()), "after": -1, "kind": "miss"},
        {"uuid": str(uuid.uuid4()), "after": 10**30, "kind": "miss"},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "goal"},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": ["miss"]},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "miss", "nonsense": 1},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "inning"},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "inning", "run": "3"},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "inning", "run": True},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "inning", "run": 1.5},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "point", "contacts": [{"rail": "left"}] * 10_000},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "point", "contacts": [{"ball": "white"}]},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "point", "contacts": {"ball": "red"}},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "void", "target": 1.0},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "miss", "device_time": "yesterday"},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "miss", "device_time": "2026-11-25T10:00:00"},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "miss", "why": "x" * 501},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "miss", "why": "\u0000"},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "miss", "why": "\ud800"},
        {"uuid": str(uuid.uuid4()), "after": 1, "kind": "concede", "player": 10**6},
    ],
)
def test_bad_input_gets_a_reason_and_changes_nothing(match, scorer, body):
    scorer.write("open", starter=match.entrant_a_id)
    url = scorer.url + "entries/"
    answer = scorer.client.post(url, json.dumps(body), content_type="application/json")
    assert answer.status_code == 400
    assert answer.json()
    listed = scorer.client.post(url, json.dumps([body]), content_type="application/json")
    assert [one["status"] for one in listed.json()["results"]] == ["refused"]
    assert scorer.client.get(scorer.url).json()["seq"] == 1
