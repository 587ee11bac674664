"""Creating players, tables, competitions and matches: what is accepted, refused, and retried."""

from __future__ import annotations

import json
import threading
import uuid

import pytest

from scoring.models import Competition, Match, MatchProjection, Player, PlayTable
from tests import cast

pytestmark = pytest.mark.django_db

LISTS = ("players", "tables", "competitions", "matches")


@pytest.fixture
def organiser():
    return cast.client_for(cast.make_organiser())


def post(client, what, **body):
    # Written here, because half a surrogate pair is valid JSON that no client library sends.
    return client.post(f"/api/{what}/", json.dumps(body), content_type="application/json")


def body_for(what: str) -> dict:
    """Return a body that creates one of `what`."""
    if what == "competitions":
        return {"name": "Autumn Cup", "discipline": "three-cushion"}
    if what == "matches":
        players = [cast.make_player("Karnhof").pk, cast.make_player("Brinsel").pk]
        return {"players": players, "discipline": "three-cushion"}
    return {"name": "Tove Brinsel"}


@pytest.mark.parametrize("what", LISTS)
def test_a_retry_answers_what_the_first_try_stored(organiser, what):
    body = body_for(what) | {"uuid": str(uuid.uuid4())}
    first = post(organiser, what, **body)
    again = post(organiser, what, **body)
    assert (first.status_code, again.status_code) == (201, 200), first.content
    assert first.json() == again.json()
    assert first.json()["uuid"] == body["uuid"]
    answered = organiser.get(f"/api/{what}/").json()
    assert [row["uuid"] for row in answered["results"]].count(body["uuid"]) == 1


@pytest.mark.parametrize("what", LISTS)
@pytest.mark.parametrize("sent", ["1-2-3", "", 7.5, [], {}, None, "\x00", 2**200])
def test_a_uuid_that_is_none_is_malformed(organiser, what, sent):
    answer = post(organiser, what, **(body_for(what) | {"uuid": sent}))
    assert answer.status_code == 400
    assert list(answer.json()) == ["uuid"]


@pytest.mark.parametrize("what", LISTS)
@pytest.mark.parametrize("sent", ["[]", "null", "7", '"text"', "{", "[" * 100_000, "NaN", "\xff", "9" * 5000])
def test_a_body_that_is_no_object_is_malformed(organiser, what, sent):
    answer = organiser.post(f"/api/{what}/", sent, content_type="application/json")
    assert answer.status_code == 400


def test_a_uuid_of_somebody_else_is_not_revealed():
    mira = cast.make_player("Quendal", user=cast.make_user("mira"))
    private = cast.make_match()
    answer = post(
        cast.client_for(mira.user),
        "matches",
        uuid=str(private.uuid),
        players=[mira.pk, cast.make_player("Brinsel").pk],
        discipline="three-cushion",
    )
    assert answer.status_code == 409
    assert answer.json()["code"] == "uuid-taken"
    assert str(private.pk) not in answer.json()["reason"]
    assert Match.objects.count() == 1


