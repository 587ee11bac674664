"""Pages of a season of teams: entering, planning, line-ups, the sheet, the answer; all by plain forms."""

from __future__ import annotations

import pytest
from django.test import Client

from scoring.conducting import read_state
from scoring.models import Competition, CompetitionEntry, Encounter, Match, Team
from tests import cast
from tests.scoring.event.league import League
from tests.scoring.test_query_counts import asked, counted

pytestmark = pytest.mark.django_db


def signed_in(user) -> Client:
    client = Client()
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return client


def line_up(league: League, team: Team, *players) -> dict:
    side = "home" if team == league.home else "away"
    told = {f"board_{number}": pk for number, pk in enumerate(players or league.regulars(team), 1)}
    return {"act": "line-up", "side": side, **told}


def test_a_round_by_its_pages():
    league = League()
    address = f"/encounters/{league.encounter.pk}/"
    home, away = (signed_in(league.squad(team)[0].user) for team in (league.home, league.away))
    organiser = signed_in(league.organiser)
    assert "enter the line-up" in home.get(f"/teams/{league.home.pk}/").content.decode().lower()

    irregular = line_up(league, league.home, *league.regulars(league.home)[::-1])
    warned = home.post(address, irregular)
    assert "Enter it as it is" in warned.content.decode()
    assert not CompetitionEntry.objects.filter(kind="line-up").exists()
    knowing = warned.context["knowing"]
    assert home.post(address, irregular | {"knowing": knowing}).status_code == 302
    assert home.post(address, line_up(league, league.home)).status_code == 302
    assert away.post(address, line_up(league, league.away)).status_code == 302
    assert Match.objects.filter(encounter=league.encounter).count() == 4

    sheet = {"act": "sheet", "then": "hand-over"}
    for board in range(1, 5):
        for side, points in (("home", 20), ("away", 10 + board)):
            sheet |= {f"b{board}_{side}_points": points, f"b{board}_{side}_innings": 30}
    wrong = home.post(address, sheet | {"b2_away_points": "many", "b3_home_innings": ""})
    assert set(wrong.context["wrong"]) == {2, 3}
    assert home.post(address, sheet).status_code == 302
    assert Encounter.objects.get(pk=league.encounter.pk).status == "entered"
    assert "confirm the sheet" in away.get(f"/teams/{league.away.pk}/").content.decode().lower()

    mute = away.post(address, {"act": "dispute", "dispute-board": 2})
    assert mute.context["forms"]["dispute"].errors
    told = {"act": "dispute", "dispute-board": 2, "dispute-why": "Counted twice."}
    assert away.post(address, told).status_code == 302
    assert away.post(address, {"act": "confirm"}).status_code == 302
    decided = {"act": "settle", "settle-board": 2, "settle-decision": "Thirteen it is."}
    figures = {"home_points": 20, "home_innings": 30, "away_points": 13, "away_innings": 30}
    decided |= {f"settle-{name}": value for name, value in figures.items()}
    assert home.post(address, decided).status_code == 403
    assert organiser.post(address, decided).status_code == 302
    page = organiser.get(address).content.decode()
    assert "Thirteen it is." in page
    assert "decided by an organiser" in page
    table = organiser.get(f"/competitions/{league.competition.pk}/teams/")
    assert table.context["divisions"][0]["rows"][0]["board_points"] == "8"
    assert "paper-sheet" in away.get(f"{address}sheet/").content.decode()


