"""A season of teams: who takes part, in which division, by which regulations, who goes up and down.

state["season"] holds
- rule: the regulations of the league as `LeagueRule.to_json` writes them, none where nothing was said;
- teams: by team id as text, {division, captain, squad}; division 1 is the highest; captain: a player or
  None; squad: by player id as text, {substitute}, of those who belong to it now;
- divisions: as planned, from the highest, each {group, teams}: teams in the order of their numbers;
- double, seed: as the plan was drawn; seed None where the organiser gave the order;
- settled: None, or {up, down} with the teams that change their division.

state["encounters"] belongs to `encounters`; planning a season writes it anew there. Points that are taken
from a team stand with the lots in `ranks`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from fractions import Fraction
from typing import Any

from scoring.rules.match.checks import Refused
from scoring.rules.pairings import round_robin
from scoring.rules.reading import a_bool, a_date, a_fraction, a_text, an_int, an_object, int_or_none
from scoring.rules.said import Malformed, said
from scoring.rules.standings import Counting
from scoring.rules.teams import LineUpRule

from .encounters import fresh
from .entry import EventEntry, Kind, Reader, State, an_id, ids

MOST_BOARDS = 12


@dataclass(frozen=True)
class LeagueRule:
    """The regulations of a league; the defaults are common practice, no source, but for 2/1/0.

    boards: of an encounter. double: home and away. by_average, leeway, substitute_...: what a line-up is
    warned by (`rules.teams.LineUpRule`). entry_hours: within which the home side enters the sheet, counted
    from the end of the day it is played on. win, draw, loss: match points of an encounter; board_...:
    board points of a board. up, down: how many change their division at the end of a season.
    """

    boards: int = 4
    double: bool = True
    by_average: bool = True
    leeway: str = "0"
    substitute_average: str | None = None
    substitute_percent: int = 100
    substitute_times: int | None = None
    entry_hours: int = 48
    win: int = 2
    draw: int = 1
    loss: int = 0
    board_win: int = 2
    board_draw: int = 1
    board_loss: int = 0
    up: int = 1
    down: int = 1

    @property
    def line_up(self) -> LineUpRule:
        limit = self.substitute_average
        return LineUpRule(
            boards=self.boards,
            by_average=self.by_average,
            leeway=Fraction(self.leeway),
            substitute_average=None if limit is None else Fraction(limit),
            substitute_percent=self.substitute_percent,
            substitute_times=self.substitute_times,
        )

    @property
    def counting(self) -> Counting:
        """What an encounter brings in match points."""
        return Counting(self.win, self.draw, self.loss)

    @property
    def board_counting(self) -> Counting:
        """What a board brings in board points."""
        return Counting(self.board_win, self.board_draw, self.board_loss)

    def to_json(self) -> dict[str, Any]:
        return asdict(self)


def rule_of(state: State) -> LeagueRule:
    """Return the regulations of the league."""
    return LeagueRule(**state["season"]["rule"])


def _decimal(value: Any, name: str) -> str:
    if value in (0, "0", "0.0"):
        return "0"
    a_fraction(value, name, 0, 1000)
    return str(value)


def _whole(low: int, high: int) -> Reader:
    return lambda value, name: an_int(value, name, low, high)


RULE_FIELDS: Mapping[str, Reader] = {
    "boards": _whole(1, MOST_BOARDS),
    "double": a_bool,
    "by_average": a_bool,
    "leeway": _decimal,
    "substitute_average": lambda value, name: None if value is None else _decimal(value, name),
    "substitute_percent": _whole(50, 200),
    "substitute_times": lambda value, name: int_or_none(value, name, 0, 1000),
    "entry_hours": _whole(1, 24 * 60),
    **{name: _whole(0, 100) for name in ("win", "draw", "loss", "board_win", "board_draw", "board_loss")},
    "up": _whole(0, 20),
    "down": _whole(0, 20),
}


def read_rule(value: Any, name: str) -> dict[str, Any]:
    """Return what is said of the regulations of a league; what is left out stays as it is."""
    found = an_object(value, name, RULE_FIELDS)
    return {key: RULE_FIELDS[key](one, f"{name}.{key}") for key, one in found.items()}


def a_day(value: Any, name: str) -> str:
    """Return a day in its ISO form."""
    return a_date(value, name).isoformat()


def start() -> State:
    """Return the part of the state that is kept here."""
    return {
        "season": {
            "rule": {},
            "teams": {},
            "divisions": [],
            "double": False,
            "seed": None,
            "settled": None,
        }
    }


def team_of(state: State, team: int) -> dict[str, Any]:
    """Return a team. Raises Refused for one that takes no part."""
    found = state["season"]["teams"].get(str(team))
    if found is None:
        raise Refused("no-team", said("This team takes no part in the season."))
    return found


def begun(state: State) -> bool:
    """Whether anything happened in an encounter, so that the plan stays what it is."""
    return any(
        any(one["line_ups"].values()) or one["entered"] or one["award"] or one["revealed"]
        for one in state["encounters"].values()
    )


# --- teams ---------------------------------------------------------------------


def _league(state: State, entry: EventEntry) -> None:
    chosen = state["season"]["rule"] | entry.fields["rule"]
    played = any(one["revealed"] for one in state["encounters"].values())
    if played and "boards" in entry.fields["rule"] and chosen["boards"] != rule_of(state).boards:
        raise Refused("played", said("Boards were played already, so their number stays."))
    state["season"]["rule"] = chosen


def _team(state: State, entry: EventEntry) -> None:
    team, teams = entry.fields["team"], state["season"]["teams"]
    known = teams.get(str(team), {"captain": None, "squad": {}})
    moves = known.get("division") not in (None, entry.fields.get("division", 1))
    if (str(team) not in teams or moves) and begun(state):
        raise Refused("begun", said("The season has begun, so its teams stay as they are."))
    teams[str(team)] = known | {"division": entry.fields.get("division", 1)}


def _captain(state: State, entry: EventEntry) -> None:
    team_of(state, entry.fields["team"])["captain"] = entry.fields.get("player")


def _squad(state: State, entry: EventEntry) -> None:
    """Take a player into a squad, or change what the player was registered with."""
    team, player = entry.fields["team"], str(entry.fields["player"])
    squad = team_of(state, team)["squad"]
    substitute = bool(entry.fields.get("substitute"))
    for key, other in state["season"]["teams"].items():
        elsewhere = other["squad"].get(player)
        if key != str(team) and elsewhere is not None and not (substitute or elsewhere["substitute"]):
            raise Refused("in-a-squad", said("This player belongs to another squad of the season."))
    if ("points" in entry.fields) != ("innings" in entry.fields):
        raise Malformed("innings", said("An average needs its points and its innings."))
    squad[player] = {"substitute": substitute}


def _squad_leave(state: State, entry: EventEntry) -> None:
    squad = team_of(state, entry.fields["team"])["squad"]
    if squad.pop(str(entry.fields["player"]), None) is None:
        raise Refused("not-in-the-squad", said("This player is not in the squad."))


# --- the plan ------------------------------------------------------------------


def rounds_of(teams: list[int], double: bool) -> list[tuple[int, int, int]]:
    """Return (round, home, away) of every encounter, by the Berger table of the teams' order."""
    return [
        (number, home, away)
        for number, one in enumerate(round_robin(teams, double), 1)
        for home, away in one.pairs
    ]


