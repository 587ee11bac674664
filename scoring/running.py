"""Running the day: calling, moving, holding back, tables out of order; each verb is an entry.

`do_act` is the one door for pages and API. Raises Malformed with the field, and Refused with a code
and what to do; then nothing was written.
"""

from __future__ import annotations

import uuid as uuids
from collections.abc import Callable, Mapping
from typing import Any

from django.db import transaction
from django.utils import timezone

from scoring import ledger
from scoring.conducting import do_record
from scoring.day_plan import read_day
from scoring.day_shapes import A_DAY, UNDER_WAY, Day, Line
from scoring.ledger import Author
from scoring.models import Competition, CompetitionEntry, Match, MatchProjection, Pen, Player, PlayTable
from scoring.rules.event.entry import an_id
from scoring.rules.match.checks import Refused
from scoring.rules.match.fields import MAX_TEXT
from scoring.rules.reading import a_text
from scoring.rules.said import Malformed, said

Fields = Mapping[str, Any]


@transaction.atomic
def do_act(
    competition: Competition, act: str, fields: Fields, author: Author, uuid: uuids.UUID | None = None
) -> None:
    """Do one of ACTS. A retry with the same uuid does nothing again."""
    if act not in ACTS:
        raise Malformed("act", said("one of these is needed here: %(choices)s", choices=", ".join(ACTS)))
    told = {name: value for name, value in fields.items() if value is not None}
    name = uuid or uuids.uuid4()
    # Whoever does something else at the same moment waits here, and then sees what was done: the match
    # first, as whoever writes in it has it.
    matches = MatchProjection.objects.select_for_update(of=("self",)).filter(match__competition=competition)
    list(matches.filter(pk=an_id(told["match"], "match")).values_list("pk") if "match" in told else ())
    Competition.objects.select_for_update(of=("self",)).get(pk=competition.pk)
    ACTS[act](competition, told, author, name)


def _seen(name: uuids.UUID) -> bool:
    return CompetitionEntry.objects.filter(uuid=name).exists()


def _match(competition: Competition, fields: Fields) -> Match:
    pk = an_id(fields.get("match"), "match")
    found = Match.objects.filter(pk=pk, competition=competition).select_related("projection").first()
    if found is None:
        raise Malformed("match", said("This competition has no such match."))
    return found


def _check_tables(competition: Competition, tables: Any) -> None:
    wanted = set(tables) if isinstance(tables, list) else {tables}
    if not all(isinstance(one, int) for one in wanted):
        return  # the shape is judged where it is read
    if PlayTable.objects.filter(pk__in=wanted, club=competition.club_id).count() < len(wanted):
        raise Malformed("table", said("The club has no such table."))


def _check_players(players: Any, name: str) -> None:
    wanted = set(players) if isinstance(players, list) else {players}
    if not all(isinstance(one, int) for one in wanted):
        return
    if Player.objects.filter(pk__in=wanted).count() < len(wanted):
        raise Malformed(name, said("No such player is known here."))


def _record(kind: str) -> Callable[..., None]:
    """Return a verb that writes an entry and nothing else."""

    def act(competition: Competition, fields: Fields, author: Author, name: uuids.UUID) -> None:
        for key in ("table", "tables"):
            if key in fields:
                _check_tables(competition, fields[key])
        if "players" in fields:
            _check_players(fields["players"], "players")
        if "match" in fields and not _seen(name):
            _needs_planned(_match(competition, fields))
        do_record(competition, kind, fields, author, uuid=name)

    return act


def _needs_planned(match: Match) -> None:
    if match.projection.status != MatchProjection.Status.PLANNED:
        raise Refused("begun", said("This match has begun."))


# --- calling -----------------------------------------------------------------


def _call(competition: Competition, fields: Fields, author: Author, name: uuids.UUID) -> None:
    """Call a match to a table, with a referee or without. anyway: before the players have rested."""
    told = dict(fields)
    anyway = bool(told.pop("anyway", False))
    if not _seen(name):
        match = _match(competition, told)
        _needs_planned(match)
        table = an_id(told.get("table"), "table")
        _check_tables(competition, table)
        day = read_day(competition)
        _check_table_free(competition, day, table, match)
        _check_people_free(day, match, told.get("referee"), anyway)
    entry = do_record(competition, "call", told, author, uuid=name)
    if not entry.known:
        _put(match, table, author, name)
        Match.objects.filter(pk=match.pk).update(referee=told.get("referee"))


def _take_back(competition: Competition, fields: Fields, author: Author, name: uuids.UUID) -> None:
    match = _match(competition, fields)
    if not _seen(name):
        _needs_planned(match)
    entry = do_record(competition, "take-back", fields, author, uuid=name)
    if not entry.known:
        if not match.projection.seq:
            ledger.put_on_table(match.pk, None)
        Match.objects.filter(pk=match.pk).update(referee=None)


def _assign(competition: Competition, fields: Fields, author: Author, name: uuids.UUID) -> None:
    """Name another referee, or nobody."""
    match, referee = _match(competition, fields), fields.get("referee")
    if not _seen(name):
        if referee is not None:
            _check_referee(read_day(competition), match, referee)
        if match.projection.status in (MatchProjection.Status.OVER, MatchProjection.Status.CONFIRMED):
            raise Refused("over", said("This match is over."))
    entry = do_record(competition, "assign", fields, author, uuid=name)
    if not entry.known:
        Match.objects.filter(pk=match.pk).update(referee=referee)


