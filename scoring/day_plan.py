"""The day of a competition as it stands: what is played, called and ready, what is late, and when it ends.

Read anew each time: what is played or called stays where it is, everything else is planned around it
by `rules.planning`. The number of queries does not depend on how many matches there are.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from typing import Any

from django.db.models import Q
from django.utils import timezone

from scoring.conducting import read_state
from scoring.day_shapes import (
    A_DAY,
    FINISHED,
    LONG_MINUTES,
    LONG_SHARE,
    PATIENCE,
    UNDER_WAY,
    Day,
    Line,
    Open,
    Slot,
    Status,
    TableNow,
    minute_of,
    moment_of,
    read_moment,
)
from scoring.models import Competition, Match, Player, PlayTable
from scoring.paces import Paces, read_paces
from scoring.regulations import find_discipline
from scoring.rules.brackets import OPEN
from scoring.rules.event.entrants import OUT, PRESENT
from scoring.rules.event.entry import State
from scoring.rules.event.regulations import Regulations
from scoring.rules.formats import complete_format
from scoring.rules.groups import After
from scoring.rules.planning import Job, Placed, Plan, Table, plan
from scoring.stages import READY, read_stages


def read_day(competition: Competition, now: datetime.datetime | None = None) -> Day:
    """Return the day as it stands, and the plan of what is left of it."""
    return _Reading(competition, now or timezone.now()).day()


def tables_of(competition: Competition, state: State) -> list[PlayTable]:
    """Return the tables in use, in the order in which they were named."""
    chosen = state["day"]["tables"]
    rows = list(PlayTable.objects.filter(club=competition.club_id))
    if not chosen:
        return rows
    known = {one.pk: one for one in rows}
    return [known[pk] for pk in chosen if pk in known]


class _Reading:
    def __init__(self, competition: Competition, now: datetime.datetime) -> None:
        self.competition, self.now = competition, now
        self.state = read_state(competition)
        self.told = self.state["day"]
        self.settings = Regulations.stored(competition.regulations)
        self.rest = self.settings.rest_minutes
        self.tables = {one.pk: TableNow(one) for one in tables_of(competition, self.state)}
        self._mark_out()
        self.matches = self._matches()
        self.stages = read_stages(competition, self.state)
        self.people = self._people()
        self.paces = self._paces()
        self.minute = minute_of(now)
        self.lines = {match.pk: self._line(match) for match in self.matches}

    # What is there

    def _matches(self) -> list[Match]:
        """Return the matches of the day in the order of the programme, and those over a short while ago."""
        midnight = timezone.localtime(self.now).replace(hour=0, minute=0, second=0, microsecond=0)
        tomorrow = midnight + datetime.timedelta(days=1)
        another_day = Q(projection__status=Status.PLANNED, scheduled_at__gte=tomorrow)
        long_over = Q(projection__status__in=FINISHED) & ~Q(projection__ended_at__gt=self.now - A_DAY)
        found = (
            Match.objects.filter(competition=self.competition)
            .exclude(another_day)
            .exclude(long_over)
            .shown()
            .select_related("group__stage", "referee__name")
            .prefetch_related("colour_projections")
        )
        forward = {pk: place for place, pk in enumerate(self.told["first"])}
        return sorted(
            found,
            key=lambda one: (
                forward.get(one.pk, len(forward)),
                one.scheduled_at or midnight,
                one.group.stage.order if one.group else 0,
                one.tie or 0,
                one.pk,
            ),
        )

    def _mark_out(self) -> None:
        at = self.now.astimezone(datetime.UTC).isoformat()
        for key, out in self.told["out"].items():
            one = self.tables.get(int(key))
            if one is not None and out["from"] <= at and (out["until"] is None or at < out["until"]):
                until = None if out["until"] is None else read_moment(out["until"])
                one.out = out | {"since": read_moment(out["from"]), "until_at": until}

    def _people(self) -> dict[int, Player]:
        wanted = {int(key) for key in self.state["entrants"]} | set(self.told["referees"])
        wanted |= {call["referee"] for call in self.told["calls"].values() if call["referee"]}
        found = {one.pk: one for one in Player.objects.named().filter(pk__in=wanted)}
        for match in self.matches:
            found |= {match.entrant_a_id: match.entrant_a, match.entrant_b_id: match.entrant_b}
        return found

    def _paces(self) -> Paces:
        players = {pk for match in self.matches for pk in match.entrant_ids}
        players |= {int(key) for key in self.state["entrants"]}
        return read_paces(players, self.competition.discipline, self.settings.seconds_a_stroke)

    def _line(self, match: Match) -> Line:
        status = match.projection.status
        call = self.told["calls"].get(str(match.pk))
        minutes = self.paces.minutes(match.entrant_ids, (match.distance_a, match.distance_b), match.format)
        line = Line(match, status, minutes, referee=match.referee)
        if status in FINISHED:
            line.start, line.end = match.projection.started_at, match.projection.ended_at
            line.table = match.projection.table_id
        elif status in UNDER_WAY:
            line.table = match.projection.table_id
            line.start = match.projection.started_at or self.now
            line.running = max(0, self.minute - minute_of(line.start))
            line.end = self.now + datetime.timedelta(minutes=self.paces.minutes_left(match))
            if line.running > minutes * LONG_SHARE + LONG_MINUTES:
                line.late.append(("long", line.running - minutes))
        elif call is not None:
            line.state, line.table, line.called_at = "called", call["table"], read_moment(call["at"])
            line.end = self.now + datetime.timedelta(minutes=minutes)
            waited = self.minute - minute_of(line.called_at)
            if waited >= PATIENCE:
                line.late.append(("not-begun", waited))
        else:
            line.first = match.pk in self.told["first"]
            behind = 0 if match.scheduled_at is None else self.minute - minute_of(match.scheduled_at)
            if behind >= PATIENCE:
                line.late.append(("behind", behind))
        return line

    # Who is free

    def _wait(self) -> None:
        """Say of every match that is not called why it cannot be."""
        taken = self._taken()
        entrants = self.state["entrants"]
        counted = any(one["status"] == PRESENT for one in entrants.values())
        for line in self.lines.values():
            if line.state != Status.PLANNED:
                continue
            match = line.match
            for player in line.players:
                told = entrants.get(str(player.pk))
                if told is not None and told["status"] in OUT:
                    line.waits.append(("left", player, None))
                elif counted and told is not None and told["status"] != PRESENT:
                    line.waits.append(("absent", player, None))
                line.waits += [(code, player, until) for code, until in taken.get(player.pk, [])]
            if match.pk in self.told["held"]:
                line.waits.append(("held", None, None))
            first = self._not_before(line)
            if first is not None and first > self.now:
                line.waits.append(("not-before", None, first))

    def _taken(self) -> dict[int, list[tuple[str, datetime.datetime | None]]]:
        taken: dict[int, list[tuple[str, datetime.datetime | None]]] = {}
        for line in self.lines.values():
            code = "called" if line.state == "called" else "playing"
            if line.state in UNDER_WAY or line.state == "called":
                for player in line.players:
                    taken.setdefault(player.pk, []).append((code, line.end))
                if line.referee is not None:
                    taken.setdefault(line.referee.pk, []).append(("refereeing", line.end))
            elif line.end is not None:
                rested = line.end + datetime.timedelta(minutes=self.rest)
                if minute_of(rested) > self.minute:
                    for player in line.players:
                        taken.setdefault(player.pk, []).append(("rest", rested))
        return taken

    def _not_before(self, line: Line) -> datetime.datetime | None:
        """Return the moment that was said; else the hour of the programme, unless it was brought forward."""
        said = self.told["earliest"].get(str(line.match.pk))
        if said is not None:
            return read_moment(said)
        return None if line.first else line.match.scheduled_at

    # The plan

    def day(self) -> Day:
        self._wait()
        self.open = self._open()
        made = self._plan()
        slots = [self._slot(one) for one in made.placed]
        self._spread(slots)
        self._seat()
        seated = {id(line) for one in self.tables.values() for line in one.lines}
        waiting = [line for line in self.lines.values() if line.state == Status.PLANNED]
        under_way = [line for line in self.lines.values() if line.state in (*UNDER_WAY, "called")]
        ready = [line for line in waiting if not line.waits]
        left = bool(under_way or waiting or self.open)
        return Day(
            competition=self.competition,
            state=self.state,
            now=self.now,
            tables=list(self.tables.values()),
            elsewhere=[line for line in under_way if id(line) not in seated],
            calls=[self._slot(one) for one in made.due(self.minute) if one.job in self.lines],
            queue=sorted(ready, key=lambda line: (line.start is None, line.start or self.now)),
            waiting=[line for line in waiting if line.waits],
            over=[line for line in self.lines.values() if line.state in FINISHED],
            open=list(self.open.values()),
            slots=slots,
            end=moment_of(made.end) if left and made.end is not None else None,
            bound=moment_of(made.bound) if left else None,
            pool=[self.people[pk] for pk in self.told["referees"] if pk in self.people],
            people=self.people,
            rest=self.rest,
        )

    def _plan(self) -> Plan:
        tables = [Table(pk, tuple(self._outs(pk))) for pk in self.tables]
        jobs, locked = [], []
        rested = self._rested()
        for line in self.lines.values():
            if any(code == "left" for code, _, _ in line.waits):
                continue
            job = self._job(line, rested)
            if line.state == Status.PLANNED:
                jobs.append(job)
                continue
            where: Any = line.table
            if where not in self.tables:
                if line.state in FINISHED:
                    continue
                # Its players are taken; the place it is played at is no table of this day.
                where = ("elsewhere", line.match.pk)
                tables.append(Table(where, ((0, None),)))
            jobs.append(job)
            locked.append(self._locked(line, where))
        known = {job.key for job in jobs}
        for key, one in self.open.items():
            jobs.append(self._open_job(key, one, known))
        return plan(jobs, tables, start=self.minute, rest=self.rest, referees=self._referees(), locked=locked)

    def _job(self, line: Line, rested: dict[int, int]) -> Job:
        match = line.match
        earliest = max(rested.get(pk, 0) for pk in match.entrant_ids)
        first = self._not_before(line)
        if first is not None:
            earliest = max(earliest, minute_of(first, up=True))
        # Not to be called now, whatever is free; still to be played today.
        if any(code in ("held", "absent") for code, _, _ in line.waits):
            earliest = max(earliest, self.minute + 1)
        referee = match.referee_id if match.referee_id not in match.entrant_ids else None
        table = match.table_id
        usable = table in self.tables and self.tables[table].out is None
        return Job(
            match.pk,
            line.minutes,
            frozenset(match.entrant_ids),
            referee=referee,
            earliest=earliest,
            tables=frozenset({table}) if usable and line.state == Status.PLANNED else None,
            first=line.first,
        )

    def _locked(self, line: Line, where: Any) -> Placed:
        if line.state == "called":
            began = min(minute_of(line.called_at or self.now), self.minute)
            return Placed(line.match.pk, where, began, self.minute + line.minutes, True)
        began = minute_of(line.start or line.end or self.now)
        end = minute_of(line.end or self.now, up=line.state in UNDER_WAY)
        if line.state in UNDER_WAY:
            end = max(end, self.minute + 1)
        return Placed(line.match.pk, where, began, max(began, end), True)

    def _rested(self) -> dict[int, int]:
        """Return from which minute on a player who has finished a match may play again."""
        found: dict[int, int] = {}
        for line in self.lines.values():
            if line.state in FINISHED and line.end is not None:
                for pk in line.match.entrant_ids:
                    found[pk] = max(found.get(pk, 0), minute_of(line.end, up=True) + self.rest)
        return found

    def _outs(self, table: int) -> Iterable[tuple[int, int | None]]:
        out = self.told["out"].get(str(table))
        if out is not None:
            until = None if out["until"] is None else minute_of(read_moment(out["until"]), up=True)
            if until is None or until > self.minute:
                yield minute_of(read_moment(out["from"])), until

    def _referees(self) -> list[int]:
        """Return the pool without those who have left."""
        entrants = self.state["entrants"]
        gone = {int(key) for key, one in entrants.items() if one["status"] in OUT}
        return [pk for pk in self.told["referees"] if pk not in gone]

    # Matches that are drawn and not known

    def _open(self) -> dict[Any, Open]:
        game = find_discipline(self.competition.club, self.competition.discipline)
        found: dict[Any, Open] = {}
        for stage in self.stages:
            if stage.draw is None:
                continue
            form = complete_format(stage.draw["format"] or None, self.competition.format_defaults, game)
            for place, group in enumerate(stage.groups):
                for one in group.fixtures:
                    if one.match is None and one.state in (OPEN, READY):
                        minutes = self.paces.minutes(one.sides, tuple(form["distance"]), form)
                        found[stage.stage.pk, place, one.tie] = Open(stage, one, minutes)
        return found

    def _open_job(self, key: Any, one: Open, known: set[Any]) -> Job:
        stage, place, _ = key
        fixtures = {other.tie: other for other in one.stage.groups[place].fixtures}
        after = set()
        for feed in one.fixture.feeds:
            if feed is None:
                continue
            number = feed.match + 1 if isinstance(feed, After) else feed.match
            before = fixtures.get(number)
            if before is None:
                continue
            if before.match is None and (stage, place, number) in self.open:
                after.add((stage, place, number))
            elif before.match is not None and before.match.pk in known:
                after.add(before.match.pk)
        people = frozenset(side for side in one.fixture.sides if side is not None)
        # It has no row yet, so that it cannot be called this minute.
        return Job(key, one.minutes, people, after=frozenset(after), earliest=self.minute + 1)

    # What the plan says of each

    def _slot(self, one: Placed) -> Slot:
        # Keys of the plan are any that can be looked up; ours are ids, and tuples for what has no row.
        job: Any = one.job
        place: Any = one.table
        referee: Any = one.referee
        what = self.lines.get(job) or self.open[job]
        table = self.tables.get(place)
        return Slot(
            what,
            table.table if table else None,
            moment_of(one.start),
            moment_of(one.end),
            self.people.get(referee),
            one.locked,
        )

    def _spread(self, slots: list[Slot]) -> None:
        for slot in slots:
            if slot.locked:
                continue
            if isinstance(slot.what, Line):
                slot.what.start, slot.what.end = slot.start, slot.end
            if slot.table is not None:
                self.tables[slot.table.pk].after.append(slot)

    def _seat(self) -> None:
        for line in self.lines.values():
            if line.state in (*UNDER_WAY, "called") and line.table in self.tables:
                self.tables[line.table].lines.append(line)
        for one in self.tables.values():
            one.lines.sort(key=lambda line: (line.state == "called", line.start or self.now))
