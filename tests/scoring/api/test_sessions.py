"""Practice through the API, as a device and a coach use it."""

from __future__ import annotations

import uuid

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from scoring import beside
from scoring.coaching import do_agree, do_ask
from scoring.models import Attempt, Coaching, PracticePosition, PracticeSession, Role
from tests import cast
from tests.scoring.practice.trying import LINE, MADE, row, send, tried

pytestmark = pytest.mark.django_db


@pytest.fixture
def mira():
    return cast.make_player("Quendal", user=cast.make_user("mira"))


@pytest.fixture
def coach():
    return cast.make_role(Role.Kind.COACH, name="coach")


@pytest.fixture
def client(mira):
    return cast.client_for(mira.user)


@pytest.fixture
def session(mira):
    return cast.make_session(mira)


def post(client, path: str, body=None):
    return client.post(f"/api/{path}", body, format="json")


# --- sessions ------------------------------------------------------------------


def test_a_session_is_begun_once_and_read_back(client, mira):
    position = cast.make_position(mira.user)
    asked = {
        "uuid": str(uuid.uuid4()),
        "player": mira.pk,
        "discipline": "three-cushion",
        "name": "Wednesday",
        "table": cast.make_table().pk,
        "goal": {"attempts": 20, "made": 8},
        "positions": [position.pk, {"position": str(position.uuid), "repetitions": 10}],
    }
    begun = post(client, "sessions/", asked)
    assert begun.status_code == 201
    told = begun.json()
    step = {"position": position.pk, "repetitions": None, "goal": None}
    assert told["positions"] == [step, step | {"repetitions": 10}]
    assert told["goal"] == asked["goal"]
    assert (told["attempts"], told["made"], told["seq"], told["ended_at"]) == (0, 0, 0, None)
    again = post(client, "sessions/", asked | {"name": "Thursday"})
    assert (again.status_code, again.json()) == (200, told)
    assert client.get(f"/api/sessions/{told['id']}/").json() == told
    assert client.get("/api/sessions/").json()["results"] == [told]


def test_a_session_is_ones_own_where_no_player_is_named(client, mira):
    assert post(client, "sessions/", {"discipline": "three-cushion"}).json()["player"] == mira.pk
    nobody = cast.client_for(cast.make_user())
    answer = post(nobody, "sessions/", {"discipline": "three-cushion"})
    assert (answer.status_code, list(answer.json())) == (400, ["player"])


def test_nobody_begins_a_session_of_somebody_else(mira):
    asked = {"player": mira.pk, "discipline": "three-cushion"}
    for user in (cast.make_organiser(), cast.make_superuser(), cast.make_user()):
        assert post(cast.client_for(user), "sessions/", asked).status_code == 403
    assert not PracticeSession.objects.exists()


def test_a_uuid_of_somebody_elses_session_is_taken(session):
    other = cast.make_player("Vilemeer", user=cast.make_user())
    asked = {"uuid": str(session.uuid), "discipline": "three-cushion"}
    answer = post(cast.client_for(other.user), "sessions/", asked)
    assert (answer.status_code, answer.json()["code"]) == (409, "uuid-taken")


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"discipline": "croquet"}, "discipline"),
        ({"table": 404}, "table"),
        ({"goal": {"attempts": 2, "made": 3}}, "goal"),
        ({"positions": [404]}, "positions"),
        ({"positions": {}}, "positions"),
        ({"assignment": 404}, "assignment"),
        ({"player": 404}, "player"),
    ],
)
def test_a_session_that_cannot_be_begun_names_the_field(client, fields, field):
    answer = post(client, "sessions/", {"discipline": "three-cushion"} | fields)
    assert (answer.status_code, list(answer.json())) == (400, [field])
    assert not PracticeSession.objects.exists()


def test_a_session_is_renamed_and_ended(client, session):
    path = f"/api/sessions/{session.pk}/"
    changed = client.patch(path, {"name": "Late", "ended": True, "goal": None}, format="json").json()
    assert (changed["name"], changed["goal"]) == ("Late", None)
    assert changed["ended_at"] is not None
    assert client.get("/api/sessions/?ended=false").json()["results"] == []
    assert client.get("/api/sessions/?ended=true").json()["results"] == [changed]
    assert client.patch(path, {"ended": False}, format="json").json()["ended_at"] is None
    assert list(client.patch(path, {"goal": 3}, format="json").json()) == ["goal"]
    assert list(client.patch(path, {"goal": {"made": 3}}, format="json").json()["goal"]) == ["attempts"]


