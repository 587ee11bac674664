"""Which matches a report is about, as its address says: discipline, days, competition, table, opponent."""

from __future__ import annotations

import datetime
import zoneinfo
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from django.db.models import Q, QuerySet
from django.db.models.functions import Coalesce

from scoring.access import PUBLISHED
from scoring.models import Club, Match
from scoring.regulations import find_discipline
from scoring.rules.said import Malformed, said

_LARGEST = 2**63 - 1
_IDS = ("competition", "table", "opponent")


@dataclass(frozen=True)
class Asked:
    """A filter; None means all. Days are of the club's time zone, both included."""

    discipline: str | None = None
    since: datetime.date | None = None
    until: datetime.date | None = None
    competition: int | None = None
    table: int | None = None
    opponent: int | None = None
    published_only: bool = False

    @property
    def query(self) -> str:
        """The filter as a page's address says it, "" for all."""
        return urlencode(self.to_query())

    def to_query(self) -> dict[str, str]:
        """Return the filter by name, as text, without what is open."""
        names = ("discipline", "since", "until", *_IDS)
        values = {name: getattr(self, name) for name in names}
        return {name: str(value) for name, value in values.items() if value is not None}

    @property
    def narrowed(self) -> bool:
        """Whether anything but the discipline was asked for."""
        return any(getattr(self, name) is not None for name in ("since", "until", *_IDS))

    def of(self, discipline: str | None) -> Asked:
        """Return the same filter in one discipline."""
        return replace(self, discipline=discipline)


def read_asked(values: Mapping[str, Any], club: Club) -> Asked:
    """Return the filter that an address names. Raises Malformed with the field and what would do."""
    since, until = _day(values, "since"), _day(values, "until")
    if since and until and since > until:
        raise Malformed("until", said("the last day is before the first; change one of them"))
    discipline = values.get("discipline") or None
    if discipline is not None and not _was_played(discipline):
        find_discipline(club, discipline)
    return Asked(discipline, since, until, *(_id(values, name) for name in _IDS))


def narrowed(asked: Asked, club: Club) -> QuerySet[Match]:
    """Return the matches that a filter lets through; `played_at` is when a match began, or was decided."""
    matches = Match.objects.annotate(played_at=Coalesce("projection__started_at", "projection__ended_at"))
    if asked.discipline is not None:
        matches = matches.filter(discipline_code=asked.discipline)
    if asked.since is not None:
        matches = matches.filter(played_at__gte=midnight(asked.since, club))
    if asked.until is not None:
        matches = matches.filter(played_at__lt=midnight(asked.until + datetime.timedelta(days=1), club))
    if asked.competition is not None:
        matches = matches.filter(competition=asked.competition)
    if asked.table is not None:
        matches = matches.filter(projection__table=asked.table)
    if asked.opponent is not None:
        # Whoever was merged into somebody is that somebody.
        one = Q(entrant_a=asked.opponent) | Q(entrant_a__merged_into=asked.opponent)
        two = Q(entrant_b=asked.opponent) | Q(entrant_b__merged_into=asked.opponent)
        matches = matches.filter(one | two)
    if asked.published_only:
        matches = matches.filter(PUBLISHED)
    return matches


def midnight(day: datetime.date, club: Club) -> datetime.datetime:
    """Return when a day begins at the club."""
    return datetime.datetime.combine(day, datetime.time(), zone_of(club))


def zone_of(club: Club) -> datetime.tzinfo:
    """Return the club's time zone; UTC where it names none that is known."""
    try:
        return zoneinfo.ZoneInfo(club.time_zone)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError):
        return datetime.UTC


def _was_played(discipline: str) -> bool:
    return Match.objects.filter(discipline_code=discipline).exists()


def _day(values: Mapping[str, Any], name: str) -> datetime.date | None:
    text = values.get(name)
    if not text:
        return None
    try:
        day = datetime.date.fromisoformat(str(text))
    except ValueError:
        day = None
    # At the ends of the calendar no time zone can be told.
    if day is None or not 1900 <= day.year <= 9000:
        raise Malformed(name, said("write a day as 2026-03-31"))
    return day


def _id(values: Mapping[str, Any], name: str) -> int | None:
    text = str(values.get(name) or "")
    if not text:
        return None
    digits = text.lstrip("0")
    # No id has more than 19 digits, and thousands of them are not even read.
    if not (text.isascii() and text.isdigit()) or not 1 <= int(digits[:20] or 0) <= _LARGEST:
        raise Malformed(name, said("send a number, as the lists show them"))
    return int(digits)
