"""What changes in a season that was planned: who comes in late, a team that leaves, what outsiders read."""

from __future__ import annotations

import pytest
from django.test import Client

from scoring.conducting import do_rebuild_competition, read_state
from scoring.encounter_sums import do_rebuild_boards
from scoring.league_tables import read_league
from scoring.models import CompetitionEntry, Encounter, EncounterSums, Match, SquadMember
from tests import cast
from tests.scoring.event.league import League, figures

pytestmark = pytest.mark.django_db


def rows(league: League) -> list[tuple]:
    division = read_league(league.competition).divisions[0]
    return [
        (league.teams[[one.pk for one in league.teams].index(row.row.key)].name, row.row.match_points)
        for row in division.ranked
    ]


def test_a_player_comes_in_before_the_board_begins_and_both_sides_read_it():
    league = League()
    home, away = league.captain(league.home), league.captain(league.away)
    substitute = league.squad(league.away)[4]
    told = {"board": 4, "player": substitute.pk, "why": "Ill since this morning."}
    assert league.step(away, "change-line-up", **told).json()["code"] == "no-line-up"
    league.reveal()
    before = league.squad(league.away)[3]
    assert league.step(home, "change-line-up", side="away", **told).status_code == 403
    assert league.step(away, "change-line-up", **told | {"why": ""}).status_code == 400
    twice = told | {"player": league.squad(league.away)[0].pk}
    assert league.step(away, "change-line-up", **twice).json()["code"] == "in-the-line-up"
    warned = league.step(away, "check-change", **told).json()["warnings"]
    assert any("highest average of a substitute" in one for one in warned)
    assert not CompetitionEntry.objects.filter(kind="line-up-change").exists()
    assert league.step(away, "change-line-up", **told).json()["warnings"] == warned

    match = Match.objects.get(encounter=league.encounter, board=4)
    assert (match.entrant_b_id, match.distance_b) == (substitute.pk, 22)
    assert match.projection.state["players"] == {"white": None, "yellow": None}
    for client in (home, away):
        changes = client.get(f"/api/encounters/{league.encounter.pk}/").json()["line_ups"]["away"]["changes"]
        assert [(one["board"], one["out"], one["into"], one["why"]) for one in changes] == [
            (4, before.full_name, substitute.full_name, "Ill since this morning.")
        ]
    league.step(home, "board", board=3, **figures(20, 12))
    begun = league.step(away, "change-line-up", board=3, player=before.pk, why="Tired.")
    assert begun.json()["code"] == "opened"
    assert (
        read_state(league.competition)["encounters"][str(league.encounter.pk)]["replaced"][-1]["board"] == 4
    )
    assert do_rebuild_competition(league.competition) == []


def test_a_distance_that_no_match_goes_to_is_told_of_with_the_sum():
    league = League()
    away = league.captain(league.away)
    substitute = league.squad(league.away)[4]
    SquadMember.objects.filter(player=substitute).update(distance=950)
    answer = league.step(away, "line-up", players=[*league.regulars(league.away)[:3], substitute.pk])
    assert answer.status_code == 400
    reason = str(answer.json())
    assert "1045" in reason
    assert "1000" in reason
    SquadMember.objects.filter(player=substitute).update(distance=900)
    players = [*league.regulars(league.away)[:3], substitute.pk]
    assert league.step(away, "line-up", players=players).status_code == 200


