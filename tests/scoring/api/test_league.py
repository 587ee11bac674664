"""A season of teams through the API: a round with a substitute and a disputed board, and what nobody reads early."""

from __future__ import annotations

import datetime
import json
import uuid

import pytest
from django.utils import timezone

from scoring.conducting import do_rebuild_competition, read_state
from scoring.models import (
    Competition,
    CompetitionEntry,
    Encounter,
    Match,
    MatchEntry,
    SquadMember,
    Team,
)
from scoring.rules.event.encounters import line_up_digest
from tests import cast
from tests.scoring.event.league import League, figures

pytestmark = pytest.mark.django_db


def test_a_round_with_a_substitute_and_a_disputed_board():
    league = League()
    home, away = league.captain(league.home), league.captain(league.away)
    organiser = cast.client_for(league.organiser)
    substitute = league.squad(league.away)[4].pk
    players = [*league.regulars(league.away)[:3], substitute]
    told = league.step(away, "line-up", players=players).json()["warnings"]
    assert any("highest average of a substitute" in one for one in told)
    assert any("higher average than" in one for one in told)
    league.step(home, "line-up", players=league.regulars(league.home))

    boards = list(Match.objects.filter(encounter=league.encounter).order_by("board"))
    assert [one.board for one in boards] == [1, 2, 3, 4]
    assert boards[3].entrant_b_id == substitute
    assert (boards[3].distance_a, boards[3].distance_b) == (20, 22)

    for board, (ours, theirs) in enumerate([(20, 12), (11, 20), (20, 20)], 1):
        answer = league.step(home, "board", board=board, **figures(ours, theirs))
        assert answer.status_code == 200, answer.content
    assert league.step(home, "hand-over").json()["code"] == "not-over"
    runs = {"home": [5, 5, 5, 5], "away": [1, 0, 2, 0]}
    assert league.step(home, "board", board=4, innings=runs).status_code == 200
    assert league.step(away, "confirm").json()["code"] == "not-entered"
    assert league.step(home, "hand-over").json()["status"] == "entered"
    assert season(organiser, league)["divisions"][0]["rows"][0]["match_points"] == 0

    assert league.step(home, "confirm").status_code == 403
    league.step(away, "dispute", board=2, why="The last two points were fouls.")
    answer = league.step(away, "confirm").json()
    assert answer["status"] == "disputed"
    assert [one["answer"] for one in answer["boards"]] == [
        "confirmed", "disputed", "confirmed", "confirmed",
    ]  # fmt: skip
    division = season(organiser, league)["divisions"][0]
    assert division["provisional"]
    assert [(one["name"], one["match_points"], one["board_points"]) for one in division["rows"]] == [
        (league.home.name, 2, 5),
        (league.away.name, 0, 3),
    ]
    assert division["rows"][0]["values"] == ["2", "0"]

    assert league.step(away, "settle", board=2, decision="It stands.").status_code == 403
    answer = league.step(
        organiser, "settle", board=2, decision="Two points less.", result=figures(11, 18)
    ).json()
    assert answer["status"] == "confirmed"
    assert answer["boards"][1]["away"]["points"] == 18
    kinds = MatchEntry.objects.filter(match=boards[1]).order_by("seq").values_list("kind", flat=True)
    assert list(kinds) == ["open", "result", "dispute", "result", "settle", "confirm"]
    assert MatchEntry.objects.filter(match=boards[0], kind="confirm").get().author_user == (
        league.squad(league.away)[0].user
    )

    found = season(organiser, league)
    rows = found["divisions"][0]["rows"]
    assert not found["divisions"][0]["provisional"]
    assert [(one["points"], one["innings"], one["pending"]) for one in rows] == [(71, 94, 0), (53, 94, 0)]
    assert len(found["players"]) == 8
    assert found["players"][0]["average"] == "5.000"
    assert do_rebuild_competition(league.competition) == []


def season(client, league: League) -> dict:
    return client.get(f"/api/competitions/{league.competition.pk}/season/").json()


