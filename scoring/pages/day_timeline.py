"""The plan of a day as a drawing: a row a table, hours across, matches with their names."""

from __future__ import annotations

import datetime
import math
from typing import Any

from scoring.access import Actor
from scoring.day_shapes import Day, Line, Slot
from scoring.rules.event.entry import State

from .day_words import clock, side_words

GUTTER, HEAD, ROW, BAR = 112, 28, 54, 44
WIDTH = 1160
# A minute is at least so many pixels, so that two names of an hour can be read.
LEAST = 1.7
BEFORE = datetime.timedelta(hours=1)


def draw(day: Day, actor: Actor) -> dict[str, Any] | None:
    """Return what the template draws, in whole pixels as texts; None with nothing planned."""
    slots = [slot for slot in day.slots if slot.table is not None and slot.end > day.now - BEFORE]
    if not slots:
        return None
    start = min([day.now, *(slot.start for slot in slots)])
    start = max(start, day.now - BEFORE).replace(minute=0, second=0, microsecond=0)
    end = max(slot.end for slot in slots)
    hours = max(1, math.ceil((end - start).total_seconds() / 3600))
    scale = max(LEAST, (WIDTH - GUTTER) / (60 * hours))

    def at(moment: datetime.datetime) -> int:
        return GUTTER + round(max(0.0, (moment - start).total_seconds() / 60) * scale)

    rows = []
    for place, one in enumerate(day.tables):
        own = [slot for slot in slots if slot.table is not None and slot.table.pk == one.table.pk]
        rows.append(
            {
                "name": one.table.name,
                "y": str(HEAD + ROW * place),
                "middle": str(HEAD + ROW * place + 32),
                "bars": [_bar(day, slot, actor, at, HEAD + ROW * place + 5) for slot in own],
                "out": _out(day.state, one.table.pk, start, start + datetime.timedelta(hours=hours), at),
            }
        )
    width = GUTTER + round(60 * hours * scale)
    ticks = [start + datetime.timedelta(hours=number) for number in range(hours + 1)]
    return {
        "width": str(width),
        "height": str(HEAD + ROW * len(rows)),
        "right": str(width),
        "rows": rows,
        "hours": [{"x": str(at(tick)), "label": clock(tick)} for tick in ticks[:-1]],
        "now": str(at(day.now)),
    }


def _bar(day: Day, slot: Slot, actor: Actor, at: Any, y: int) -> dict[str, Any]:
    x = at(slot.start)
    first, second = side_words(slot.what, actor, day.people)
    kind = "planned"
    if slot.locked and isinstance(slot.what, Line):
        kind = "called" if slot.what.state == "called" else "played"
    return {
        "x": str(x),
        "y": str(y),
        "width": str(max(4, at(slot.end) - x - 2)),
        "height": str(BAR),
        "first": first,
        "second": second,
        "kind": kind,
    }


def _out(
    state: State, table: int, start: datetime.datetime, end: datetime.datetime, at: Any
) -> dict[str, str] | None:
    out = state["day"]["out"].get(str(table))
    if out is None:
        return None
    until = end if out["until"] is None else min(end, datetime.datetime.fromisoformat(out["until"]))
    begin = max(start, datetime.datetime.fromisoformat(out["from"]))
    if until <= begin:
        return None
    return {"x": str(at(begin)), "width": str(at(until) - at(begin))}


def listed(day: Day, actor: Actor) -> list[dict[str, Any]]:
    """Return the plan as rows of a table: the drawing in words."""
    return [
        {
            "start": clock(slot.start, day.now),
            "end": clock(slot.end, day.now),
            "table": slot.table.name if slot.table else "",
            "sides": side_words(slot.what, actor, day.people),
            "referee": "" if slot.referee is None else str(slot.referee),
            "locked": slot.locked,
        }
        for slot in day.slots
        if slot.end > day.now
    ]
