"""An encounter as a reader may see it: one shape for the page, the printed sheet and the API.

What a side entered is read by its captain alone until both line-ups are in; what anybody else is told before is that it
is in, since when a captain let organisers look, and who of them did.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from fractions import Fraction
from typing import Any

from django.contrib.auth import get_user_model
from django.utils.translation import gettext

from scoring.access import Actor, NotVisible, reads_match, writes_match
from scoring.board_sheets import written_on
from scoring.conducting import read_state
from scoring.encounter_rights import (
    access_encounter,
    organises_encounter,
    reads_line_up,
    reads_part,
    sides_of,
)
from scoring.encounter_sums import result_of
from scoring.encounters import matches_of
from scoring.league_tables import late, meeting, sheet_deadline
from scoring.line_ups import own_line_up, warnings_of
from scoring.models import CompetitionEntry, Encounter, Match, Player, SquadMember
from scoring.regulations import find_discipline
from scoring.rules.averages import shown
from scoring.rules.event.encounters import KINDS, SIDES, boards_of, encounter_of
from scoring.rules.event.entry import State
from scoring.rules.event.season import LeagueRule, rule_of
from scoring.rules.formats import complete_format
from scoring.rules.standings import Result
from scoring.rules.teams import board_points, board_to_json, encounter_result


def find_encounter(actor: Actor, pk: int, right: Any = "read") -> Encounter:
    """Return an encounter once the actor may read it, or act in it. Raises NotVisible and Forbidden."""
    found = (
        Encounter.objects.select_related(
            "home__competition__club",
            "away__competition",
            "home__captain__name",
            "away__captain__name",
            "group",
            "awarded_to",
        )
        .filter(pk=pk)
        .first()
    )
    if found is None:
        raise NotVisible
    access_encounter(actor, found, right)
    return found


def show_encounter(encounter: Encounter, actor: Actor) -> dict[str, Any]:
    """Return an encounter for a reader, as JSON values but for days and moments."""
    competition = encounter.home.competition
    state = read_state(competition)
    rule = rule_of(state)
    one = encounter_of(state, encounter.pk)
    matches = matches_of(encounter)
    line_ups = {side: _line_up(encounter, side, one, state, actor) for side in SIDES}
    people = {pk for told in line_ups.values() for pk in told["players"] or () if pk is not None}
    changes = _changes(encounter, one) if one.get("replaced") else []
    people |= {pk for change in changes for pk in (change["out"], change["into"]) if pk is not None}
    named = Player.objects.named().in_bulk(people)
    for side, told in line_ups.items():
        told["changes"] = [
            {
                "board": change["board"],
                "out": None if change["out"] is None else named[change["out"]].shown_name(actor.names_open),
                "into": named[change["into"]].shown_name(actor.names_open),
                "why": change["why"] if actor.names_open else "",
            }
            for change in changes
            if change["side"] == side
        ]
        told["names"] = [
            None if pk is None else named[pk].shown_name(actor.names_open) for pk in told["players"] or ()
        ]
    told = {
        "id": encounter.pk,
        "uuid": str(encounter.uuid),
        "competition": competition.pk,
        "division": one["division"],
        "round": encounter.round,
        "home": {"id": encounter.home_id, "name": encounter.home.name},
        "away": {"id": encounter.away_id, "name": encounter.away.name},
        "status": encounter.status,
        "scheduled_on": encounter.scheduled_on,
        "due_on": encounter.due_on,
        "postponed": one["postponed"],
        "postponement": one["proposed"],
        "late": late(encounter, one, rule),
        "sheet_until": sheet_deadline(encounter, one, rule),
        "entered_at": one["entered"],
        "board_count": boards_of(one) or rule.boards,
        "line_ups": line_ups,
        "boards": _boards(one, matches, line_ups, competition, actor),
        "written": written_on(matches.values()),
        "awarded_to": encounter.awarded_to_id,
        "left": [
            team.name
            for team in (encounter.home, encounter.away)
            if team.pk in [gone["team"] for gone in one.get("left", ())]
        ],
        "walkover": None if one["award"] is None else one["award"]["walkover"],
        "your_sides": sides_of(actor, encounter),
        "organises": organises_encounter(actor, encounter),
        "counts": False,
    }
    told |= _points(encounter, one, matches, rule)
    if not reads_part(actor, competition, "results"):
        told |= {"boards": [], "written": None, "match_points": None, "board_points": None}
    return told


def _points(
    encounter: Encounter, one: Mapping[str, Any], matches: Mapping[int, Match], rule: LeagueRule
) -> dict[str, Any]:
    results = {board: result_of(match, (0, 1)) for board, match in matches.items()}
    over = {str(board): board_to_json(told) for board, told in results.items() if told.outcome is not None}
    met = meeting(encounter, one, over)
    if not met.boards and encounter.status != Encounter.Status.AWARDED:
        return {"match_points": None, "board_points": None, "counts": False}
    names = ("home", "away")
    return {
        "match_points": dict(
            zip(names, encounter_result(met, rule.board_counting, rule.counting), strict=True)
        )
        if met.confirmed
        else None,
        "board_points": dict(zip(names, board_points(met, rule.board_counting), strict=True)),
        "counts": met.confirmed,
    }


def _line_up(
    encounter: Encounter, side: str, one: Mapping[str, Any], state: State, actor: Actor
) -> dict[str, Any]:
    entered = one["line_ups"][side] is not None
    open_to_all = one["revealed"] is not None
    told: dict[str, Any] = {
        "entered": entered,
        "asked": side in one["asked"],
        "looked": _lookers(side, one),
        "changes": [],
        "players": None,
        "warnings": [],
    }
    if open_to_all or (entered and reads_line_up(actor, encounter, side)):
        players = one["revealed"][side] if open_to_all else own_line_up(encounter, side)
        told["players"] = players
        told["warnings"] = [said.into(gettext) for said in warnings_of(encounter, side, players or [], state)]
    return told


def _changes(encounter: Encounter, one: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return who came in for whom after both line-ups were shown, with the reason; one query."""
    rows = steps_of(encounter, ("line-up-change",))
    why = [row.text.texts.get("why", "") if hasattr(row, "text") else "" for row in rows]
    return [change | {"why": told} for change, told in zip(one["replaced"], why, strict=True)]