def _divisions(value: Any, name: str) -> list[dict[str, Any]]:
    if not isinstance(value, list) or not 1 <= len(value) <= 20:
        raise Malformed(name, said("a list of divisions is needed here"))
    found = []
    for place, one in enumerate(value):
        part = an_object(one, f"{name}.{place}", ("group", "teams", "encounters"))
        found.append(
            {
                "group": an_id(part.get("group"), f"{name}.{place}.group"),
                "teams": ids(part.get("teams"), f"{name}.{place}.teams"),
                "encounters": ids(part.get("encounters"), f"{name}.{place}.encounters"),
            }
        )
    return found


def read_rounds(value: Any, name: str) -> list[dict[str, str | None]]:
    """Return the days of the rounds: {on, due} each; due is the last day they may be played on."""
    if not isinstance(value, list) or len(value) > 200:
        raise Malformed(name, said("a list of rounds is needed here"))
    found = []
    for place, one in enumerate(value):
        part = an_object(one, f"{name}.{place}", ("on", "due"))
        on, due = (
            None if part.get(key) is None else a_day(part[key], f"{name}.{place}.{key}")
            for key in ("on", "due")
        )
        if on is not None and due is not None and due < on:
            raise Malformed(f"{name}.{place}.due", said("The last day is not before the day of the round."))
        found.append({"on": on, "due": due})
    return found


