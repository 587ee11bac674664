"""A small league of invented teams, made through its verbs."""

from __future__ import annotations

from typing import Any

from scoring.ledger import Author
from scoring.models import Competition, Encounter, Player, Team
from scoring.seasons import do_plan_season, do_set_rule
from scoring.teams import do_enter_team, do_register
from tests import cast

ORGANISER = Author(organises=True)
# Points in 100 innings by which boards are ordered, of four regular players and a substitute.
AVERAGES = (90, 75, 60, 45, 70)
FAMILIES = (
    ("Quendal", "Vilemeer", "Astavik", "Karnhof", "Brinsel"),
    ("Oudewaal", "Perrolt", "Sembray", "Tolvik", "Undergaard"),
    ("Wessing", "Yverdal", "Zandroek", "Arnheld", "Bostrel"),
    ("Cadrain", "Dussen", "Elmstra", "Fjordal", "Grevink"),
)


class League:
    """Teams of four and a substitute, with captains who sign in, and their plan."""

    def __init__(self, teams: int = 2, divisions: int = 1, **rule: Any) -> None:
        self.competition: Competition = cast.make_competition("Winter League", format={"distance": [20, 20]})
        self.organiser = cast.make_organiser(self.competition)
        told = {"boards": 4, "double": False, "substitute_percent": 110, "substitute_average": "0.65"}
        do_set_rule(self.competition, told | rule, ORGANISER)
        self.teams: list[Team] = []
        self.squads: list[list[Player]] = []
        for number in range(teams):
            self._team(number, 1 + number * divisions // teams)
        do_plan_season(self.competition, ORGANISER, rounds=[{"on": "2026-10-02", "due": "2026-10-09"}])
        planned = Encounter.objects.filter(group__stage__competition=self.competition)
        self.encounter = planned.select_related("home", "away").order_by("pk")[0]
        self.home, self.away = self.encounter.home, self.encounter.away

    def _team(self, number: int, division: int) -> None:
        squad = [cast.make_player(family) for family in FAMILIES[number % len(FAMILIES)]]
        squad[0].user = cast.make_user()
        squad[0].save()
        team = do_enter_team(
            self.competition, f"Team {'ABCDEFGH'[number]}", ORGANISER, division=division, captain=squad[0]
        )
        for place, player in enumerate(squad):
            told = {"points": AVERAGES[place], "innings": 100, "substitute": place == 4}
            do_register(team, player, told, ORGANISER)
        self.teams.append(team)
        self.squads.append(squad)

    def squad(self, team: Team) -> list[Player]:
        return self.squads[[one.pk for one in self.teams].index(team.pk)]

    def regulars(self, team: Team) -> list[int]:
        return [one.pk for one in self.squad(team)[:4]]

    def captain(self, team: Team):
        """Return a client of the API that a team's captain signed in with."""
        return cast.client_for(self.squad(team)[0].user)

    def step(self, client, verb: str, encounter: Encounter | None = None, **told: Any):
        """Send a step of an encounter; return the answer."""
        pk = (encounter or self.encounter).pk
        return client.post(f"/api/encounters/{pk}/", {"verb": verb, **told}, format="json")

    def reveal(self, encounter: Encounter | None = None) -> None:
        """Enter both line-ups, regular ones."""
        one = encounter or self.encounter
        for team in (one.home, one.away):
            answer = self.step(self.captain(team), "line-up", one, players=self.regulars(team))
            assert answer.status_code == 200, answer.content

    def play(self, encounter: Encounter | None = None, home: int = 20, away: int = 12) -> None:
        """Enter every board with the same figures, hand the sheet over and confirm it."""
        one = encounter or self.encounter
        self.reveal(one)
        for board in range(1, 5):
            told = {"board": board, **figures(home, away)}
            assert self.step(self.captain(one.home), "board", one, **told).status_code == 200
        assert self.step(self.captain(one.home), "hand-over", one).status_code == 200
        assert self.step(self.captain(one.away), "confirm", one).status_code == 200


def figures(home: int, away: int, innings: int = 30) -> dict[str, Any]:
    """Return what the sheet says of a board."""
    return {
        "outcome": "played",
        "home": {"points": home, "innings": innings, "high_run": 4},
        "away": {"points": away, "innings": innings, "high_run": 3},
    }