# --- attempts ------------------------------------------------------------------


def test_an_attempt_is_stored_once(client, session):
    sent = row(outcome=None, contacts=MADE, line=LINE)
    path = f"sessions/{session.pk}/attempts/"
    stored = post(client, path, sent)
    assert stored.status_code == 201
    told = stored.json()
    assert (told["uuid"], told["outcome"], told["family"]) == (sent["uuid"], "made", "around-the-table")
    assert told["ruling"]["valid"] is True
    assert told["ruling"]["reason"] == "Counts: 3 cushions"
    assert (told["told"], told["prediction"], told["struck_by"]) == ("same-time", None, None)
    again = post(client, path, sent)
    assert (again.status_code, again.json()) == (200, told)
    assert client.get(f"/api/{path}").json() == {"results": [told], "next": None}


def test_an_attempt_is_struck_out_and_put_back(client, session):
    path, attempt = f"sessions/{session.pk}/attempts/", tried(session, outcome="made")
    struck = {"uuid": str(uuid.uuid4()), "void": str(attempt.uuid)}
    answer = post(client, path, struck)
    assert answer.status_code == 201
    assert (answer.json()["uuid"], answer.json()["struck_by"]) == (str(attempt.uuid), struck["uuid"])
    assert client.get(f"/api/sessions/{session.pk}/").json()["made"] == 0
    assert post(client, path, struck).status_code == 200
    twice = post(client, path, struck | {"uuid": str(uuid.uuid4())})
    assert (twice.status_code, twice.json()["code"]) == (409, "struck-out")
    back = post(client, path, {"uuid": str(uuid.uuid4()), "void": struck["uuid"]})
    assert (back.status_code, back.json()["struck_out_at"]) == (201, None)
    assert client.get(f"/api/sessions/{session.pk}/").json()["made"] == 1


def test_a_list_says_of_each_what_became_of_it(client, session):
    good, known = row(), row(outcome="made")
    send(session, known)
    void = {"uuid": str(uuid.uuid4()), "void": good["uuid"]}
    path = f"sessions/{session.pk}/attempts/"
    answer = post(client, path, [good, known, row(how="askew"), void, 7])
    assert answer.status_code == 200
    results = answer.json()["results"]
    assert [one["status"] for one in results] == ["stored", "known", "refused", "stored", "refused"]
    assert results[0]["attempt"] == results[3]["attempt"]
    assert results[0]["attempt"]["struck_by"] == void["uuid"]
    assert results[2]["code"] == "malformed"
    assert results[2]["reason"].startswith("how: ")
    assert results[4] == {
        "uuid": None,
        "status": "refused",
        "code": "malformed",
        "reason": results[4]["reason"],
        "attempt": None,
    }
    for wrong in ([], [row()] * 501):
        assert list(post(client, path, wrong).json()) == ["attempts"]
    assert Attempt.objects.count() == 2


def test_an_attempt_that_is_malformed_names_its_field(client, session):
    answer = post(client, f"sessions/{session.pk}/attempts/", row(layout=None))
    assert (answer.status_code, list(answer.json())) == (400, ["layout"])
    inside = cast.LAYOUT | {"red": cast.LAYOUT["white"]}
    answer = post(client, f"sessions/{session.pk}/attempts/", row(layout=inside))
    assert (answer.status_code, answer.json()) == (
        400,
        {"layout.red": ["Red overlaps White; move it away."]},
    )


def test_attempts_are_read_on_page_by_page(client, session):
    for _ in range(3):
        tried(session)
    path = f"/api/sessions/{session.pk}/attempts/"
    first = client.get(f"{path}?limit=2").json()
    assert [one["order"] for one in first["results"]] == [1, 2]
    assert [one["order"] for one in client.get(first["next"]).json()["results"]] == [3]
    assert client.get(f"{path}?after=no").status_code == 400


def test_what_is_told_beside_an_attempt_stands_in_it(client, session, monkeypatch):
    attempt = tried(session)
    known = {"success": 0.25, "stderr": 0.01, "kind": "same-time", "source": "best"}
    monkeypatch.setitem(beside._attempt_tellers, "prediction", lambda uuids: {attempt.uuid: known})
    results = client.get(f"/api/sessions/{session.pk}/attempts/").json()["results"]
    assert results[0]["prediction"] == known


