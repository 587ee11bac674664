"""What single matches, and matches beside others, raise: read in lots, a fixed number of questions each.

`find` reads and judges; it stores nothing. What is compared with matches of other lots comes from
what is kept of those (`ScannedMatch`).
"""

from __future__ import annotations

import datetime
import hashlib
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import accumulate, pairwise
from math import sqrt
from typing import Any

from django.db.models import F, Q, QuerySet
from django.db.models.functions import Coalesce

from analytics.models import ScannedMatch
from analytics.reports.contradictions import Stay, Written, at_two_tables, contradictions, too_fast
from analytics.reports.plausible import Doubt, Past, Runs, doubled, unlikely
from analytics.reports.races import Rules
from analytics.reports.story_parts import Block, blocks_of
from analytics.reports.strength import form, shrunk_form
from scoring.models import ColourProjection, Match, MatchEntry, MatchProjection, StrokeProjection
from scoring.rules.match.colours import COLOURS
from scoring.rules.match.entry import RUNS, STROKES
from scoring.rules.match.shown import innings_of
from scoring.rules.said import said

OVER = (MatchProjection.Status.OVER, MatchProjection.Status.CONFIRMED)
# Two matches are needed for these; they stand with the later one.
OF_TWO = ("twice", "two-tables")
# A pause so long between strokes parts a player's stay at a table: the match may have been suspended [s].
PAUSE = 1_200.0
# Clocks of two devices may differ by so much: stays are shorter at both ends [s].
CLOCKS = 60.0
# What lies within so many standard deviations, or comes once in so few sheets, is asked about by nobody.
PLAIN, USUAL = 2.5, 0.01


@dataclass(frozen=True)
class Raised:
    """A doubt and where it belongs: `about` tells it from others of its kind in the same match."""

    match: int
    doubt: Doubt
    about: str = ""
    colour: str | None = None
    player: int | None = None
    other: int | None = None
    places: tuple[int, ...] = ()


@dataclass
class Sheet:
    """A match as it was written: strokes in order of play, and the figures of both colours."""

    match: Any
    sides: dict[str, ColourProjection]
    strokes: list[dict[str, Any]] = field(default_factory=list)
    times: dict[int, tuple[datetime.datetime | None, datetime.datetime]] = field(default_factory=dict)

    @property
    def order(self) -> tuple[datetime.datetime, int]:
        """What puts matches in the order of play."""
        return self.match.played_at, self.match.pk

    @cached_property
    def blocks(self) -> list[Block]:
        """Sets, or the match without sets; extra innings are left out."""
        return [block for block in blocks_of(innings_of(self.strokes)) if not block.extra]

    @cached_property
    def runs(self) -> tuple[tuple[int, ...], ...]:
        """All runs of white and of yellow, in order; in the order of their size, colours apart."""
        both = [tuple(run for block in self.blocks for run in block.runs[side]) for side in (0, 1)]
        return tuple(sorted(both)) if all(both) else ()

    @property
    def runs_hash(self) -> str:
        return hashlib.sha256(repr(self.runs).encode()).hexdigest() if self.runs else ""

    @cached_property
    def stays(self) -> list[list[float]]:
        """When its strokes came one after another, [since, until] in seconds since 1970."""
        moments = sorted(at.timestamp() for _device, at in self.times.values())
        if not moments:
            return []
        starts = [moments[0], *(later for earlier, later in pairwise(moments) if later - earlier > PAUSE)]
        ends = [*(earlier for earlier, later in pairwise(moments) if later - earlier > PAUSE), moments[-1]]
        return [list(one) for one in zip(starts, ends, strict=True)]


def dated(matches: QuerySet[Match]) -> QuerySet[Match]:
    """Return matches with when they were played, and whom both sides count for."""
    return matches.select_related("projection").annotate(
        played_at=Coalesce("projection__started_at", "projection__ended_at"),
        who_a=Coalesce("entrant_a__merged_into", "entrant_a"),
        who_b=Coalesce("entrant_b__merged_into", "entrant_b"),
    )


