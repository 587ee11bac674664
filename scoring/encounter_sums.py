"""What the boards of an encounter came to, kept beside it: tables of a season are read without its matches.

One row an encounter, locked after the match that is written; whoever writes in several boards holds all
of them first (`hold`), so that no two wait for one another.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import transaction

from scoring.models import ColourProjection, Competition, Encounter, EncounterSums, Match, MatchProjection
from scoring.rules.standings import Result, Side
from scoring.rules.teams import board_to_json

OVER = (MatchProjection.Status.OVER, MatchProjection.Status.CONFIRMED)
_OUTCOMES = {
    "concession": "retired",
    "retirement": "retired",
    "walkover": "walkover",
    "award": "award",
    "disqualified": "disqualified",
    "annulled": "annulled",
}


def hold(encounter: Encounter) -> None:
    """Lock the boards of an encounter until the transaction ends; one query."""
    boards = MatchProjection.objects.filter(match__encounter=encounter)
    list(boards.select_for_update(of=("self",)).order_by("pk").values_list("pk", flat=True))


def result_of(
    match: Match, keys: tuple[Any, Any], figures: Iterable[ColourProjection] | None = None
) -> Result:
    """Return a board as a result; keys: whom its first and second player count for."""
    projection, sides = match.projection, []
    rows = match.colour_projections.all() if figures is None else figures
    made = {one.player_id: one for one in rows}
    for key, pk in zip(keys, match.entrant_ids, strict=True):
        one = made.get(pk)
        sides.append(
            Side(key)
            if one is None
            else Side(key, one.points, one.innings, one.high_run, one.distance, one.sets)
        )
    if projection.status not in OVER:
        return Result(*sides, outcome=None)
    won = dict(zip(match.entrant_ids, keys, strict=True))
    flags = projection.state.get("flags", ())
    return Result(
        sides[0],
        sides[1],
        outcome=_OUTCOMES.get(projection.state.get("ended_by") or "", "played"),
        winner=None if projection.winner_id is None else won.get(projection.winner_id),
        protested=any(one.get("code") == "disputed" for one in flags),
    )


def follow(match: Match) -> None:
    """Keep what a board came to; a match of no encounter is passed over."""
    if match.encounter_id is None or match.board is None:
        return
    EncounterSums.objects.get_or_create(encounter_id=match.encounter_id)
    row = EncounterSums.objects.select_for_update().get(encounter=match.encounter_id)
    boards = dict(row.boards)
    fresh = Match.objects.select_related("projection").prefetch_related("colour_projections").get(pk=match.pk)
    _put(boards, fresh)
    if boards != row.boards:
        row.boards = boards
        row.save(update_fields=["boards"])


def _put(boards: dict[str, Any], match: Match) -> None:
    result = result_of(match, (0, 1))
    if result.outcome is None:
        boards.pop(str(match.board), None)
    else:
        boards[str(match.board)] = board_to_json(result)


@transaction.atomic
def do_rebuild_boards(competition: Competition) -> list[str]:
    """Keep anew what every board of a season came to; return what was not as its matches have it."""
    wanted: dict[int, dict[str, Any]] = {}
    matches = Match.objects.filter(competition=competition, encounter__isnull=False, board__isnull=False)
    for match in matches.select_related("projection").prefetch_related("colour_projections"):
        _put(wanted.setdefault(match.encounter_id or 0, {}), match)
    rows = EncounterSums.objects.filter(encounter__group__stage__competition=competition)
    kept = dict(rows.values_list("encounter", "boards"))
    found = []
    for pk, boards in sorted(wanted.items()):
        if kept.get(pk, {}) != boards:
            found.append(f"boards of encounter {pk} differed")
            EncounterSums.objects.update_or_create(encounter_id=pk, defaults={"boards": boards})
    return found
