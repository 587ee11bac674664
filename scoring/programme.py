"""The matches of a competition as a schedule and as results: rows for pages, JSON and CSV alike.

Rows are flat, so that a CSV has the names of the JSON. `_a` is the entrant who was named first.
Names are as the reader may see them. A fixed number of queries, however many matches.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db.models import Case, F, QuerySet, When

from scoring.access import Actor
from scoring.models import ColourProjection, Competition, Match, MatchProjection, Player

Status = MatchProjection.Status
TO_COME = (Status.PLANNED, Status.PLAYING, Status.SUSPENDED)
ENDED = (Status.OVER, Status.CONFIRMED)
# How a match ended -> what its result is; everything else was played.
OUTCOMES = {
    "concession": "retired",
    "retirement": "retired",
    "walkover": "walkover",
    "award": "award",
    "disqualified": "disqualified",
    "annulled": "annulled",
}
_WHERE = ("table", "stage", "group", "tie")
SCHEDULE_HEAD = (
    "match", "uuid", "scheduled_at", *_WHERE, "player_a", "name_a", "player_b", "name_b", "status",
)  # fmt: skip
_FIGURES = ("points", "innings", "high_run", "average", "sets", "distance")
RESULTS_HEAD = (
    "match", "uuid", "ended_at", *_WHERE,
    "player_a", "name_a", *(f"{name}_a" for name in _FIGURES),
    "player_b", "name_b", *(f"{name}_b" for name in _FIGURES),
    "winner", "outcome", "provisional",
)  # fmt: skip


def matches_of(competition: Competition) -> QuerySet[Match]:
    """Return the matches of a competition with all that rows and lists of them show."""
    return (
        Match.objects.filter(competition=competition)
        .select_related(
            "competition",
            "projection__table",
            "group__stage",
            "entrant_a__name",
            "entrant_b__name",
            "entrant_a__merged_into__name",
            "entrant_b__merged_into__name",
        )
        .prefetch_related("colour_projections")
    )


def in_time(matches: QuerySet[Match], playing_first: bool = False) -> QuerySet[Match]:
    """Order by the time they are to begin, those without one behind, in the order of the draw."""
    begun = [Case(When(projection__status=Status.PLANNED, then=1), default=0)] if playing_first else []
    return matches.order_by(
        *begun,
        F("scheduled_at").asc(nulls_last=True), F("group__stage__order").asc(nulls_first=True),
        F("group__order").asc(nulls_first=True), F("tie").asc(nulls_last=True), "pk",
    )  # fmt: skip


def last_first(matches: QuerySet[Match]) -> QuerySet[Match]:
    """Order by when they ended, the last one first."""
    return matches.order_by(F("projection__ended_at").desc(nulls_last=True), "-pk")


def read_schedule(competition: Competition) -> list[Match]:
    """Return every match in the order of time."""
    return list(in_time(matches_of(competition)))


def read_results(competition: Competition) -> list[Match]:
    """Return the matches that are over, the last one first."""
    return list(last_first(matches_of(competition).filter(projection__status__in=ENDED)))


def whole(player: Player) -> Player:
    """Return the row a player is read as."""
    return player.merged_into or player


def schedule_rows(matches: Iterable[Match], actor: Actor) -> list[dict[str, Any]]:
    """Return a row a match: SCHEDULE_HEAD."""
    return [
        _about(one, actor) | {"scheduled_at": one.scheduled_at, "status": one.projection.status}
        for one in matches
    ]


def results_rows(matches: Iterable[Match], actor: Actor) -> list[dict[str, Any]]:
    """Return a row a match: RESULTS_HEAD. `provisional`: not confirmed yet, or disputed.

    Figures are null where only the outcome is known; `winner` is null for a draw.
    """
    return [_result(one, actor) for one in matches]


def _about(match: Match, actor: Actor) -> dict[str, Any]:
    group, table = match.group, match.table_now
    row: dict[str, Any] = {
        "match": match.pk,
        "uuid": match.uuid,
        "table": None if table is None else table.name,
        "stage": None if group is None else group.stage.name,
        "group": None if group is None else group.name,
        "tie": match.tie,
    }
    for side, player in (("a", whole(match.entrant_a)), ("b", whole(match.entrant_b))):
        row[f"player_{side}"] = player.pk
        row[f"name_{side}"] = player.shown_name(actor.names_open)
    return row


def _result(match: Match, actor: Actor) -> dict[str, Any]:
    projection = match.projection
    figures = {one.player_id: one for one in match.colour_projections.all() if one.player_id is not None}
    row = _about(match, actor) | {"ended_at": projection.ended_at}
    entrants = {match.entrant_a_id: whole(match.entrant_a), match.entrant_b_id: whole(match.entrant_b)}
    for side, key in (("a", match.entrant_a_id), ("b", match.entrant_b_id)):
        row |= {f"{name}_{side}": value for name, value in _figures(figures.get(key)).items()}
    winner = entrants.get(projection.winner_id or 0)
    ended = projection.state.get("ended_by")
    return row | {
        "winner": None if winner is None else winner.pk,
        "outcome": OUTCOMES.get(ended or "", "played"),
        "provisional": is_disputed(match) or projection.status != Status.CONFIRMED,
    }


def is_disputed(match: Match) -> bool:
    """Whether a protest about a match is not decided."""
    return any(flag.get("code") == "disputed" for flag in match.projection.state.get("flags", ()))


def _figures(own: ColourProjection | None) -> dict[str, Any]:
    if own is None:
        return dict.fromkeys(_FIGURES)
    return {
        "points": own.points,
        "innings": own.innings,
        "high_run": own.high_run,
        "average": own.average_text,
        "sets": own.sets,
        "distance": own.distance,
    }