def test_an_organiser_enters_teams_plans_settles_and_starts_the_next_season():
    competition = cast.make_competition()
    client = signed_in(cast.make_organiser())
    teams, season = (f"/competitions/{competition.pk}/{part}/" for part in ("teams", "season"))
    players = [cast.make_player(family) for family in ("Quendal", "Vilemeer")]
    for name, player in zip(("Red Chalk", "Blue Chalk"), players, strict=True):
        told = {"name": name, "captain": player.pk, "division": 1}
        assert client.post(teams, told).status_code == 302
    assert "Another team" in client.post(teams, {"name": "Red Chalk", "division": 1}).content.decode()
    team = Team.objects.get(name="Red Chalk")
    member = {"act": "register", "register-player": players[0].pk, "register-points": 30}
    refused = client.post(f"/teams/{team.pk}/", member)
    assert "innings" in refused.context["forms"]["register"].errors
    assert client.post(f"/teams/{team.pk}/", member | {"register-innings": 40}).status_code == 302
    taken = {"act": "deduct", "deduct-match_points": 1, "deduct-why": "Late list."}
    assert client.post(f"/teams/{team.pk}/", taken).status_code == 302
    rule = {
        name: value for name, value in client.get(season).context["league"].rule.to_json().items() if value
    }
    rule |= {"loss": 0, "board_loss": 0, "boards": 2}
    told = {f"rule-{name}": value for name, value in rule.items()} | {"act": "rule"}
    assert client.post(season, told).status_code == 302
    assert read_state(competition)["season"]["rule"]["boards"] == 2
    plan = {"act": "plan", "plan-first_on": "2026-10-02", "plan-every": 7, "plan-leeway_days": 3}
    assert client.post(season, plan).status_code == 302
    assert [str(one.due_on) for one in Encounter.objects.order_by("round")] == ["2026-10-05", "2026-10-12"]
    page = client.get(teams)
    assert "Late list." in page.content.decode()
    assert page.context["divisions"][0]["rows"][-1]["match_points"] == "-1"
    one = Encounter.objects.get(round=1)
    award = {"act": "award", "award-to": "home", "award-walkover": "on", "award-why": "Nobody came."}
    assert client.post(f"/encounters/{one.pk}/", award).status_code == 302
    assert client.post(season, {"act": "settle"}).status_code == 302
    assert client.post(season, {"act": "next", "next-name": "Second Cup"}).status_code == 302
    assert Competition.objects.get(name="Second Cup").follows == competition
    assert client.post(f"/teams/{team.pk}/", {"act": "release", "player": players[0].pk}).status_code == 302
    assert not team.squad.filter(until=None).exists()


def test_pages_and_calls_ask_as_often_for_many_teams_as_for_two():
    counts = []
    for teams in (2, 4):
        league = League(teams=teams)
        for one in list(Encounter.objects.filter(home__in=league.teams).select_related("home", "away")):
            league.play(one)
        client, pk = cast.client_for(league.organiser), league.competition.pk
        addresses = {
            "competition-teams": f"/competitions/{pk}/teams/",
            "competition-season": f"/competitions/{pk}/season/",
            "team": f"/teams/{league.home.pk}/",
            "encounter": f"/encounters/{league.encounter.pk}/",
            "api-competition-season": f"/api/competitions/{pk}/season/",
            "api-competition-encounters": f"/api/competitions/{pk}/encounters/",
            "api-competition-teams": f"/api/competitions/{pk}/teams/",
            "api-encounter": f"/api/encounters/{league.encounter.pk}/",
        }
        counts.append({name: asked(client, address) for name, address in addresses.items()})
    assert counts[0] == counts[1]
    for name, count in counts[0].items():
        counted(name, count)


def test_a_captain_finds_the_own_team_from_the_own_page():
    league = League()
    page = signed_in(league.squad(league.home)[0].user).get("/you/").content.decode()
    assert f"/teams/{league.home.pk}/" in page


@pytest.mark.parametrize("number", ["9223372036854775808", "9" * 5000, "٣", "-1"])
def test_numbers_that_are_nobodys_are_read_as_nobody(number):
    league = League()
    captain, organiser = signed_in(league.squad(league.home)[0].user), signed_in(cast.make_organiser())
    told = line_up(league, league.home, number)
    assert captain.post(f"/encounters/{league.encounter.pk}/", told).status_code in (200, 302)
    released = {"act": "release", "player": number}
    assert organiser.post(f"/teams/{league.home.pk}/", released).status_code == 200
    assert organiser.get("/players/merge/", {"gone": number, "into": number}).status_code == 200
    assert league.home.squad.filter(until=None).count() == 5