def test_nobody_reads_a_line_up_of_the_other_side_before_both_are_in():
    league = League()
    Competition.objects.update(published=True)
    home, away = league.captain(league.home), league.captain(league.away)
    organiser = cast.client_for(league.organiser)
    secret = [*league.regulars(league.home)[:2], league.squad(league.home)[4].pk, None]
    league.step(home, "line-up", players=secret)
    assert read(home, league)["line_ups"]["home"]["players"] == secret
    for client in (away, organiser, cast.client_for(), cast.client_for(cast.make_superuser())):
        told = read(client, league)["line_ups"]["home"]
        assert (told["entered"], told["players"], told["names"], told["warnings"]) == (True, None, [], [])
        assert client.get(f"/encounters/{league.encounter.pk}/").status_code == 200
        pages = [f"/encounters/{league.encounter.pk}/", f"/encounters/{league.encounter.pk}/sheet/"]
        for page in pages:
            assert league.squad(league.home)[4].surname not in client.get(page).content.decode()
    # Nor out of the ledger: it holds a digest, whatever reads it.
    entry = CompetitionEntry.objects.get(kind="line-up")
    assert set(entry.data) == {"encounter", "side", "digest"}
    assert str(secret) not in json.dumps(read_state(league.competition)["encounters"])
    cup = league.competition.pk
    for address in (f"/competitions/{cup}/history/", f"/api/competitions/{cup}/entries/"):
        answer = organiser.get(address)
        assert answer.status_code == 200
        told = answer.content.decode()
        assert "line-up" in told
        assert str(secret[:3])[1:-1] not in told
    assert league.step(away, "look", side="home").status_code == 403
    assert league.step(organiser, "look", side="home").json()["code"] == "not-asked"
    assert league.step(away, "ask-to-look", side="home").status_code == 403
    assert league.step(organiser, "ask-to-look", side="home").status_code == 403

    assert league.step(home, "ask-to-look").status_code == 200
    assert league.step(organiser, "look", side="home").json()["looked"] == {"home": secret}
    assert read(away, league)["line_ups"]["home"]["looked"] == [league.organiser.get_username()]
    assert read(away, league)["line_ups"]["home"]["players"] is None

    league.step(away, "line-up", players=league.regulars(league.away))
    for client in (home, away, organiser, cast.client_for()):
        assert read(client, league)["line_ups"]["home"]["players"] == secret
    shown = CompetitionEntry.objects.get(kind="reveal").data
    assert entry.data["digest"] == line_up_digest(shown["home_salt"], shown["home"])
    assert league.step(home, "line-up", players=secret).json()["code"] == "revealed"
    # Three boards have two players; on the fourth the away side alone is there, 0/0.
    assert Match.objects.filter(encounter=league.encounter).count() == 3
    last = read(away, league)["boards"][3]
    assert (last["match"], last["outcome"], last["winner"]) == (None, "walkover", "away")


def read(client, league: League) -> dict:
    answer = client.get(f"/api/encounters/{league.encounter.pk}/")
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_a_line_up_entered_twice_under_one_uuid_is_entered_once():
    league = League()
    home, name = league.captain(league.home), str(uuid.uuid4())
    for _ in range(2):
        answer = league.step(home, "line-up", players=league.regulars(league.home), uuid=name)
        assert answer.status_code == 200
    assert CompetitionEntry.objects.filter(kind="line-up").count() == 1
    other = league.step(home, "ask-to-look", uuid=name)
    assert other.json()["code"] == "uuid-known"


def test_an_irregular_line_up_is_warned_of_and_never_blocked():
    league = League()
    home = league.captain(league.home)
    guest = cast.make_player("Hollebeek")
    upside = league.regulars(league.home)[::-1][:3] + [guest.pk]
    checked = league.step(home, "check-line-up", players=upside).json()
    assert any("Hollebeek is not in the squad" in one for one in checked["warnings"])
    assert sum("higher average than" in one for one in checked["warnings"]) == 2
    assert not checked["line_ups"]["home"]["entered"]
    assert league.step(home, "line-up", players=upside).json()["line_ups"]["home"]["entered"]


