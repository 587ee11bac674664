"""The form of an encounter's sheet: figures of each board, or its innings, or that somebody did not appear."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext

from scoring.rules.event.encounters import SIDES

FIGURES = ("points", "innings", "high_run")
OVER = ("over", "confirmed")


def outcome_words() -> list[tuple[str, str]]:
    return [
        ("played", gettext("played")),
        ("home", gettext("away did not appear")),
        ("away", gettext("home did not appear")),
        ("nobody", gettext("nobody played")),
    ]


def sheet_rows(
    boards: list[dict[str, Any]], posted: Mapping[str, Any] | None, wrong: Mapping[int, str]
) -> list[dict[str, Any]]:
    """Return a row a board for the form: what was sent, else what stands."""
    rows = []
    for one in boards:
        number = one["board"]
        live = one["scored_live"]
        sides = []
        for side in SIDES:
            cells = []
            for name in FIGURES:
                key = f"b{number}_{side}_{name}"
                stands = one[side][name]
                cells.append({"key": key, "name": name, "value": _sent(posted, key, stands)})
            runs = f"b{number}_{side}_runs"
            sides.append(
                {
                    "side": side,
                    "told": one[side],
                    "cells": cells,
                    "runs": runs,
                    "sent": _sent(posted, runs, ""),
                }
            )
        outcome = _sent(posted, f"b{number}_outcome", _outcome(one))
        rows.append(
            {
                "board": one,
                "number": number,
                "live": live,
                "sides": sides,
                "outcomes": [(code, word, code == outcome) for code, word in outcome_words()],
                "wrong": wrong.get(number),
            }
        )
    return rows


def _sent(posted: Mapping[str, Any] | None, key: str, stands: Any) -> Any:
    if posted is not None and key in posted:
        return posted[key]
    return "" if stands is None else stands


def _outcome(one: Mapping[str, Any]) -> str:
    if one["outcome"] == "annulled":
        return "nobody"
    return str(one["winner"]) if one["outcome"] == "walkover" else "played"


def read_sheet(
    posted: Mapping[str, Any], boards: list[dict[str, Any]]
) -> tuple[list[dict[str, Any]], dict[int, str]]:
    """Return the boards that were filled in or changed, as a step takes them, and what cannot be read.

    A board that is as it stood, and one that is empty, is passed over.
    """
    found: list[dict[str, Any]] = []
    wrong: dict[int, str] = {}
    for one in boards:
        number = one["board"]
        if one["match"] is None or one["scored_live"]:
            continue
        outcome = posted.get(f"b{number}_outcome", "played")
        if outcome != "played":
            if one["status"] not in OVER or outcome != _outcome(one):
                found.append({"board": number, "outcome": outcome})
            continue
        try:
            told = _played(posted, number)
        except ValueError:
            wrong[number] = gettext("Write whole numbers.")
            continue
        stands = {side: {name: one[side][name] for name in FIGURES} for side in SIDES}
        if told is not None and not (
            "innings" not in told and {side: told[side] for side in SIDES} == stands
        ):
            found.append({"board": number, "outcome": "played", **told})
    return found, wrong


def _played(posted: Mapping[str, Any], number: int) -> dict[str, Any] | None:
    runs = {side: posted.get(f"b{number}_{side}_runs", "").strip() for side in SIDES}
    if any(runs.values()):
        return {
            "innings": {side: [int(one) for one in re.split(r"[\s,;]+", runs[side]) if one] for side in SIDES}
        }
    figures: dict[str, Any] = {}
    for side in SIDES:
        sent = {name: posted.get(f"b{number}_{side}_{name}", "").strip() for name in FIGURES}
        figures[side] = {name: int(value) if value else None for name, value in sent.items()}
    empty = all(value is None for side in figures.values() for value in side.values())
    return None if empty else figures
