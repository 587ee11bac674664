"""The library of positions that ships with the product: data, brought into rows after each migration."""

from __future__ import annotations

import json
import uuid as uuids
from functools import cache
from pathlib import Path
from typing import Any

from django.utils.translation import gettext

from scoring.models import PracticePosition
from scoring.rules.match.fields import layout as read_layout

FILE = Path(__file__).parent / "rules" / "data" / "positions.json"
# The uuid of a shipped position follows from its code: every installation has the same one.
_SPACE = uuids.UUID("0c1de9a5-9be0-4b0b-9f4a-5b0d3c7c3f52")


@cache
def library() -> tuple[dict[str, Any], ...]:
    """Return the columns of the shipped positions, in the order of the file."""
    rows = json.loads(FILE.read_text("utf-8"))
    return tuple(
        {
            "uuid": uuids.uuid5(_SPACE, row["code"]),
            "code": row["code"],
            "name": row["name"],
            "layout": read_layout(row["layout"], "layout"),
            "cue_ball": row["cue_ball"],
            "line": row.get("line"),
            "discipline_code": row["discipline"],
            "family": row.get("family"),
            "note": row.get("note", ""),
            "source": row["source"],
            "shipped": True,
            "shared": False,
        }
        for row in rows
    )


def do_ship_positions() -> int:
    """Bring the library's positions into rows; return how many were added.

    What lies where never changes once it is a row: a position that is drawn anew gets a new
    code. Names and notes follow the file.
    """
    known = {row.code: row for row in PracticePosition.objects.filter(shipped=True)}
    fresh = [PracticePosition(**columns) for columns in library() if columns["code"] not in known]
    PracticePosition.objects.bulk_create(fresh, ignore_conflicts=True)
    told = ("name", "note", "family", "source")
    for columns in library():
        row = known.get(columns["code"])
        if row is not None and any(getattr(row, name) != columns[name] for name in told):
            PracticePosition.objects.filter(pk=row.pk).update(**{name: columns[name] for name in told})
    return len(fresh)


def name_of(position: PracticePosition) -> str:
    """Return the name of a position; the library's is in the reader's language."""
    return gettext(position.name) if position.shipped else position.name


def note_of(position: PracticePosition) -> str:
    """Return the note beside a position; the library's is in the reader's language."""
    return gettext(position.note) if position.shipped and position.note else position.note