def test_a_postponement_needs_both_captains_or_an_organiser():
    league = League()
    home, away = league.captain(league.home), league.captain(league.away)
    organiser = cast.client_for(league.organiser)
    today = timezone.localdate()
    assert read(home, league)["late"] == ("play" if today > datetime.date(2026, 10, 9) else None)
    later = (today + datetime.timedelta(days=9)).isoformat()
    told = {"due": later, "why": "The hall is shut."}
    assert league.step(home, "postpone", due=later).status_code == 400
    assert league.step(home, "postpone", **told).json()["postponement"]["side"] == "home"
    assert read(home, league)["due_on"] == "2026-10-09"
    assert league.step(home, "answer-postponement", agree=True).status_code == 403
    answer = league.step(away, "answer-postponement", agree=True).json()
    assert (answer["due_on"], answer["postponement"], answer["late"]) == (later, None, None)
    league.step(away, "postpone", **told)
    assert league.step(home, "answer-postponement", agree=False).json()["postponement"] is None
    answer = league.step(organiser, "postpone", due="2020-01-02", why="Played long ago.").json()
    assert (answer["due_on"], answer["late"], answer["postponed"]) == ("2020-01-02", "play", 2)


def test_awards_and_deductions_change_the_table_and_say_why():
    league = League()
    organiser = cast.client_for(league.organiser)
    assert league.step(league.captain(league.home), "award", to="home", why="x").status_code == 403
    answer = league.step(organiser, "award", to="away", walkover=True, why="The home side stayed away.")
    assert (answer.json()["status"], answer.json()["awarded_to"]) == ("awarded", league.away.pk)
    address = f"/api/competitions/{league.competition.pk}/season/"
    taken = {"verb": "deduct", "team": league.away.pk, "match_points": 1, "why": "Two fielded late."}
    rows = organiser.post(address, taken, format="json").json()
    assert rows["deductions"][0]["why"] == "Two fielded late."
    assert [(one["team"], one["match_points"]) for one in rows["divisions"][0]["rows"]] == [
        (league.away.pk, 1),
        (league.home.pk, 0),
    ]
    league.step(organiser, "lift-award", why="They had told us.")
    assert season(organiser, league)["divisions"][0]["rows"][0]["match_points"] == 0
    assert league.captain(league.home).post(address, taken, format="json").status_code == 403


def test_the_season_after_moves_teams_and_registers_what_was_played():
    league = League(teams=4, divisions=2)
    for one in Encounter.objects.select_related("home", "away"):
        league.play(one, *((20, 12) if one.home_id in (league.teams[0].pk, league.teams[2].pk) else (12, 20)))
    organiser = cast.client_for(cast.make_organiser())
    address = f"/api/competitions/{league.competition.pk}/season/"
    early = organiser.post(address, {"verb": "next", "name": "Next League"}, format="json")
    assert early.json()["code"] == "not-settled"
    settled = organiser.post(address, {"verb": "settle"}, format="json").json()
    a, b, c, d = (one.pk for one in league.teams)
    assert settled["settled"] == {"up": [c], "down": [b]}
    assert {one["team"]: one["moves"] for part in settled["divisions"] for one in part["rows"]} == {
        a: None, b: "down", c: "up", d: None,
    }  # fmt: skip
    name = str(uuid.uuid4())
    sent = {"verb": "next", "name": "Next League", "uuid": name}
    following = organiser.post(address, sent, format="json").json()["next"]
    assert organiser.post(address, sent, format="json").json()["next"] == following
    # It is a new competition of the club, which who organises this one alone does not make.
    own = cast.client_for(league.organiser)
    assert own.post(address, sent | {"uuid": str(uuid.uuid4())}, format="json").status_code == 403
    assert "next-name" not in own.get(f"/competitions/{league.competition.pk}/season/").content.decode()
    of_another = sent | {"uuid": str(cast.make_competition().uuid)}
    assert organiser.post(address, of_another, format="json").json()["code"] == "uuid-known"
    fresh = Competition.objects.get(pk=following)
    assert fresh.follows == league.competition
    state = read_state(fresh)["season"]
    names = dict(Team.objects.filter(competition=fresh).values_list("pk", "name"))
    assert {names[int(key)]: one["division"] for key, one in state["teams"].items()} == {
        "Team A": 1, "Team B": 2, "Team C": 1, "Team D": 2,
    }  # fmt: skip
    best = SquadMember.objects.get(team__competition=fresh, player=league.squads[0][0])
    assert (best.points, best.innings) == (20, 30)
    unplayed = SquadMember.objects.get(team__competition=fresh, player=league.squads[0][4])
    assert (unplayed.points, unplayed.innings, unplayed.substitute) == (70, 100, True)
    assert state["rule"] == read_state(league.competition)["season"]["rule"]