def _check_table_free(competition: Competition, day: Day, table: int, match: Match) -> None:
    """Refuse a table on which another match is played, of whichever competition, or called to."""
    taken = Refused("table-taken", said("Another match is at this table. Choose another one, or move it."))
    for line in day.lines:
        if line.table == table and line.match.pk != match.pk and line.state in (*UNDER_WAY, "called"):
            raise taken
    elsewhere = MatchProjection.objects.filter(
        table=table, status__in=UNDER_WAY, last_at__gt=timezone.now() - A_DAY
    )
    if elsewhere.exclude(match__competition=competition).exclude(match=match.pk).exists():
        raise taken


def _check_people_free(day: Day, match: Match, referee: Any, anyway: bool) -> None:
    line = _line(day, match)
    for code, player, _ in line.waits:
        if code == "left":
            raise Refused("left", said("%(name)s has left. Write the result instead.", name=player or ""))
        if code in ("playing", "refereeing", "called"):
            raise Refused("busy", said("%(name)s plays or referees at another table.", name=player or ""))
        if code == "rest" and not anyway:
            raise Refused("rest", said("%(name)s still rests.", name=player or ""))
    if referee is not None:
        _check_referee(day, match, referee)


def _check_referee(day: Day, match: Match, referee: Any) -> None:
    referee = an_id(referee, "referee")
    if referee in match.entrant_ids:
        raise Malformed("referee", said("Nobody referees the own match."))
    _check_players(referee, "referee")
    for line in day.lines:
        if line.match.pk == match.pk or line.state not in (*UNDER_WAY, "called"):
            continue
        named = None if line.referee is None else line.referee.pk
        if referee == named or referee in line.match.entrant_ids:
            raise Refused("busy", said("%(name)s plays or referees at another table.",
                          name=day.people.get(referee, referee)))  # fmt: skip


def _line(day: Day, match: Match) -> Line:
    for line in day.lines:
        if line.match.pk == match.pk:
            return line
    raise Refused("not-today", said("This match is not of this day."))


# --- tables ------------------------------------------------------------------


def _move(competition: Competition, fields: Fields, author: Author, name: uuids.UUID) -> None:
    """Move a match to another table: one that is called is called again, one that is played goes on there."""
    if _seen(name):
        return
    match = _match(competition, fields)
    status = match.projection.status
    table = an_id(fields.get("table"), "table")
    if status == MatchProjection.Status.PLANNED:
        _call(competition, {**fields, "referee": match.referee_id, "anyway": True}, author, name)
        return
    if status not in UNDER_WAY:
        raise Refused("over", said("This match is over."))
    if table == match.projection.table_id:
        raise Refused("same-table", said("The match is at this table already."))
    _check_tables(competition, table)
    _check_table_free(competition, read_day(competition), table, match)
    told = {"match": match.pk, "table": table, "left": match.projection.table_id, "why": fields.get("why")}
    do_record(competition, "move", told, author, uuid=name)
    _put(match, table, author, name)


def _put(match: Match, table: int, author: Author, name: uuids.UUID) -> None:
    """Let a match be at a table, so that the link of that table reads and writes it."""
    projection = match.projection
    if projection.table_id == table:
        return
    if not projection.seq:
        ledger.put_on_table(match.pk, table)
        return
    # The device at the table that is left writes no longer; the one at the new table takes the pen.
    Pen.objects.filter(match=match, ended_at__isnull=True).update(ended_at=timezone.now())
    kinds = [] if projection.status == MatchProjection.Status.SUSPENDED else ["suspend"]
    entries = [{"kind": kind} for kind in kinds] + [{"kind": "resume", "table": table}]
    append_all(match.pk, projection.seq, entries, author, name)


def append_all(
    match: int, after: int, entries: list[dict[str, Any]], author: Author, name: uuids.UUID
) -> None:
    """Append entries to the ledger of a match, all or none; raises what refused the first of them."""
    sent = [
        {"uuid": str(uuids.uuid5(name, f"{place}-{entry['kind']}")), "after": after} | entry
        for place, entry in enumerate(entries)
    ]
    outcomes, _state = ledger.append_list(match, sent, author)
    for outcome in outcomes:
        if outcome.error is not None:
            raise outcome.error


# --- results -----------------------------------------------------------------


def _walkover(competition: Competition, fields: Fields, author: Author, name: uuids.UUID) -> None:
    """Give a match to the one who is there; `absent` did not appear."""
    match, absent = _match(competition, fields), an_id(fields.get("absent"), "absent")
    if absent not in match.entrant_ids:
        raise Malformed("absent", said("Name one of the two players."))
    why = a_text(fields.get("why"), "why", MAX_TEXT)
    first, second = match.entrant_ids
    result = {"kind": "result", "outcome": "walkover", "player": second if absent == first else first}
    sent = uuids.uuid5(name, "0-result")
    if not match.entries.filter(uuid=sent).exists():
        _needs_planned(match)
    append_all(match.pk, match.projection.seq, [result | {"why": why}], author, name)


ACTS: Mapping[str, Callable[[Competition, Fields, Author, uuids.UUID], None]] = {
    "call": _call,
    "take-back": _take_back,
    "assign": _assign,
    "move": _move,
    "walkover": _walkover,
} | {
    kind: _record(kind)
    for kind in (
        "day-open",
        "day-end",
        "tables-in-use",
        "table-out",
        "table-back",
        "referees",
        "hold",
        "release",
        "forward",
        "not-before",
    )
}
