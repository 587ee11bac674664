"""Projections: rows a match, a match and colour, and a stroke, out of the fold.

`begin` and `store` are called by `scoring.ledger` alone, inside its transaction.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from scoring.models import ColourProjection, Match, MatchProjection, StrokeProjection
from scoring.rules.match.colours import COLOURS
from scoring.rules.match.play import Row
from scoring.rules.match.setup import Setup
from scoring.rules.match.shown import average_shown
from scoring.rules.match.state import State, start, status

# Decided without the play of this match: its figures count in no average.
UNPLAYED = frozenset({"walkover", "award", "disqualified", "annulled"})

Times = Mapping[int, datetime.datetime]
Last = tuple[datetime.datetime | None, str]


def setup_of(match: Match) -> Setup:
    """Return what was agreed before the first stroke, from the match's own copies."""
    return Setup.from_json(
        {
            "id": match.pk,
            "competition": match.competition_id,
            "table": match.table_id,
            "entrants": match.entrant_ids,
            "discipline": match.discipline,
            "format": match.format,
            "rule_set": match.rule_set,
        }
    )


def begin(match: Match, setup: Setup) -> MatchProjection:
    """Create the rows of a match that holds no entry yet."""
    state = start(setup)
    projection = MatchProjection(match=match, **match_columns(state, {}), state=state)
    projection.save(force_insert=True)
    ColourProjection.objects.bulk_create(
        ColourProjection(match=match, colour=side, **colour_columns(setup, state, side)) for side in COLOURS
    )
    return projection


def store(
    match: Match,
    setup: Setup,
    state: State,
    dated: Times,
    last: Last,
    *,
    before: State | None = None,
) -> None:
    """Write the state's rows: all of them, or what differs from `before`.

    `dated` holds the moments of the entries the state may name; `last` is when the last
    entry was received, and its fingerprint.
    """
    last_at, fingerprint = last
    MatchProjection.objects.filter(match=match).update(
        state=state, last_at=last_at, fingerprint=fingerprint, **match_columns(state, dated, before)
    )
    for side in COLOURS:
        columns = colour_columns(setup, state, side)
        if before is None or columns != colour_columns(setup, before, side):
            ColourProjection.objects.filter(match=match, colour=side).update(**columns)


def whole(
    match: Match, setup: Setup, state: State, dated: Times, last: Last
) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """Return the columns of a match whose whole ledger is written at once, and those of both colours."""
    last_at, fingerprint = last
    head = {"match_id": match.pk, "state": state, "last_at": last_at, "fingerprint": fingerprint}
    sides = [{"match_id": match.pk, "colour": side, **colour_columns(setup, state, side)} for side in COLOURS]
    return head | match_columns(state, dated), sides


def store_strokes(match: Match, state: State, rows: Iterable[Row], dated: Times, *, anew: bool) -> None:
    """Write the rows of strokes; `anew` in place of whatever stands there."""
    if anew:
        StrokeProjection.objects.filter(match=match).delete()
    StrokeProjection.objects.bulk_create(stroke_rows(match, state, rows, dated))


def stroke_rows(match: Match, state: State, rows: Iterable[Row], dated: Times) -> list[StrokeProjection]:
    """Return the unsaved rows of strokes and whole innings."""
    return [StrokeProjection(**columns) for columns in stroke_columns(match, state, rows, dated)]


def stroke_columns(match: Match, state: State, rows: Iterable[Row], dated: Times) -> Iterator[dict[str, Any]]:
    """Give the columns of strokes and whole innings; dated as their place was."""
    for row in rows:
        yield {
            "match_id": match.pk,
            "place": row["place"],
            "seq": row["seq"],
            "order": row["order"],
            "set_number": row["set"],
            "inning": row["inning"],
            "colour": row["colour"],
            "player_id": state["players"][row["colour"]],
            "kind": row["kind"],
            "run": row["run"],
            "counts": row["counts"],
            "opening": row["opening"],
            "extra": row["extra"],
            "family_tried": row["tried"],
            "family_made": row["made"],
            "ruling_valid": row["valid"],
            "cushions": row["cushions"],
            "reason": row["reason"],
            "details": row["details"] or None,
            "flags": row["codes"],
            "dated_at": dated[row["place"]],
        }


def row_of(stroke: StrokeProjection) -> Row:
    """Return the row that `stroke_columns` gave."""
    return {
        "order": stroke.order,
        "place": stroke.place,
        "seq": stroke.seq,
        "set": stroke.set_number,
        "inning": stroke.inning,
        "colour": stroke.colour,
        "kind": stroke.kind,
        "run": stroke.run,
        "counts": stroke.counts,
        "opening": stroke.opening,
        "extra": stroke.extra,
        "tried": stroke.family_tried,
        "made": stroke.family_made,
        "valid": stroke.ruling_valid,
        "cushions": stroke.cushions,
        "reason": stroke.reason,
        "details": stroke.details or {},
        "codes": stroke.flags,
    }


def match_columns(state: State, dated: Times, before: State | None = None) -> dict[str, Any]:
    columns: dict[str, Any] = {
        "seq": state["seq"],
        "play_seq": state["play_seq"],
        "status": status(state),
        "turn": state["turn"],
        "white_id": state["players"]["white"],
        "yellow_id": state["players"]["yellow"],
        "winner_id": state["winner"],
        "table_id": state["table"],
        "flag_count": len(state["flags"]),
    }
    for column, name in (("started_at", "opened_seq"), ("ended_at", "ended_seq")):
        seq = state[name]
        if before is None or seq != before[name] or seq in dated:
            columns[column] = None if seq is None else dated[seq]
    return columns


def colour_columns(setup: Setup, state: State, side: str) -> dict[str, Any]:
    return {
        "player_id": state["players"][side],
        "score": state["score"][side],
        "points": state["points"][side],
        "innings": state["innings"][side],
        "high_run": state["high_run"][side],
        "run": state["run"][side],
        "sets": state["sets"][side],
        "distance": setup.distance(state["players"], side),
        "average_text": average_shown(setup, state, side),
        "outcome": _outcome(state, side),
        "counted": state["ended_by"] not in UNPLAYED,
    }


def _outcome(state: State, side: str) -> str:
    kind = ColourProjection.Outcome
    if not state["over"] or state["ended_by"] == "annulled":
        return kind.NONE
    if state["winner"] is None:
        return kind.DRAWN
    # A match decided before its opening has a winner and no colours yet.
    if state["players"][side] is None:
        return kind.NONE
    return kind.WON if state["winner"] == state["players"][side] else kind.LOST
