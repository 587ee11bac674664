"""A competition's standings: the table, what put each row before the next, and who met whom."""

from __future__ import annotations

from typing import Any

from django.db.models import Count, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.formats import number_format
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from scoring.access import Actor
from scoring.conducting import read_state
from scoring.models import Competition, Group, Match
from scoring.rules.event.entry import State
from scoring.rules.ranking import CRITERIA, Met, Ranked
from scoring.rules.steps import Ratio, Step
from scoring.standing import Standings, exactly, read_standings
from scoring.workings import read_match_workings, read_workings

from .competitions import competition_or_404
from .gate import page
from .words import short_name, speak

# A cross table of more than this is no longer read.
MOST_CROSSED = 24
# So many comparisons are shown step by step; the others are told in a line each.
MOST_STEPS = 12


@require_safe
@page
def standings(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show the standings of a competition, or of the group that `group` names."""
    competition = competition_or_404(actor, pk, "read")
    groups = list(
        Group.objects.filter(stage__competition=competition)
        .select_related("stage")
        .order_by("stage__order", "order", "pk")
    )
    group = _asked(groups, request.GET.get("group"))
    state = read_state(competition)
    found = read_standings(competition, group=group, state=state)
    names = {key: short_name(player, actor) for key, player in found.players.items()}
    rows = _rows(found, actor, names)
    context = {
        "competition": competition,
        "groups": groups if len(groups) > 1 else [],
        "group": group,
        "provisional": found.provisional,
        "rows": rows,
        "results_only": _results_only(competition, group),
        "steps": _all_steps(found, names),
        "cross": _cross(found, names) if len(found.ranked) <= MOST_CROSSED else [],
        "deductions": [
            {"name": names[one.player], "points": exactly(one.match_points), "why": one.why}
            for one in found.deductions
        ],
        "waiting": [_named(players, names) for players in found.waiting],
        "lots": _lots(state, found, names),
        "scheme": found.regulations.points_scheme,
        "workings": [] if group else _workings(competition, found, names),
        "order": [speak(CRITERIA[code]) for code in found.regulations.order],
        "manages": actor.organises(competition.club_id, competition.pk),
    }
    return render(request, "scoring/standings.html", context)


def _asked(groups: list[Group], wanted: str | None) -> Group | None:
    """Return the group that was asked for; of one that is not of this competition nothing is told."""
    if not wanted:
        return None
    number = int(wanted) if wanted.isascii() and wanted.isdigit() and len(wanted) < 10 else 0
    return next((one for one in groups if one.pk == number), None) or get_object_or_404(Group, pk=0)


def _results_only(competition: Competition, group: Group | None) -> dict[str, int]:
    """Return how many matches are known as a result only, and of how many of them the innings are not."""
    known = Match.objects.filter(
        competition=competition,
        projection__status="confirmed",
        projection__state__ended_by="played",
        projection__state__rows=0,
    )
    if group is not None:
        known = known.filter(group=group)
    bare = Q(projection__state__innings__white=0, projection__state__innings__yellow=0)
    return known.aggregate(known=Count("pk"), bare=Count("pk", filter=bare))


def _named(players: list[int], names: dict[int, str]) -> str:
    listed = [names[one] for one in players]
    return gettext("%(some)s and %(last)s") % {"some": ", ".join(listed[:-1]), "last": listed[-1]}


def _rows(found: Standings, actor: Actor, names: dict[int, str]) -> list[dict[str, Any]]:
    rows = found.to_json(actor)
    taken = {one.player for one in found.deductions}
    for at, (row, one) in enumerate(zip(rows, found.ranked, strict=True)):
        following = found.ranked[at + 1] if at + 1 < len(rows) else None
        steps = found.steps(at) if following else []
        row["short"] = names[one.row.key]
        row["match_points"] = _points(one)
        row["why"] = None if following is None else _why(found, one, following, names, steps)
        row["pending"] = one.row.pending
        row["deducted"] = one.row.key in taken
        row["waits"] = one.waits_for_lot
        # Equal with the next by the first criterion: what the bracket at the edge shows.
        row["ties"] = bool(steps) and not steps[0].decides
        row["tied"] = at > 0 and rows[at - 1]["ties"]
    return rows


def _points(one: Ranked) -> str:
    """Return match points as they stand in a table: whole, or with decimals where these end."""
    points = one.row.match_points
    exact = exactly(points)
    return exact if "/" not in exact or float(points) * 100 % 1 else f"{float(points):.2f}".rstrip("0")


def _why(
    found: Standings, one: Ranked, after: Ranked, names: dict[int, str], steps: list[Step]
) -> dict[str, Any] | None:
    """Return what put a row before the next: the criterion, and both values in full."""
    if one.by is None:
        return None
    step = next(step for step in steps if step.decides)
    return {
        "criterion": speak(CRITERIA[one.by.criterion]),
        "better": _in_full(step.ratios[0], one.by.better),
        "worse": _in_full(step.ratios[1], one.by.worse),
        "next": names[after.row.key],
        "both": _both_show(found, step),
    }


def _in_full(ratio: Ratio, value: Any) -> str:
    """Return a compared value as it was added up, so that it is found again in the row."""
    return f"{ratio[0]}/{ratio[1]}" if ratio is not None and ratio[1] else exactly(value)


def _both_show(found: Standings, step: Step) -> str:
    """Return the text that both averages show, where cutting made them look equal."""
    one, other = step.ratios
    if one is None or other is None or "average" not in step.criterion:
        return ""
    texts = {found.cut(*one), found.cut(*other)}
    return (texts.pop() or "") if len(texts) == 1 else ""


def _all_steps(found: Standings, names: dict[int, str]) -> list[dict[str, Any]]:
    """Return each comparison that went past the first criterion, step by step."""
    told = []
    for at in range(len(found.ranked) - 1):
        steps = found.steps(at)
        if steps[0].decides or len(told) == MOST_STEPS:
            continue
        one, other = found.ranked[at], found.ranked[at + 1]
        told.append(
            {
                "upper": names[one.row.key],
                "lower": names[other.row.key],
                "shared": one.by is None,
                "steps": [_step(number, step) for number, step in enumerate(steps, 1)],
            }
        )
    return told


def _step(number: int, step: Step) -> dict[str, Any]:
    told = {"number": number, "criterion": speak(CRITERIA[step.criterion]), "decides": step.decides}
    better, worse = _in_full(step.ratios[0], step.better), _in_full(step.ratios[1], step.worse)
    values = {"better": better, "worse": worse}
    if not step.needed:
        told["words"] = gettext("not needed")
    elif step.decides and step.products is not None:
        (a, b), (c, d) = step.products
        told["words"] = gettext("%(a)s × %(b)s = %(ab)s against %(c)s × %(d)s = %(cd)s") % {
            "a": a, "b": b, "ab": _whole(a * b), "c": c, "d": d, "cd": _whole(c * d),
        }  # fmt: skip
    elif step.decides:
        told["words"] = gettext("%(better)s against %(worse)s") % values
    elif step.better is None:
        told["words"] = gettext("neither has any")
    else:
        told["words"] = gettext("%(better)s and %(worse)s, equal") % values
    return told


def _whole(value: int) -> str:
    return number_format(value, use_l10n=True, force_grouping=True)


def _cross(found: Standings, names: dict[int, str]) -> list[dict[str, Any]]:
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
        name = names[one.row.key]
        short = name if len(name) <= 4 else f"{name[:3]}."
        table.append({"key": one.row.key, "rank": one.rank, "name": name, "short": short, "cells": cells})
    if len({line["short"] for line in table}) < len(table):
        # Names that begin alike: the columns are numbered, and so are the rows.
        for place, line in enumerate(table, 1):
            line |= {"short": str(place), "name": f"{place} {line['name']}"}
    return table


def _lots(state: State, found: Standings, names: dict[int, str]) -> list[dict[str, Any]]:
    """Return the lots that were drawn among players who stand here."""
    return [
        {"order": [names[key] for key in order], "seed": lot["seed"]}
        for lot, order in zip((one for one in state["lots"] if "players" in one), found.lots, strict=True)
        if all(key in names for key in order)
    ]


def _workings(competition: Competition, found: Standings, names: dict[int, str]) -> list[dict[str, Any]]:
    """Return how the points of each player came about, match by match, in order of rank."""
    lines: dict[int, list[dict[str, Any]]] = {}
    for one in read_workings(competition):
        lines.setdefault(found.whole(one.player), []).append(
            {
                "match": one.match,
                "other": names.get(found.whole(one.other), ""),
                "points": exactly(one.awarded.points),
                "working": [speak(line) for line in one.awarded.working],
            }
        )
    return [
        {"name": names[one.row.key], "points": _points(one), "lines": lines.get(one.row.key, [])}
        for one in found.ranked
        if one.row.key in lines
    ]


def match_points(match: Match, actor: Actor) -> list[dict[str, Any]]:
    """Return what a points scheme gives both sides of a match, and how; empty without a scheme."""
    awarded = read_match_workings(match)
    return [
        {
            "name": short_name(player, actor),
            "points": exactly(awarded[player.pk].points),
            "working": [speak(line) for line in awarded[player.pk].working],
        }
        for player in (match.entrant_a, match.entrant_b)
        if player.pk in awarded
    ]
