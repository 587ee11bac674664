"""Entries that can hardly be right: asked about with the reason, and left in every figure.

A person strikes out or corrects what was wrong; nothing here changes or hides anything.
"""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from math import sqrt
from typing import Any

import numpy as np
from django.utils import timezone

from analytics.played.asked import Asked, narrowed
from analytics.played.together import Together, read_together
from analytics.reports.contradictions import Stay, Written, at_two_tables, contradictions, too_fast
from analytics.reports.plausible import A_SHEET, Doubt, Past, Runs, doubled, run_in_one, unlikely
from analytics.reports.played import Played
from analytics.reports.races import Rules
from scoring.models import Club, Match, MatchEntry
from scoring.rules.match.entry import STROKES
from scoring.rules.said import said

# Unless days are asked for, matches of so many days back are looked at.
LATELY = datetime.timedelta(days=120)
AT_ONCE = 200
# A total within so many standard deviations is asked about by nobody.
PLAIN = 2.5


@dataclass(frozen=True)
class Doubted:
    """The questions about one match; sides: ids of its entrants; `doubts` name a side by its id."""

    match: Match
    doubts: tuple[tuple[int | None, Doubt], ...]


@dataclass(frozen=True)
class Doubts:
    """The matches that are asked about, the latest first, of `looked` looked at; unread: not read yet."""

    asked: Asked
    matches: tuple[Doubted, ...]
    looked: int
    unread: int


def read_doubts(asked: Asked, club: Club) -> Doubts:
    """Return the questions that matches raise; without days, those of the last four months."""
    if asked.since is None and asked.until is None:
        asked = replace(asked, since=timezone.localdate() - LATELY)
    matches = {one.pk: one for one in narrowed(asked, club).shown().filter(played_at__isnull=False)}
    found: dict[int, list[tuple[int | None, Doubt]]] = defaultdict(list)
    unread = 0
    for code in sorted({one.discipline_code for one in matches.values()}):
        # What came before counts as well: everything of the discipline is read.
        together = read_together(Asked(discipline=code), club, packed_at_once=AT_ONCE)
        unread += together.unread
        for match, player, doubt in _of_sheets(together, matches):
            found[match].append((player, doubt))
    for match, doubt in [*_of_times(matches.values()), *_contradicted(matches.values())]:
        found[match].append((None, doubt))
    for one in matches.values():
        found[one.pk] += [(None, doubt) for doubt in _flags(one)]
    listed = [Doubted(matches[pk], tuple(each)) for pk, each in found.items() if each]
    listed.sort(key=lambda one: (one.match.played_at, one.match.pk), reverse=True)
    return Doubts(asked, tuple(listed), len(matches), unread)


def _of_sheets(together: Together, matches: Mapping[int, Match]) -> Iterator[tuple[int, int | None, Doubt]]:
    """Yield what single sheets, and pairs of them, raise."""
    sheets: dict[int, list[tuple[int, ...]]] = defaultdict(list)
    for player, played in together.by_player().items():
        for match, doubt in _unlikely(played, matches):
            yield match, player, doubt
        innings = played.innings
        for at, match in enumerate(played.matches["match"].tolist()):
            low, high = np.searchsorted(innings.of, [at, at + 1])
            if high > low:
                sheets[match].append(tuple(innings.run[low:high].tolist()))
    both = [Runs(match, *runs) for match, runs in sorted(sheets.items()) if len(runs) == 2]
    for doubt in doubled(both):
        later = doubt.about[-1]
        if isinstance(later, int) and later in matches:
            yield later, None, doubt


def _unlikely(played: Played, matches: Mapping[int, Match]) -> Iterator[tuple[int, Doubt]]:
    """Yield the runs and totals that a player's earlier matches make hard to believe."""
    points = misses = 0
    rows = played.matches
    innings = played.innings
    ended = np.bincount(innings.of[innings.ended], minlength=len(rows))
    written = np.bincount(innings.of, minlength=len(rows)) > 0
    for at, row in enumerate(rows.itertuples(index=False)):
        if row.match in matches and row.finished and row.counted and row.innings:
            past = Past(points, misses)
            if run_in_one(past, row.high_run) < A_SHEET or _many(past, row.points, row.innings):
                for doubt in unlikely(past, row.high_run, row.points, row.innings):
                    yield row.match, doubt
        if row.counted:
            points += row.points
            misses += int(ended[at]) if written[at] else max(0, row.innings - (row.points == row.distance))


def _many(past: Past, points: int, innings: int) -> bool:
    """Whether a total is worth the long sum: well above what the past makes usual."""
    average = (past.points + 0.5) / (past.misses + 0.5)
    doubt = average * average * (1.0 + average) / (average * (past.misses + 0.5))
    return points > average * innings + PLAIN * sqrt(innings * average * (1.0 + average) + innings**2 * doubt)


def _of_times(matches: Collection[Match]) -> Iterator[tuple[int, Doubt]]:
    """Yield strokes that came too soon, by the clocks of their devices, and players at two tables at once."""
    times: dict[int, list[float]] = defaultdict(list)
    rows = MatchEntry.objects.filter(
        match__in=[one.pk for one in matches], kind__in=STROKES, device_time__isnull=False
    ).order_by("match", "seq")
    for match, moment in rows.values_list("match", "device_time").iterator():
        times[match].append(moment.timestamp())
    for match, moments in times.items():
        for doubt in too_fast(moments):
            yield match, doubt
    for doubt in at_two_tables(_stays(matches)):
        later = doubt.about[-1]
        if isinstance(later, int):
            yield later, doubt


def _stays(matches: Collection[Match]) -> Iterator[Stay]:
    for one in matches:
        projection = one.projection
        if projection.started_at is None or projection.ended_at is None or projection.table_id is None:
            continue
        since, until = projection.started_at.timestamp(), projection.ended_at.timestamp()
        for player in one.entrant_ids:
            yield Stay(player, one.pk, projection.table_id, since, until)


def _contradicted(matches: Collection[Match]) -> Iterator[tuple[int, Doubt]]:
    """Yield what totals say against themselves; of sets and of matches that are not over nothing is asked."""
    for one in matches:
        totals = _totals(one)
        if totals is None:
            continue
        for doubt in contradictions(totals):
            yield one.pk, doubt


def _totals(match: Match) -> Written | None:
    state: dict[str, Any] = match.projection.state
    if match.projection.ended_at is None or not state.get("points") or match.projection.white_id is None:
        return None
    try:
        rules = Rules.of_format(match.format, starter=int(match.projection.white_id == match.entrant_b_id))
    except (ValueError, KeyError):
        return None
    if rules.sets_to_win is not None:
        return None
    pairs = {
        name: (state[name]["white"], state[name]["yellow"]) for name in ("points", "innings", "high_run")
    }
    return Written(rules, pairs["points"], pairs["innings"], None, pairs["high_run"])


def _flags(match: Match) -> Iterator[Doubt]:
    if match.projection.flag_count:
        reason = said("Open flags on the score sheet: %(count)s.", count=match.projection.flag_count)
        yield Doubt("flags", reason)
