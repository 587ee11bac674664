"""What the counter shows of a day: rows of tables and matches, and what can be done with each."""

from __future__ import annotations

from typing import Any

from django.utils import timezone
from django.utils.translation import gettext

from scoring.access import Actor
from scoring.day_shapes import UNDER_WAY, Day, Line, Slot, TableNow, read_moment

from .day_words import clock, late_words, minutes_words, side_words, wait_words
from .reading import show_match
from .words import short_name

Row = dict[str, Any]


class Rows:
    """The rows of a day for a reader; everything was read before, so that they ask nothing."""

    def __init__(self, day: Day, actor: Actor) -> None:
        self.day, self.actor = day, actor
        self.names = {one.table.pk: one.table.name for one in day.tables}
        self.free = [one.table for one in day.tables if one.free]
        busy = [line for line in day.lines if line.state in (*UNDER_WAY, "called")]
        self.busy = {pk for line in busy for pk in line.match.entrant_ids}
        self.busy |= {line.referee.pk for line in busy if line.referee is not None}

    def context(self) -> dict[str, Any]:
        """Return all the rows."""
        day = self.day
        return {
            "tables": [self.table(one) for one in day.tables],
            "elsewhere": [self.match(line) for line in day.elsewhere],
            "calls": [self.call(slot) for slot in day.calls],
            "queue": [self.match(line) for line in day.queue],
            "waiting": [self.match(line) for line in day.waiting],
            "late": [self.match(line) for line in day.late],
            "protests": [self.match(line) for line in [*day.lines, *day.over] if line.protest],
            "counts": {
                "playing": sum(line.state in UNDER_WAY for line in day.lines),
                "called": sum(line.state == "called" for line in day.lines),
                "ready": len(day.queue),
                "to_come": len(day.waiting) + len(day.open),
                "over": len(day.over),
            },
        }

    def table(self, one: TableNow) -> Row:
        """Return a table with what is at it, and what comes next."""
        after = next(iter(one.after), None)
        out = one.out
        told = None
        if out is not None:
            until = out.get("until_at")
            told = {"since": clock(out["since"], self.day.now), "until": clock(until, self.day.now)}
        return {
            "key": f"t{one.table.pk}",
            "table": one.table,
            "out": told,
            "matches": [self.match(line) for line in one.lines],
            "next": None if after is None else self.next(after),
        }

    def next(self, slot: Slot) -> Row:
        """Return what is planned at a table after what is there."""
        return {
            "sides": side_words(slot.what, self.actor, self.day.people),
            "when": clock(slot.start, self.day.now),
        }

    def call(self, slot: Slot) -> Row:
        """Return a call that is proposed."""
        assert isinstance(slot.what, Line)
        return self.match(slot.what) | {"to": slot.table, "proposed": slot.referee}

    def match(self, line: Line) -> Row:
        """Return a match with its state in words and what can be done with it."""
        match, now = line.match, self.day.now
        shown = show_match(match, self.actor)
        under_way, called = line.state in UNDER_WAY, line.state == "called"
        first, second = line.players
        return {
            "key": f"m{match.pk}",
            "match": match,
            "line": line,
            "sides": side_words(line, self.actor, self.day.people),
            "shown": shown,
            "under_way": under_way,
            "called": called,
            "planned": not under_way and not called,
            "state": self._state(line, shown.state_words),
            "table": self.names.get(line.table or 0, ""),
            "referee": "" if line.referee is None else short_name(line.referee, self.actor),
            "running": line.running,
            "end": clock(line.end, now),
            "start": clock(line.start, now),
            "length": minutes_words(line.minutes),
            "waits": [wait_words(*wait, self.actor, now) for wait in line.waits],
            "rests": any(code == "rest" for code, _, _ in line.waits),
            "late": [late_words(*late) for late in line.late],
            "tables": self.free,
            "referees": self._referees(line),
            "absent": [(one.pk, short_name(one, self.actor)) for one in (first, second)],
            "not_before": self._not_before(line),
        }

    def _state(self, line: Line, words: str) -> str:
        if line.state == "called":
            return gettext("called at %(when)s") % {"when": clock(line.called_at, self.day.now)}
        return words

    def _not_before(self, line: Line) -> str:
        said = self.day.state["day"]["earliest"].get(str(line.match.pk))
        return "" if said is None else f"{timezone.localtime(read_moment(said)):%H:%M}"

    def _referees(self, line: Line) -> list[Row]:
        """Return who may be asked to referee a match: of the pool, else anybody who plays elsewhere."""
        pool = self.day.pool or list(self.day.people.values())
        own = None if line.referee is None else line.referee.pk
        fit = [
            one
            for one in pool
            if one.pk == own or (one.pk not in self.busy and one.pk not in line.match.entrant_ids)
        ]
        return [{"pk": one.pk, "name": short_name(one, self.actor), "chosen": one.pk == own} for one in fit]