def read_sheets(ids: Sequence[int]) -> list[Sheet]:
    """Return the matches that are over and were played; four queries."""
    rows = (
        dated(Match.objects.filter(pk__in=ids, projection__status__in=OVER))
        .filter(played_at__isnull=False)
        .defer("projection__state")
    )
    sheets = {one.pk: Sheet(one, {}) for one in rows}
    sides = ColourProjection.objects.filter(match__in=sheets, counted=True, player__isnull=False)
    for side in sides.annotate(who=Coalesce("player__merged_into", "player")):
        sheets[side.match_id].sides[side.colour] = side
    played = {pk: sheet for pk, sheet in sheets.items() if len(sheet.sides) == 2}
    strokes = StrokeProjection.objects.filter(match__in=played).order_by("match", "order")
    names = ("match", "place", "set_number", "inning", "colour", "kind", "run", "counts", "extra")
    for row in strokes.values(*names).iterator():
        row["set"] = row.pop("set_number")
        played[row["match"]].strokes.append(row)
    # What was brought in from elsewhere was not written while it was played.
    entries = MatchEntry.objects.filter(match__in=played, kind__in=RUNS, import_batch__isnull=True)
    for match, seq, device, misdated, at in entries.values_list(
        "match", "seq", "device_time", "misdated", "dated_at"
    ).iterator():
        played[match].times[seq] = (None if misdated else device, at)
    for sheet in played.values():
        places = {row["place"] for row in sheet.strokes}
        sheet.times = {seq: at for seq, at in sheet.times.items() if seq in places}
    return sorted(played.values(), key=lambda one: one.order)


def find(sheets: Sequence[Sheet]) -> list[Raised]:
    """Return what these matches raise, alone and beside others; four queries."""
    found = [*_unlikely(sheets), *_twice(sheets), *_two_tables(sheets)]
    for sheet in sheets:
        found += [*_contradicted(sheet), *_too_fast(sheet)]
        if sheet.match.projection.flag_count:
            reason = said(
                "Open flags on the score sheet: %(count)s.", count=sheet.match.projection.flag_count
            )
            found.append(Raised(sheet.match.pk, Doubt("flags", reason)))
    return found


# --- runs and totals -----------------------------------------------------------


def _unlikely(sheets: Sequence[Sheet]) -> Iterator[Raised]:
    pasts = _Pasts(sheets)
    for sheet in sheets:
        for colour, side in sheet.sides.items():
            past = pasts.before(sheet, side)
            if not side.innings or not _worth_asking(past, side):
                continue
            past = Past(past.points, past.misses, pasts.form_before(sheet, side))
            for doubt in unlikely(past, side.high_run, side.points, side.innings):
                yield Raised(sheet.match.pk, doubt, colour, colour, side.player_id)


def _worth_asking(past: Past, side: ColourProjection) -> bool:
    """Whether a run or a total is worth the long sum: well beyond what the past makes usual.

    What is left out is likelier still once it is said how well the past is known, and how form moves.
    """
    a, b = past.points + 0.5, past.misses + 0.5
    if side.innings * (a / (a + b)) ** side.high_run < USUAL:
        return True
    average = a / b
    sd = sqrt(side.innings * average * (1.0 + average) * (1.0 + side.innings / b))
    return bool(side.points > average * side.innings + PLAIN * sd)


