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
# So many matches that wait are shown at first, and so many that are ready with what calls them.
MOST_WAITING, MOST_READY = 40, 24
# What stands in the way of a call, and may be overruled.
OVERRULED = frozenset({"rest", "absent", "not-before"})


class Rows:
    """The rows of a day for a reader; everything was read before, so that they ask nothing."""

    def __init__(self, day: Day, actor: Actor, whole: bool = False) -> None:
        self.day, self.actor, self.whole = day, actor, whole
        self.names = {one.table.pk: one.table.name for one in day.tables}
        self.free = [one.table for one in day.tables if one.free]
        busy = [line for line in day.lines if line.state in (*UNDER_WAY, "called")]
        self.busy = {pk for line in busy for pk in line.match.entrant_ids}
        self.busy |= {line.referee.pk for line in busy if line.referee is not None}
        self.pool = [(one.pk, short_name(one, actor)) for one in day.pool if one.pk not in self.busy]

    def context(self) -> dict[str, Any]:
        """Return all the rows."""
        day = self.day
        return {
            "tables": [self.table(one) for one in day.tables],
            "elsewhere": [self.match(line) for line in day.elsewhere],
            "calls": [self.call(slot) for slot in day.calls],
            "queue": [self.match(line, at < MOST_READY) for at, line in enumerate(day.queue)],
            "waiting": [self.match(line) for line in day.waiting[: None if self.whole else MOST_WAITING]],
            "more": 0 if self.whole else max(0, len(day.waiting) - MOST_WAITING),
            "late": [self.match(line) for line in day.late],
            "protests": [self.match(line) for line in [*day.lines, *day.over] if line.protest],
            "drawn": [self.match(line) for line in day.drawn],
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

    def match(self, line: Line, callable_now: bool = True) -> Row:
        """Return a match with its state in words and what can be done with it."""
        match, now = line.match, self.day.now
        under_way, called = line.state in UNDER_WAY, line.state == "called"
        shown = show_match(match, self.actor) if under_way else None
        placed = under_way or called
        callable_now = placed or (callable_now and all(code in OVERRULED for code, _, _ in line.waits))
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
            "state": self._state(line, "" if shown is None else shown.state_words),
            "table": self.names.get(line.table or 0, ""),
            "referee": "" if line.referee is None else short_name(line.referee, self.actor),
            "running": line.running,
            "end": clock(line.end, now),
            "start": clock(line.start, now),
            "length": minutes_words(line.minutes),
            "waits": [wait_words(*wait, self.actor, now) for wait in line.waits],
            "rests": any(code == "rest" for code, _, _ in line.waits),
            "late": [late_words(*late) for late in line.late],
            "callable": callable_now,
            "tables": self.free if callable_now else [],
            "referees": self._referees(line) if callable_now else [],
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
        """Return who of the pool may be asked to referee a match."""
        fit = [{"pk": pk, "name": name} for pk, name in self.pool if pk not in line.match.entrant_ids]
        if line.referee is not None:
            own = {"pk": line.referee.pk, "name": short_name(line.referee, self.actor), "chosen": True}
            fit = [own, *(one for one in fit if one["pk"] != own["pk"])]
        return fit
