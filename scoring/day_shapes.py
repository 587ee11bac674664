"""The shapes of a day: a match in it, a table, a part of the plan, and the whole."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass, field
from typing import Any

from scoring.models import Competition, Match, MatchProjection, Player, PlayTable
from scoring.rules.event.entry import State
from scoring.stages import Fixture, StageNow
from scoring.undecided import awaits_extra

Status = MatchProjection.Status
UNDER_WAY = (Status.PLAYING, Status.SUSPENDED)
FINISHED = (Status.OVER, Status.CONFIRMED)
# How far back a finished match still tells of the day.
A_DAY = datetime.timedelta(hours=14)
# Minutes from the call, or from the hour that was told, until somebody asks; a match is long at a third
# over what was expected, and so many minutes (common practice).
PATIENCE = 10
LONG_SHARE, LONG_MINUTES = 4 / 3, 10


@dataclass
class Line:
    """A match of the day. minutes: what it is expected to take in all; start, end: as they are or expected.

    waits: why it cannot be called now, as (code, player or None, moment or None): `left`, `absent`, `held`,
    `not-before`, `playing`, `refereeing`, `called`, `rest`. late: codes of what is late: `not-begun`,
    `long`, `behind`, with the minutes. protest: a protest is not decided.
    """

    match: Match
    state: str
    minutes: int
    table: int | None = None
    referee: Player | None = None
    start: datetime.datetime | None = None
    end: datetime.datetime | None = None
    running: int | None = None
    called_at: datetime.datetime | None = None
    first: bool = False
    waits: list[tuple[str, Player | None, datetime.datetime | None]] = field(default_factory=list)
    late: list[tuple[str, int]] = field(default_factory=list)

    @property
    def players(self) -> tuple[Player, Player]:
        return self.match.entrant_a, self.match.entrant_b

    @property
    def held(self) -> bool:
        return any(code == "held" for code, _, _ in self.waits)

    @property
    def protest(self) -> bool:
        return any(flag.get("code") == "disputed" for flag in self.match.projection.state.get("flags", ()))


@dataclass
class Open:
    """A match that is drawn and not known yet: somebody in it has still to win, or to lose, another one."""

    stage: StageNow
    fixture: Fixture
    minutes: int


@dataclass
class TableNow:
    """A table: what is played on it or called to it, and since when it is out of order."""

    table: PlayTable
    lines: list[Line] = field(default_factory=list)
    out: dict[str, Any] | None = None
    after: list[Slot] = field(default_factory=list)

    @property
    def free(self) -> bool:
        return not self.lines and self.out is None


@dataclass(frozen=True)
class Slot:
    """A part of the plan: what, where, from when to when."""

    what: Line | Open
    table: PlayTable | None
    start: datetime.datetime
    end: datetime.datetime
    referee: Player | None
    locked: bool


@dataclass
class Day:
    """A day of a competition.

    elsewhere: matches under way on no table of the day. calls: what should be called now, in order, with
    table and referee proposed. queue: ready, in the order of the plan; waiting: not ready; over: finished
    since. end: when it will be over, bound: before which no plan of it can be; None with nothing to play.
    """

    competition: Competition
    state: State
    now: datetime.datetime
    tables: list[TableNow]
    elsewhere: list[Line]
    calls: list[Slot]
    queue: list[Line]
    waiting: list[Line]
    over: list[Line]
    open: list[Open]
    slots: list[Slot]
    end: datetime.datetime | None
    bound: datetime.datetime | None
    pool: list[Player]
    people: dict[int, Player]
    rest: int

    @property
    def lines(self) -> list[Line]:
        """Every match that is not over."""
        seated = [line for one in self.tables for line in one.lines]
        return [*seated, *self.elsewhere, *self.queue, *self.waiting]

    @property
    def drawn(self) -> list[Line]:
        """Matches of a knock-out that wait for their extra innings."""
        return [line for line in self.over if awaits_extra(line.match)]

    @property
    def late(self) -> list[Line]:
        return [line for line in self.lines if line.late]


def minute_of(at: datetime.datetime, up: bool = False) -> int:
    minutes = at.timestamp() / 60
    return math.ceil(minutes) if up else math.floor(minutes)


def moment_of(minute: int) -> datetime.datetime:
    return datetime.datetime.fromtimestamp(minute * 60, datetime.UTC)


def read_moment(at: str) -> datetime.datetime:
    return datetime.datetime.fromisoformat(at)