class _Pasts:
    """What matches that are over tell of the players of some sheets, up to any of these; one query."""

    def __init__(self, sheets: Sequence[Sheet]) -> None:
        players = {side.who for sheet in sheets for side in sheet.sides.values()}  # type: ignore[attr-defined]
        rows = (
            ColourProjection.objects.filter(
                counted=True,
                match__projection__status__in=OVER,
                match__discipline_code__in={sheet.match.discipline_code for sheet in sheets},
            )
            .annotate(
                who=Coalesce("player__merged_into", "player"),
                at=Coalesce("match__projection__started_at", "match__projection__ended_at"),
            )
            .filter(who__in=players, at__isnull=False)
            .values_list("who", "match__discipline_code", "at", "match", "points", "innings", "distance")
        )
        told: dict[tuple[int, str], list[tuple[Any, int, int]]] = defaultdict(list)
        for who, code, at, match, points, innings, distance in rows.iterator():
            # An inning that the distance cut off is no miss.
            misses = max(0, innings - int(points == distance))
            told[who, code].append(((at, match), points, misses))
        self.told = {key: sorted(rows) for key, rows in told.items()}
        self.sums = {
            key: list(accumulate(((row[1], row[2]) for row in rows), _plus, initial=(0, 0)))
            for key, rows in self.told.items()
        }

    def before(self, sheet: Sheet, side: ColourProjection) -> Past:
        """Return points and misses of the matches that began before a sheet."""
        key, at = self._at(sheet, side)
        return Past(*self.sums.get(key, [(0, 0)])[at])

    def form_before(self, sheet: Sheet, side: ColourProjection) -> float:
        """Return how far the player's form moved in these matches; 0 where too few tell."""
        key, at = self._at(sheet, side)
        return shrunk_form(form([row[1:] for row in self.told.get(key, [])[:at]]), None)

    def _at(self, sheet: Sheet, side: ColourProjection) -> tuple[tuple[int, str], int]:
        key = (side.who, sheet.match.discipline_code)  # type: ignore[attr-defined]
        return key, bisect_left(self.told.get(key, []), (sheet.order,))


def _plus(one: tuple[int, int], more: tuple[int, int]) -> tuple[int, int]:
    return one[0] + more[0], one[1] + more[1]


# --- one sheet against itself --------------------------------------------------


def _contradicted(sheet: Sheet) -> Iterator[Raised]:
    for written, first in _written(sheet):
        for doubt in contradictions(written):
            colour = None if doubt.side is None else COLOURS[first ^ doubt.side]
            player = None if colour is None else sheet.sides[colour].player_id
            yield Raised(sheet.match.pk, doubt, colour or "", colour, player)


def _written(sheet: Sheet) -> Iterator[tuple[Written, int]]:
    """Yield the match, or each of its sets, the starter first, and which colour that is."""
    white, yellow = (sheet.sides[colour] for colour in COLOURS)
    agreed = sheet.match.format | {"distance": (white.distance, yellow.distance)}
    for block in sheet.blocks or [None]:
        first = 0 if block is None else block.starter
        try:
            rules = Rules.of_format(agreed, first)
        except (ValueError, KeyError):
            return
        runs = None if block is None else _turned(block.runs, first)
        if rules.sets_to_win is not None:
            if runs is not None:
                points, innings = (sum(runs[0]), sum(runs[1])), (len(runs[0]), len(runs[1]))
                yield Written(rules, points, innings, runs), first
            continue
        yield (
            Written(
                rules,
                _turned((white.points, yellow.points), first),
                _turned((white.innings, yellow.innings), first),
                runs,
                _turned((white.high_run, yellow.high_run), first),
            ),
            first,
        )
        return


def _turned(pair: tuple[Any, Any], first: int) -> tuple[Any, Any]:
    return (pair[1], pair[0]) if first else pair


def _too_fast(sheet: Sheet) -> Iterator[Raised]:
    """Yield what was written stroke by stroke faster than it can be played, by the device's clock."""
    last: list[int] = []
    # What was put in between later on was not written while it was played.
    for row in reversed(sheet.strokes):
        if row["place"] < min(last[-1:], default=row["place"] + 1):
            last.append(row["place"])
    in_order = set(last)
    rows = [row for row in sheet.strokes if row["place"] in in_order]
    timed = [
        (row["place"], sheet.times[row["place"]][0])
        for row in rows
        if row["kind"] in STROKES and row["place"] in sheet.times
    ]
    known = [(place, at.timestamp()) for place, at in timed if at is not None]
    for doubt in too_fast([at for _, at in known], [place for place, _ in known]):
        yield Raised(sheet.match.pk, doubt, places=tuple(int(str(place)) for place in doubt.about))