@pytest.mark.parametrize(
    ("what", "field", "sent"),
    [
        ("players", "name", ""),
        ("players", "name", "x" * 400),
        ("players", "name", "Mira\x00Quendal"),
        ("players", "name", "Mira\nQuendal"),
        ("players", "name", "Mira \ud800"),
        ("players", "name", 12),
        ("players", "name", ["Mira"]),
        ("players", "name", None),
        ("players", "guest", "perhaps"),
        ("players", "guest", None),
        ("players", "consent", "loudly"),
        ("players", "consent", "\ud800"),
        ("players", "user", "nobody of this name"),
        ("players", "user", "\x00"),
        ("players", "external_numbers", {"issuer": "x"}),
        ("players", "external_numbers", [{"issuer": "KVB"}]),
        ("players", "external_numbers", [{"issuer": "KVB", "number": "1"}] * 2),
        ("tables", "name", "x" * 81),
        ("tables", "number", -1),
        ("tables", "number", 10**30),
        ("tables", "number", "seven"),
        ("tables", "heated", 3),
        ("competitions", "discipline", "darts"),
        ("competitions", "discipline", None),
        ("competitions", "discipline", ["three-cushion"]),
        ("competitions", "format", [5, 5]),
        ("competitions", "rule_set", "house rules nobody wrote"),
        ("competitions", "rule_set", 5),
        ("competitions", "average_decimals", 7),
        ("competitions", "average_rounding", "upwards"),
        ("competitions", "starts_on", "tomorrow"),
        ("matches", "players", [1]),
        ("matches", "players", [1, 2, 3]),
        ("matches", "players", "12"),
        ("matches", "players", [2**80, 1]),
        ("matches", "players", [0, 0]),
        ("matches", "discipline", "darts"),
        ("matches", "discipline", "\x00"),
        ("matches", "table", 10**9),
        ("matches", "table", -4),
        ("matches", "table", "4"),
        ("matches", "table", 2**70),
        ("matches", "competition", 10**9),
        ("matches", "competition", True),
        ("matches", "rule_set", "house rules nobody wrote"),
        ("matches", "format", "long"),
        ("matches", "scheduled_at", "soon"),
    ],
)
def test_a_field_out_of_shape_is_named(organiser, what, field, sent):
    before = (
        Player.objects.count(),
        PlayTable.objects.count(),
        Competition.objects.count(),
        Match.objects.count(),
    )
    players = Player.objects.count()
    body = body_for(what)
    made = Player.objects.count() - players
    answer = post(organiser, what, **(body | {field: sent}))
    assert answer.status_code == 400, answer.content
    assert field in answer.json()
    after = (
        Player.objects.count(),
        PlayTable.objects.count(),
        Competition.objects.count(),
        Match.objects.count(),
    )
    assert after == (before[0] + made, *before[1:])


@pytest.mark.parametrize(
    ("field", "sent"),
    [
        ("format.distance", {"distance": [-1, 5]}),
        ("format.distance", {"distance": 5}),
        ("format.innings_limit", {"innings_limit": 0}),
        ("format.equalizing", {"equalizing": "yes"}),
        ("format.speed", {"speed": 4}),
        ("format.?", {"\x07": 4}),
    ],
)
def test_a_format_is_read_field_by_field(organiser, field, sent):
    answer = post(organiser, "matches", **(body_for("matches") | {"format": sent}))
    assert answer.status_code == 400
    assert list(answer.json()) == [field]
    assert Match.objects.count() == 0


def test_a_match_takes_what_is_left_out_from_its_competition(organiser):
    cup = post(
        organiser,
        "competitions",
        name="Autumn Cup",
        discipline="three-cushion",
        format={"distance": [30, 30], "equalizing": False, "innings_limit": 60},
        average_decimals=2,
        average_rounding="half-up",
    ).json()
    body = body_for("matches")
    del body["discipline"]
    answer = post(organiser, "matches", **body, competition=cup["id"], format={"distance": [25, 30]})
    assert answer.status_code == 201, answer.content
    state = answer.json()
    assert state["discipline"] == "three-cushion"
    assert state["competition"] == cup["id"]
    assert state["entrants"] == body["players"]
    assert state["players"] == {"white": None, "yellow": None}
    assert (state["status"], state["seq"], state["turn"]) == ("planned", 0, None)
    form = state["format"]
    assert (form["distance"], form["equalizing"], form["innings_limit"]) == ([25, 30], False, 60)
    assert (form["average_decimals"], form["average_rounding"]) == (2, "half-up")
    match = Match.objects.get()
    assert (match.distance_a, match.distance_b) == (25, 30)
    assert MatchProjection.objects.get().match == match


def test_a_later_change_of_the_competition_leaves_its_matches_alone(organiser):
    cup = cast.make_competition(format={"innings_limit": 40})
    match = cast.make_match(competition=cup)
    answer = organiser.patch(
        f"/api/competitions/{cup.pk}/",
        {"format": {"innings_limit": 50}, "discipline": "one-cushion"},
        format="json",
    )
    assert answer.status_code == 200
    match.refresh_from_db()
    assert (match.format["innings_limit"], match.discipline_code) == (40, "three-cushion")