# --- rights --------------------------------------------------------------------


def test_sessions_of_others_are_not_there(session):
    path = f"sessions/{session.pk}/"
    others = (cast.make_user(), cast.make_organiser(), cast.make_superuser())
    for client in (*map(cast.client_for, others), cast.client_for()):
        assert client.get(f"/api/{path}").status_code == 404
        assert client.patch(f"/api/{path}", {"name": "x"}, format="json").status_code == 404
        assert client.get(f"/api/{path}attempts/").status_code == 404
        assert post(client, f"{path}attempts/", row()).status_code == 404
    assert cast.client_for(cast.make_organiser()).get("/api/sessions/").json()["results"] == []
    assert not Attempt.objects.exists()


def test_an_agreed_coach_reads_and_does_not_write(coach, mira, session):
    do_agree(do_ask(coach, mira).pk)
    client = cast.client_for(coach)
    tried(session)
    assert [one["id"] for one in client.get("/api/sessions/").json()["results"]] == [session.pk]
    assert len(client.get(f"/api/sessions/{session.pk}/attempts/").json()["results"]) == 1
    assert post(client, f"sessions/{session.pk}/attempts/", row()).status_code == 403
    assert client.patch(f"/api/sessions/{session.pk}/", {"name": "x"}, format="json").status_code == 403


# --- positions -----------------------------------------------------------------


def test_a_position_is_added_once_shared_and_stays_where_it_lies(client, mira):
    asked = {
        "uuid": str(uuid.uuid4()),
        "name": "Corner",
        "layout": cast.LAYOUT,
        "discipline": "three-cushion",
    }
    added = post(client, "positions/", asked)
    assert added.status_code == 201
    told = added.json()
    assert (told["of"], told["shared"], told["cue_ball"], told["line"]) == ("own", False, "white", None)
    assert post(client, "positions/", asked).status_code == 200
    assert PracticePosition.objects.filter(owner=mira.user).count() == 1
    path = f"/api/positions/{told['id']}/"
    other = cast.client_for(cast.make_user())
    assert other.get(path).status_code == 404
    assert client.patch(path, {"shared": True}, format="json").json()["shared"] is True
    assert other.get(path).json()["of"] == "club"
    assert other.patch(path, {"name": "Mine"}, format="json").status_code == 403
    moved = client.patch(path, {"layout": cast.LAYOUT}, format="json")
    assert (moved.status_code, list(moved.json())) == (400, ["layout"])
    assert client.get("/api/positions/?of=own").json()["results"] == [client.get(path).json()]


def test_the_library_is_listed_and_is_nobodys_to_change(client):
    found = client.get("/api/positions/?of=product&family=ticky").json()["results"]
    assert [one["code"] for one in found] == ["ticky-near", "ticky-far"]
    path = f"/api/positions/{found[0]['id']}/"
    assert client.patch(path, {"name": "x"}, format="json").status_code == 403


@pytest.mark.parametrize("name", ["layout", "name", "discipline"])
def test_a_position_that_lacks_something_names_it(client, name):
    asked = {"name": "Corner", "layout": cast.LAYOUT, "discipline": "three-cushion"}
    del asked[name]
    answer = post(client, "positions/", asked)
    assert (answer.status_code, list(answer.json())) == (400, [name])


def test_a_position_is_of_balls_that_can_lie_so(client):
    asked = {"name": "Corner", "discipline": "three-cushion"}
    answer = post(client, "positions/", asked | {"layout": cast.LAYOUT | {"yellow": [2.0, 7.95]}})
    assert (answer.status_code, answer.json()) == (
        400,
        {"layout": ["Yellow lies outside the noses; move it in."]},
    )
    # Frozen at two rails and to each other.
    edge, ball = 0.03075 / 0.355, 0.0615 / 0.355
    frozen = {"white": [edge, edge], "yellow": [edge + ball, edge], "red": [3.0, 3.0]}
    assert post(client, "positions/", asked | {"layout": frozen}).status_code == 201


# --- coaching ------------------------------------------------------------------


