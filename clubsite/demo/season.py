"""Reads fixtures/demo-season.json.gz: a season that our own simulator played, and its predictions.

The strokes are written through the ledger like all others. What was predicted of them is kept
as it was worked out when the season was made: to work it out anew takes an hour.
"""

from __future__ import annotations

import gzip
import json
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from django.conf import settings

from analytics.predictions import Handed, do_keep_handed
from clubsite.demo.club import DemoClub

PATH = Path(settings.BASE_DIR) / "fixtures" / "demo-season.json.gz"
BALLS = ("white", "yellow", "red")
STRIKE = ("direction", "speed", "side", "height")
LEAGUE = "house-league"
KINDS = {"before": "blind", "with": "same-time"}


def read() -> dict[str, Any]:
    """Return the season as the file has it."""
    season: dict[str, Any] = json.loads(gzip.decompress(PATH.read_bytes()))
    return season


def joined(fixture: Mapping[str, Any], season: Mapping[str, Any]) -> dict[str, Any]:
    """Return the demo club with the season's competition and matches."""
    if not season["matches"]:
        return dict(fixture)
    league = {
        "code": LEAGUE,
        "name": "House League",
        "discipline": "three-cushion",
        "published": True,
        "players_score": True,
        "starts_days_ago": max(row["days_ago"] for row in season["matches"]),
        "format": season["format"],
        "stages": [{"name": "League", "kind": "groups", "groups": [{"code": LEAGUE, "name": "League"}]}],
    }
    return dict(fixture) | {
        "competitions": [league, *fixture["competitions"]],
        "matches": [*(_match(row, season["format"]) for row in season["matches"]), *fixture["matches"]],
    }


def _match(row: Mapping[str, Any], format: Mapping[str, Any]) -> dict[str, Any]:
    names = ("table", "players", "distance", "days_ago", "at")
    where = (
        {"competition": LEAGUE, "group": LEAGUE}
        if row["league"]
        else {"discipline": "three-cushion", "format": format}
    )
    return (
        {"code": code_of(row)}
        | {name: row[name] for name in names}
        | where
        | {"entries": [entry for entry, _ in told(row)]}
    )


def code_of(row: Mapping[str, Any]) -> str:
    return f"season-{row['code']}"


def told(row: Mapping[str, Any]) -> Iterator[tuple[Any, list[Any] | None]]:
    """Yield the entries of a match, and beside a stroke what was predicted of it."""
    yield {"kind": "open", "starter": row["starter"], "decided_by": "lag"}, None
    for run in row.get("innings", ()):
        yield {"kind": "inning", "run": run}, None
    if "strokes" in row:
        yield from _strokes(row)
    yield {"kind": "confirm", "by": "both players"}, None


def _strokes(row: Mapping[str, Any]) -> Iterator[tuple[dict[str, Any], list[Any] | None]]:
    first = row["players"].index(row["starter"])
    to_go = {"white": row["distance"][first], "yellow": row["distance"][1 - first]}
    colour = "white"
    for kind, when, layout, line, contacts, family, predicted in row["strokes"]:
        balls: dict[str, Any] = {}
        if layout is not None:
            pairs = zip(layout[::2], layout[1::2], strict=True)
            balls = {"layout": dict(zip(BALLS, map(list, pairs), strict=True)), "cue_ball": colour}
        if line is not None:
            balls["line"] = _strike(line)
        stroke = {"kind": kind, "contacts": contacts, "family": family}
        stroke = {name: value for name, value in stroke.items() if value is not None}
        if when == "before":
            yield {"kind": "position"} | balls, None
        yield stroke | (balls if when == "with" else {}), predicted
        to_go[colour] -= kind == "point"
        if kind != "point" or not to_go[colour]:
            colour = "yellow" if colour == "white" else "white"


def _strike(line: Sequence[float]) -> dict[str, float]:
    return dict(zip(STRIKE, line, strict=True))


def handed(row: Mapping[str, Any]) -> list[Handed]:
    """Return the predictions of a match: its strokes stand in the ledger in the order of the file."""
    kinds = iter([KINDS.get(stroke[1]) for stroke in row.get("strokes", ())])
    found = []
    for place, (entry, predicted) in enumerate(told(row), start=1):
        kind = next(kinds) if entry["kind"] in ("point", "miss") else None
        if predicted is not None and kind is not None:
            spread, hits, *line = predicted
            found.append(Handed(place, kind, spread, tuple(hits), _strike(line) if line else None))
    return found


def do_hand_predictions(demo: DemoClub, season: Mapping[str, Any]) -> int:
    """Keep the predictions of the season; return how many were stored now."""
    by_match = {demo.matches[code_of(row)].pk: handed(row) for row in season["matches"]}
    return do_keep_handed(by_match, **season["predictions"]) if by_match else 0