def test_a_competition_is_published_by_its_organiser(organiser):
    cup = post(
        organiser, "competitions", name="Autumn Cup", discipline="three-cushion", published=True
    ).json()
    stranger = cast.client_for()
    assert cup["published"] is False
    assert stranger.get(f"/api/competitions/{cup['id']}/").status_code == 404
    assert stranger.get("/api/competitions/").json()["results"] == []
    changed = organiser.patch(f"/api/competitions/{cup['id']}/", {"published": True}, format="json")
    assert changed.json()["published"] is True
    assert stranger.get(f"/api/competitions/{cup['id']}/").json() == changed.json()


def test_a_competition_that_may_not_be_known_is_not_there():
    hidden = cast.make_competition()
    mira = cast.make_player("Quendal", user=cast.make_user("mira"))
    body = {"players": [mira.pk, cast.make_player("Brinsel").pk]}
    client = cast.client_for(mira.user)
    answers = [post(client, "matches", **body, competition=pk) for pk in (hidden.pk, hidden.pk + 1000)]
    assert [answer.status_code for answer in answers] == [400, 400]
    assert answers[0].json() == answers[1].json()


def test_a_player_opens_a_match_of_the_own_and_no_other():
    mira = cast.make_player("Quendal", user=cast.make_user("mira"))
    joost, ronja = cast.make_player("Vilemeer"), cast.make_player("Astavik")
    client = cast.client_for(mira.user)
    assert post(client, "matches", players=[mira.pk, joost.pk], discipline="straight-rail").status_code == 201
    assert (
        post(client, "matches", players=[ronja.pk, joost.pk], discipline="straight-rail").status_code == 403
    )
    assert Match.objects.count() == 1


def test_lists_of_matches_can_be_narrowed(organiser):
    mira = cast.make_player("Quendal")
    table = cast.make_table()
    one = cast.make_match(mira, cast.make_player("Vilemeer"), table=table)
    two = cast.make_match(cast.make_player("Karnhof"), mira, discipline="straight-rail")
    cast.make_match()

    def found(query: str) -> list[int]:
        answer = organiser.get(f"/api/matches/?{query}")
        assert answer.status_code == 200, answer.content
        return [row["id"] for row in answer.json()["results"]]

    assert found(f"player={mira.pk}") == [two.pk, one.pk]
    assert found(f"table={table.pk}") == [one.pk]
    assert found("discipline=straight-rail") == [two.pk]
    assert found("status=over") == []
    assert len(found("status=planned")) == 3
    for bad in (
        "player=x",
        "player=-1",
        f"player={2**80}",
        "status=lost",
        "limit=0",
        "limit=x",
        "past=%00",
        "player=1e400",
    ):
        assert organiser.get(f"/api/matches/?{bad}").status_code == 400, bad


def test_pages_of_a_list_hold_every_row_once(organiser):
    made = [cast.make_table(f"Table {number}").pk for number in range(7)]
    seen, address = [], "/api/tables/?limit=3"
    while address:
        answer = organiser.get(address).json()
        assert len(answer["results"]) <= 3
        seen += [row["id"] for row in answer["results"]]
        address = answer["next"]
    assert seen == made


@pytest.mark.parametrize("path", ["players", "tables", "competitions"])
def test_an_id_beyond_any_number_is_not_found(organiser, path):
    assert organiser.get(f"/api/{path}/{10**30}/").status_code == 404
    assert organiser.patch(f"/api/{path}/{10**30}/", {}, format="json").status_code == 404


@pytest.mark.django_db(transaction=True)
def test_the_same_request_twice_at_once_creates_one():
    user = cast.make_organiser()
    body = {"name": "Table 1", "uuid": str(uuid.uuid4())}
    start = threading.Barrier(4)
    answers = []

    def run():
        from django.db import connection

        client = cast.client_for(user)
        start.wait()
        answers.append(post(client, "tables", **body).status_code)
        connection.close()

    threads = [threading.Thread(target=run) for _each in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(answers) == [200, 200, 200, 201]
    assert PlayTable.objects.count() == 1


def test_an_empty_code_names_no_rule_set(organiser):
    address = f"/api/competitions/{cast.make_competition().pk}/"
    answer = organiser.patch(address, {"rule_set": ""}, format="json")
    assert answer.status_code == 400
    assert list(answer.json()) == ["rule_set"]
    assert organiser.patch(address, {"rule_set": {}}, format="json").json()["rule_set"] == {}