@pytest.mark.parametrize(
    ("withdrawals", "table"),
    [
        ("keep", [("Team A", 4), ("Team C", 2), ("Team B", 0)]),
        ("annul", [("Team A", 0), ("Team B", 0), ("Team C", 0)]),
    ],
)
def test_a_team_that_leaves_keeps_or_loses_what_it_played_and_comes_back(withdrawals, table):
    league = League(teams=3)
    competition = league.competition
    competition.regulations = {"withdrawals": withdrawals}
    competition.save()
    gone = league.teams[1]
    client = cast.client_for(league.organiser)
    address = f"/api/competitions/{competition.pk}/season/"
    own = Encounter.objects.filter(home__competition=competition).select_related("home", "away")
    played = next(one for one in own if {one.home, one.away} == {league.teams[0], gone})
    league.play(played, *((20, 12) if played.home == league.teams[0] else (12, 20)))
    other = next(one for one in own if gone not in (one.home, one.away))
    client.post(
        f"/api/encounters/{other.pk}/",
        {"verb": "award", "to": "home" if other.home == league.teams[0] else "away", "why": "Nobody came."},
        format="json",
    )
    before = rows(league)

    page = client.get(f"/teams/{gone.pk}/").content.decode()
    assert ("Would be annulled" in page) == (withdrawals == "annul")
    assert "Withdraw the team" in page
    told = {"verb": "withdraw", "team": gone.pk, "why": "Too few players."}
    assert client.post(address, {**told, "why": ""}, format="json").status_code == 400
    assert client.post(address, told, format="json").status_code == 200
    assert sorted(rows(league)) == sorted(
        (name, points + 2 * (name == "Team A" and withdrawals == "annul")) for name, points in table
    )
    assert client.post(address, told, format="json").json()["code"] == "left-before"
    left = next(one for one in own.all() if gone in (one.home, one.away) and one.pk != played.pk)
    assert left.status == ("awarded" if withdrawals == "keep" else "annulled")
    lifted = client.post(f"/api/encounters/{left.pk}/", {"verb": "lift-award", "why": "?"}, format="json")
    assert lifted.json()["code"] == "team-left"
    assert do_rebuild_competition(competition) == []

    assert client.post(address, {"verb": "settle"}, format="json").status_code == 200
    back = {"verb": "reinstate", "team": gone.pk, "why": "They found players."}
    assert client.post(address, back, format="json").json()["code"] == "settled"
    unsettle = {"act": "unsettle", "unsettle-why": "Too early."}
    season = f"/competitions/{competition.pk}/season/"
    assert client.post(season, unsettle, format="multipart").status_code == 302
    assert client.post(address, back, format="json").status_code == 200
    assert rows(league) == before


def test_outsiders_read_of_a_season_what_is_published():
    league = League()
    league.play()
    competition, visitor = league.competition, Client()
    teams, encounter = f"/competitions/{competition.pk}/teams/", f"/encounters/{league.encounter.pk}/"
    member = Client()
    member.force_login(league.squad(league.home)[0].user, backend="django.contrib.auth.backends.ModelBackend")
    seen = {
        "": (200, 200, True, True),
        "results": (200, 200, True, False),
        "schedule": (200, 404, False, False),
        "standings": (404, 200, False, True),
    }
    for withheld, (table, sheet, rounds, score) in seen.items():
        competition.withheld, competition.published = withheld, True
        competition.save()
        answer, one = visitor.get(teams), visitor.get(encounter)
        assert (answer.status_code, one.status_code) == (table, sheet), withheld
        if table == 200:
            assert bool(answer.context.get("rounds")) == rounds, withheld
        if sheet == 200:
            assert bool(one.context["told"]["boards"]) == score, withheld
            told = visitor.get(f"/api{encounter}").json()
            assert [told[name] is not None for name in ("match_points", "board_points")] == [score, score]
            assert bool(told["boards"]) == score
        assert visitor.get(f"{encounter}sheet/").status_code == sheet
        assert visitor.get(f"/api/competitions/{competition.pk}/encounters/").status_code == sheet
        assert member.get(teams).context["rounds"]
        assert member.get(encounter).context["told"]["boards"]


def test_kept_boards_are_what_their_matches_say():
    league = League()
    league.reveal()
    home = league.captain(league.home)
    assert not EncounterSums.objects.exists()
    league.step(home, "board", board=1, **figures(20, 12))
    league.step(home, "board", board=2, outcome="home")
    league.step(home, "board", board=3, outcome="nobody")
    kept = EncounterSums.objects.get(encounter=league.encounter).boards
    assert kept["1"] == ["played", 0, False, [20, 30, 4, 20, 0], [12, 30, 3, 20, 0]]
    assert [kept[board][:2] for board in ("2", "3")] == [["walkover", 0], ["annulled", None]]
    assert "4" not in kept
    assert do_rebuild_boards(league.competition) == []
    EncounterSums.objects.update(boards={})
    assert len(do_rebuild_boards(league.competition)) == 1
    assert EncounterSums.objects.get().boards == kept