def test_teams_are_entered_changed_and_planned():
    competition = cast.make_competition()
    client = cast.client_for(cast.make_organiser())
    first, second = cast.make_player("Quendal"), cast.make_player("Vilemeer")
    address, name = f"/api/competitions/{competition.pk}/teams/", str(uuid.uuid4())
    body = {"name": "Red Chalk", "uuid": name, "captain": first.pk, "squad": [{"player": first.pk}]}
    made = client.post(address, body, format="json")
    assert (made.status_code, client.post(address, body, format="json").status_code) == (201, 200)
    assert client.post(address, {"name": "red chalk"}, format="json").status_code == 400
    team = made.json()["id"]
    changed = client.patch(
        f"/api/teams/{team}/",
        {"squad": [{"player": second.pk, "points": 40, "innings": 50, "distance": 25}], "leave": [first.pk]},
        format="json",
    ).json()
    assert [(one["player"], one["distance"]) for one in changed["squad"]] == [(second.pk, 25)]
    other = client.post(address, {"name": "Blue Chalk"}, format="json").json()["id"]
    taken = client.patch(f"/api/teams/{other}/", {"squad": [{"player": second.pk}]}, format="json")
    assert taken.json()["code"] == "in-a-squad"
    days = [{"on": "2026-10-02"}, {"on": "2026-10-09", "due": "2026-10-16"}]
    planned = {"verb": "plan", "rounds": days, "seed": "17"}
    season_address = f"/api/competitions/{competition.pk}/season/"
    for _ in range(2):  # again, as nothing happened
        assert client.post(season_address, planned, format="json").status_code == 200
    listed = client.get(f"/api/competitions/{competition.pk}/encounters/").json()["results"]
    assert [(one["round"], one["due_on"]) for one in listed] == [(1, "2026-10-02"), (2, "2026-10-16")]
    assert listed[0]["home"]["id"] == listed[1]["away"]["id"]
    assert [one["name"] for one in client.get(address).json()["results"]] == ["Red Chalk", "Blue Chalk"]


def test_the_home_side_rewrites_no_board_that_was_disputed_or_decided():
    league = League()
    league.reveal()
    home, away = league.captain(league.home), league.captain(league.away)
    for board in range(1, 5):
        league.step(home, "board", board=board, **figures(20, 12))
    league.step(home, "hand-over")
    league.step(away, "dispute", board=1, why="The last two points were fouls.")
    answer = league.step(home, "board", board=1, **figures(20, 10))
    assert (answer.status_code, answer.json()["code"]) == (409, "answered")
    decided = {"decision": "As the away side has it.", "result": figures(12, 20)}
    assert league.step(cast.client_for(league.organiser), "settle", board=1, **decided).status_code == 200
    answer = league.step(home, "board", board=1, why="Still ours.", **figures(20, 12))
    assert (answer.status_code, answer.json()["code"]) == (409, "answered")
    board = home.get(f"/api/encounters/{league.encounter.pk}/").json()["boards"][0]
    assert (board["home"]["points"], board["answer"]) == (12, "settled")