def _season(state: State, entry: EventEntry) -> None:
    """Plan who meets whom at home and away; again, as long as nothing happened."""
    if begun(state):
        raise Refused("begun", said("The season has begun, so its plan stays. Postpone encounters instead."))
    season, double = state["season"], entry.fields["double"]
    days = entry.fields.get("rounds", [])
    planned: dict[str, Any] = {}
    for number, division in enumerate(entry.fields["divisions"], 1):
        if len(division["teams"]) < 2:
            raise Malformed("divisions", said("A division needs two teams at least."))
        for team in division["teams"]:
            team_of(state, team)["division"] = number
        meetings = rounds_of(division["teams"], double)
        if len(meetings) != len(division["encounters"]):
            raise Malformed("divisions", said("The encounters are not those of the Berger table."))
        for pk, (at, home, away) in zip(division["encounters"], meetings, strict=True):
            day = days[at - 1] if at <= len(days) else {"on": None, "due": None}
            planned[str(pk)] = fresh(home, away, at, number, day)
    listed = [team for one in entry.fields["divisions"] for team in one["teams"]]
    if len(set(listed)) < len(listed):
        raise Malformed("divisions", said("A team stands in one division only."))
    season["divisions"] = [
        {"group": one["group"], "teams": one["teams"]} for one in entry.fields["divisions"]
    ]
    season["double"], season["seed"] = double, entry.fields.get("seed")
    state["encounters"] = planned


# --- the end -------------------------------------------------------------------


def _settle(state: State, entry: EventEntry) -> None:
    """Record who goes up and who goes down; the table that says so is the organiser's to look at."""
    if not state["season"]["divisions"]:
        raise Refused("not-planned", said("Plan the season first."))
    for team in entry.fields["up"] + entry.fields["down"]:
        team_of(state, team)
    if set(entry.fields["up"]) & set(entry.fields["down"]):
        raise Malformed("down", said("A team goes up or down, not both."))
    state["season"]["settled"] = {"up": entry.fields["up"], "down": entry.fields["down"]}


def _unsettle(state: State, entry: EventEntry) -> None:
    if state["season"]["settled"] is None:
        raise Refused("not-settled", said("Promotion and relegation are not settled."))
    state["season"]["settled"] = None


_A_TEAM: Mapping[str, Reader] = {"team": an_id}
_TEAM = frozenset({"team"})
_FIGURE = _whole(0, 1_000_000)
KINDS = {
    "league": Kind(_league, {"rule": read_rule}, frozenset({"rule"})),
    "team": Kind(_team, {**_A_TEAM, "division": _whole(1, 20)}, _TEAM),
    "captain": Kind(_captain, {**_A_TEAM, "player": an_id}, _TEAM),
    "squad": Kind(
        _squad,
        {
            **_A_TEAM,
            "player": an_id,
            "points": _FIGURE,
            "innings": _whole(1, 1_000_000),
            "distance": _whole(1, 1000),
            "substitute": a_bool,
            "since": a_day,
        },
        frozenset({"team", "player"}),
    ),
    "squad-leave": Kind(
        _squad_leave, {**_A_TEAM, "player": an_id, "until": a_day}, frozenset({"team", "player"})
    ),
    "season": Kind(
        _season,
        {"divisions": _divisions, "double": a_bool, "rounds": read_rounds, "seed": a_text},
        frozenset({"divisions", "double"}),
    ),
    "season-settle": Kind(_settle, {"up": ids, "down": ids}, frozenset({"up", "down"})),
    "season-unsettle": Kind(_unsettle, {}, frozenset({"why"})),
}