def _lookers(side: str, one: Mapping[str, Any]) -> list[str]:
    users = list(dict.fromkeys(user for of, user in one["looked"] if of == side))
    if not users:
        return []
    known = get_user_model().objects.in_bulk(users)
    return [known[pk].get_username() if pk in known else gettext("somebody who left") for pk in users]


def _boards(
    one: Mapping[str, Any],
    matches: Mapping[int, Match],
    line_ups: Mapping[str, Mapping[str, Any]],
    competition: Any,
    actor: Actor,
) -> list[dict[str, Any]]:
    form = complete_format(
        None, competition.format_defaults, find_discipline(competition.club, competition.discipline)
    )
    found = []
    for number in range(1, boards_of(one) + 1):
        match = matches.get(number)
        result = None if match is None else result_of(match, SIDES)
        board: dict[str, Any] = {
            "board": number,
            "match": None if match is None else match.pk,
            "status": None if match is None else match.projection.status,
            "outcome": None if result is None else result.outcome,
            "winner": None if result is None else result.winner,
            "scored_live": match is not None and _scored_live(match),
            "answer": one["boards"].get(str(number)),
            "may_read": match is not None and reads_match(actor, match),
            "may_score": match is not None and writes_match(actor, match),
            "begun": match is not None and match.projection.seq > 0,
        }
        for at, side in enumerate(SIDES):
            player, name = (line_ups[side][key][number - 1] for key in ("players", "names"))
            distance = None if match is None else (match.distance_a, match.distance_b)[at]
            board[side] = {"player": player, "name": name, "distance": distance} | _figures(result, at, form)
        if match is None:
            there = [board[side]["player"] is not None for side in SIDES]
            board["outcome"] = "walkover" if there[0] != there[1] else "annulled"
            board["winner"] = {(True, False): "home", (False, True): "away"}.get((there[0], there[1]))
        found.append(board)
    return found


def _scored_live(match: Match) -> bool:
    """Whether strokes or innings are written, so that no total has to be."""
    return match.projection.white_id is not None and match.projection.state.get("ended_by") != "played"


def _figures(result: Result | None, at: int, form: Mapping[str, Any]) -> dict[str, Any]:
    if result is None or result.outcome in (None, "walkover", "annulled"):
        return {"points": None, "innings": None, "high_run": None, "average": None}
    side = result.sides[at]
    return {
        "points": side.points,
        "innings": side.innings,
        "high_run": side.high_run,
        "average": shown(side.points, side.innings, form["average_decimals"], form["average_rounding"]),
    }


def steps_of(encounter: Encounter, kinds: Collection[str] = tuple(KINDS)) -> list[CompetitionEntry]:
    """Return what was recorded of an encounter, in order, with its free text; one query."""
    rows = CompetitionEntry.objects.filter(
        competition_id=encounter.home.competition_id,
        kind__in=list(kinds),
        data__encounter=encounter.pk,
    )
    return list(rows.select_related("text", "author_user").order_by("seq"))


def squad_choices(encounter: Encounter, side: str) -> list[SquadMember]:
    """Return who may be set on the boards of a side, the highest average first, who stands in last."""
    team = encounter.home_id if side == "home" else encounter.away_id
    rows = SquadMember.objects.filter(team=team, until=None).select_related("player__name")
    return in_squad_order(rows)


def in_squad_order(rows: Any) -> list[SquadMember]:
    """Return members of a squad as boards ask for them, newcomers behind, who stands in last."""

    def place(one: SquadMember) -> tuple[bool, bool, Fraction]:
        average = Fraction(one.points or 0, one.innings) if one.innings else None
        return one.substitute, average is None, -(average or Fraction(0))

    return sorted(rows, key=place)
