"""A competition's standings: the table, what put each row before the next, and who met whom."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from scoring.access import Actor
from scoring.rules.ranking import CRITERIA, Met, Ranked
from scoring.standing import Standings, exactly, read_standings

from .competitions import competition_or_404
from .gate import page
from .words import short_name, speak

# A cross table of more than this is no longer read.
MOST_CROSSED = 24


@require_safe
@page
def standings(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show the standings of a competition."""
    competition = competition_or_404(actor, pk, "read")
    found = read_standings(competition)
    names = {key: short_name(player, actor) for key, player in found.players.items()}
    context = {
        "competition": competition,
        "provisional": found.provisional,
        "rows": _rows(found, actor, names),
        "cross": _cross(found) if len(found.ranked) <= MOST_CROSSED else [],
    }
    return render(request, "scoring/standings.html", context)


def _rows(found: Standings, actor: Actor, names: dict[int, str]) -> list[dict[str, Any]]:
    rows = found.to_json(actor)
    for at, (row, one) in enumerate(zip(rows, found.ranked, strict=True)):
        row["short"] = names[one.row.key]
        row["why"] = _why(one, names, found.ranked[at + 1] if at + 1 < len(rows) else None)
    return rows


def _why(one: Ranked, names: dict[int, str], after: Ranked | None) -> dict[str, str] | None:
    """Return what put a row before the next: the criterion, and both values in full."""
    if one.by is None or after is None:
        return None
    return {
        "criterion": speak(CRITERIA[one.by.criterion]),
        "better": exactly(one.by.better),
        "worse": exactly(one.by.worse),
        "next": names[after.row.key],
    }


def _cross(found: Standings) -> list[dict[str, Any]]:
    """Return a row for each: match points against every other, None where they have not met."""
    keys = [one.row.key for one in found.ranked]
    table = []
    for one in found.ranked:
        against = one.row.against or {}
        cells = []
        for key in keys:
            met = against.get(key)
            won = met.match_points if isinstance(met, Met) else met
            cells.append({"self": key == one.row.key, "points": None if won is None else exactly(won)})
        table.append({"key": one.row.key, "rank": one.rank, "cells": cells})
    return table
