"""A family of a player: its strokes in matches, and, for whom practice is open to, its attempts."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from django.db.models import Count, Q, QuerySet

from analytics.played.asked import Asked, midnight
from analytics.played.reading import ids_of
from analytics.report import Report
from analytics.reports.families import Row
from analytics.reports.one_family import OneFamily, read_family
from analytics.reports.played import KINDS, SOURCES, TOLD
from scoring.access import Actor, visible_matches
from scoring.models import Attempt, Club, Match, StrokeProjection
from scoring.practice_rights import coaches_player, visible_sessions


@dataclass(frozen=True)
class Practised:
    """Attempts at practice that stand. how: short, long, thin, thick -> misses; unsaid: misses without it."""

    tried: int = 0
    made: int = 0
    how: dict[str, int] = field(default_factory=dict)

    @property
    def missed(self) -> int:
        return self.tried - self.made

    @property
    def unsaid(self) -> int:
        return self.missed - sum(self.how.values())


@dataclass(frozen=True)
class Listed:
    """A stroke of a list: where it stands, what was promised of it (None: nothing), what came of it.

    stroke, match: the rows, None where the stroke moved since. readable: the reader may open the match.
    """

    match_id: int
    place: int
    date: datetime.date
    opponent: int
    inning: int
    outcome: str
    promised: float | None
    told: str | None
    source: str | None
    stroke: StrokeProjection | None
    match: Match | None
    readable: bool


@dataclass(frozen=True)
class FamilyReport:
    """A family within a report. practised: None where the reader may not see practice."""

    family: str
    report: Report
    practised: Practised | None

    @cached_property
    def of(self) -> OneFamily:
        """The strokes, their parts and promises."""
        return read_family(self.report.played, self.family)

    @cached_property
    def row(self) -> Row | None:
        """The family among all that were tried; None where it never was."""
        return next((row for row in self.report.trying.families.rows if row.family == self.family), None)


def read_family_report(actor: Actor, report: Report, family: str, club: Club) -> FamilyReport:
    """Return a family of a report, with practice where `actor` may see it."""
    return FamilyReport(family, report, _practised(actor, report, family, club))


def _practised(actor: Actor, report: Report, family: str, club: Club) -> Practised | None:
    """Return what was practised of it; one query, and those of rights."""
    players = ids_of(report.player)
    if report.player.pk not in actor.own_players and not coaches_player(actor, report.player):
        return None
    asked = report.asked
    # A position drawn for a family says what is tried from it, where nothing else was said.
    of_family = Q(family_tried=family) | Q(family_tried__isnull=True, position__family=family)
    attempts = Attempt.objects.filter(
        of_family,
        session__in=visible_sessions(actor),
        session__player__in=players,
        session__discipline_code=asked.discipline,
        struck_out_at__isnull=True,
    )
    rows = _within(attempts, asked, club).order_by().values_list("outcome", "how").annotate(many=Count("pk"))
    tried = made = 0
    how: dict[str, int] = {}
    for outcome, way, many in rows:
        tried += many
        if outcome == Attempt.Outcome.MADE:
            made += many
        elif way is not None:
            how[way] = how.get(way, 0) + many
    return Practised(tried, made, {way: how[way] for way in Attempt.How.values if way in how})


def _within(attempts: QuerySet[Attempt], asked: Asked, club: Club) -> QuerySet[Attempt]:
    if asked.since is not None:
        attempts = attempts.filter(dated_at__gte=midnight(asked.since, club))
    if asked.until is not None:
        attempts = attempts.filter(dated_at__lt=midnight(asked.until + datetime.timedelta(days=1), club))
    return attempts


def list_strokes(actor: Actor, found: FamilyReport, first: int, most: int) -> list[Listed]:
    """Return strokes of the family, the latest first, from the `first` on (0: the very latest); three queries."""
    played = found.report.played
    at = found.of.at[::-1][first : first + most]
    strokes, rows = played.strokes[at], played.matches.iloc[played.of[at]]
    ids = [int(pk) for pk in rows["match"]]
    known = _known(ids, [int(place) for place in strokes["place"]])
    matches = {one.pk: one for one in Match.objects.filter(pk__in=ids).select_related("projection__table")}
    readable = set(visible_matches(actor).filter(pk__in=ids).values_list("pk", flat=True))
    return [
        Listed(
            match_id=pk,
            place=int(stroke["place"]),
            date=day.date(),
            opponent=int(opponent),
            inning=int(stroke["inning"]),
            outcome=KINDS[stroke["kind"]],
            promised=float(stroke["promised"]) if stroke["told"] else None,
            told=TOLD[stroke["told"]] or None,
            source=SOURCES[stroke["source"]] or None,
            stroke=known.get((pk, int(stroke["place"]))),
            match=matches.get(pk),
            readable=pk in readable,
        )
        for pk, day, opponent, stroke in zip(ids, rows["date"], rows["opponent"], strokes, strict=True)
    ]


def _known(matches: Sequence[int], places: Sequence[int]) -> dict[tuple[int, int], StrokeProjection]:
    rows = StrokeProjection.objects.filter(match__in=set(matches), place__in=set(places))
    return {(row.match_id, row.place): row for row in rows}


def strokes_of(found: FamilyReport) -> int:
    """Return how many strokes of the family there are."""
    return int(np.size(found.of.at))