def test_a_coach_asks_the_player_agrees_and_withdraws(coach, client, mira, session):
    at_the_side = cast.client_for(coach)
    asked = post(at_the_side, "coaching/", {"player": mira.pk})
    assert (asked.status_code, asked.json()["status"]) == (201, "asked")
    path = f"coaching/{asked.json()['id']}/"
    assert post(at_the_side, f"{path}agree/").status_code == 403
    assert post(cast.client_for(cast.make_organiser()), f"{path}agree/").status_code == 404
    twice = post(at_the_side, "coaching/", {"player": mira.pk})
    assert (twice.status_code, twice.json()["code"]) == (409, "asked-already")
    assert client.get("/api/coaching/").json()["results"][0]["coach"] == "coach"
    assert post(client, f"{path}agree/").json()["status"] == "agreed"
    assert at_the_side.get(f"/api/sessions/{session.pk}/").status_code == 200
    assert post(client, f"{path}withdraw/").json()["status"] == "withdrawn"
    assert at_the_side.get(f"/api/sessions/{session.pk}/").status_code == 404
    late = post(client, f"{path}agree/")
    assert (late.status_code, late.json()["code"]) == (409, "withdrawn")


def test_only_a_coach_asks(client, mira):
    assert post(client, "coaching/", {"player": mira.pk}).status_code == 403
    assert not Coaching.objects.exists()


def test_what_a_coach_sets_is_the_plan_of_a_session(coach, client, mira):
    at_the_side, position = cast.client_for(coach), cast.make_position(coach)
    asked = {
        "player": mira.pk,
        "name": "For Tuesday",
        "positions": [{"position": position.pk, "repetitions": 10, "goal": {"attempts": 10, "made": 4}}],
    }
    assert post(at_the_side, "assignments/", asked).status_code == 403
    coaching = do_ask(coach, mira)
    early = post(at_the_side, "assignments/", asked)
    assert (early.status_code, early.json()["code"]) == (409, "not-agreed")
    do_agree(coaching.pk)
    told = post(at_the_side, "assignments/", asked | {"uuid": str(uuid.uuid4())})
    assert told.status_code == 201
    assert client.get("/api/assignments/").json()["results"] == [told.json()]
    body = {"discipline": "three-cushion", "assignment": told.json()["id"]}
    begun = post(client, "sessions/", body).json()
    assert (begun["positions"], begun["name"]) == (asked["positions"], "For Tuesday")
    followed = at_the_side.get(f"/api/sessions/?assignment={told.json()['id']}").json()["results"]
    assert [one["id"] for one in followed] == [begun["id"]]
    assert list(post(at_the_side, "assignments/", asked | {"positions": []}).json()) == ["positions"]


# --- how often the database is asked -------------------------------------------


def questions(client, path: str, body=None) -> int:
    with CaptureQueriesContext(connection) as asked:
        answer = client.get(f"/api/{path}") if body is None else post(client, path, body)
    assert answer.status_code == 200
    return len(asked)


def test_reading_asks_as_often_whatever_the_amount(client, coach, mira):
    do_agree(do_ask(coach, mira).pk)
    counts = []
    for number in (1, 12):
        session = cast.make_session(mira, table=cast.make_table())
        rows = [row(contacts=MADE) for _ in range(number)]
        send(session, *rows, *({"uuid": str(uuid.uuid4()), "void": one["uuid"]} for one in rows[:3]))
        for _ in range(number):
            cast.make_position(mira.user)
        paths = ("sessions/", f"sessions/{session.pk}/attempts/", "positions/", "coaching/")
        counts.append([questions(one, path) for one in (client, cast.client_for(coach)) for path in paths])
    assert counts[0] == counts[1]
    assert max(counts[0]) <= 9


def test_writing_asks_as_often_whatever_the_amount(client, mira, session):
    position = cast.make_position(mira.user)
    counts = []
    for number in (2, 30):
        rows = [row(position=position.pk, layout=None, cue_ball=None) for _ in range(number)]
        voids = [{"uuid": str(uuid.uuid4()), "void": one["uuid"]} for one in rows[:2]]
        send(session, *(old := [row() for _ in range(2)]))
        voids += [{"uuid": str(uuid.uuid4()), "void": one["uuid"]} for one in old]
        counts.append(questions(client, f"sessions/{session.pk}/attempts/", rows + voids))
    assert counts[0] == counts[1] <= 20