# --- two matches ---------------------------------------------------------------


def _twice(sheets: Sequence[Sheet]) -> Iterator[Raised]:
    """Yield the later of two sheets that hold the same runs; one query."""
    groups: dict[str, list[Sheet]] = defaultdict(list)
    for sheet in sheets:
        if sheet.runs:
            groups[sheet.runs_hash].append(sheet)
    here = {sheet.match.pk for sheet in sheets}
    alike: dict[str, list[tuple[Any, int]]] = defaultdict(list)
    rows = ScannedMatch.objects.filter(runs__in=groups).annotate(
        played_at=Coalesce("match__projection__started_at", "match__projection__ended_at")
    )
    for runs, at, match in rows.values_list("runs", "played_at", "match"):
        if match not in here:
            alike[runs].append((at, match))
    for runs, group in groups.items():
        keys = sorted([*alike[runs], *(sheet.order for sheet in group)])
        first, second = group[0].runs
        for doubt in doubled([Runs(match, first, second) for _at, match in keys]):
            earlier, later = (int(str(key)) for key in doubt.about)
            if here & {earlier, later}:
                yield Raised(later, doubt, f"{earlier}", other=earlier)


def _two_tables(sheets: Sequence[Sheet]) -> Iterator[Raised]:
    """Yield matches of one player whose times overlap at two tables; one query."""
    timed = [sheet for sheet in sheets if sheet.stays and sheet.match.projection.table_id is not None]
    if not timed:
        return
    here = {sheet.match.pk for sheet in sheets}
    players = {who for sheet in timed for who in (sheet.match.who_a, sheet.match.who_b)}
    since = min(sheet.stays[0][0] for sheet in timed)
    until = max(sheet.stays[-1][1] for sheet in timed)
    others = (
        ScannedMatch.objects.filter(
            since__lt=datetime.datetime.fromtimestamp(until, datetime.UTC),
            until__gt=datetime.datetime.fromtimestamp(since, datetime.UTC),
            match__projection__table__isnull=False,
        )
        .annotate(
            who_a=Coalesce("match__entrant_a__merged_into", "match__entrant_a"),
            who_b=Coalesce("match__entrant_b__merged_into", "match__entrant_b"),
            table=F("match__projection__table"),
        )
        .filter(Q(who_a__in=players) | Q(who_b__in=players))
    )
    stays = [
        stay
        for sheet in timed
        for stay in _stays(
            sheet.match.pk,
            (sheet.match.who_a, sheet.match.who_b),
            sheet.match.projection.table_id,
            sheet.stays,
        )
    ]
    for pk, who_a, who_b, table, kept in others.values_list("match", "who_a", "who_b", "table", "stays"):
        if pk not in here:
            stays += _stays(pk, (who_a, who_b), table, kept)
    seen: set[tuple[int, frozenset[int]]] = set()
    for doubt in at_two_tables(stays):
        player, earlier, later = (int(str(key)) for key in doubt.about)
        pair = frozenset((earlier, later))
        if here & pair and (player, pair) not in seen:
            seen.add((player, pair))
            yield Raised(later, doubt, f"{earlier}/{player}", player=player, other=earlier)


def _stays(
    match: int, players: Iterable[int], table: int, stays: Sequence[Sequence[float]]
) -> Iterator[Stay]:
    for player in players:
        for since, until in stays:
            if until - since > 2.0 * CLOCKS:
                yield Stay(player, match, table, since + CLOCKS, until - CLOCKS)
