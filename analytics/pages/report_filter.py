"""The filter of a report: what may be chosen, in words, and what was."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.utils.translation import gettext

from analytics.played.asked import Asked, read_asked
from analytics.report import disciplines_played
from scoring.access import Actor
from scoring.models import Club, Competition, Player, PlayTable
from scoring.pages.words import speak
from scoring.regulations import disciplines_of
from scoring.rules.said import Malformed


@dataclass(frozen=True)
class Choice:
    """A field of the filter: what may be chosen, and whether it is chosen."""

    name: str
    label: str
    options: Sequence[tuple[str, str, bool]]


@dataclass(frozen=True)
class Names:
    """Names of the ids that a report holds, as the reader may see them."""

    competition: dict[int, str]
    opponent: dict[int, str]
    table: dict[int, str]

    def of(self, kind: str, key: int | None) -> str:
        """Return the name of an id; of none, what that means."""
        if key is None:
            return {
                "competition": gettext("outside any competition"),
                "table": gettext("table not recorded"),
                "distance": gettext("no distance"),
            }.get(kind, "")
        if kind == "distance":
            return gettext("to %(distance)s") % {"distance": key}
        return getattr(self, kind).get(key, str(key))


def names_of(actor: Actor, matches: Any) -> Names:
    """Return the names of what stands in the matches of a report; three queries."""
    keys = {
        name: {int(key) for key in matches[name].dropna()} for name in ("competition", "opponent", "table")
    }
    players = Player.objects.named().in_bulk(keys["opponent"])
    return Names(
        dict(Competition.objects.filter(pk__in=keys["competition"]).values_list("pk", "name")),
        {pk: player.shown_name(actor.names_open) for pk, player in players.items()},
        dict(PlayTable.objects.filter(pk__in=keys["table"]).values_list("pk", "name")),
    )


def asked_of(request: HttpRequest, club: Club) -> tuple[Asked, dict[str, str]]:
    """Return the filter of an address, and by field what is wrong with it; a wrong filter is none."""
    try:
        return read_asked(request.GET, club), {}
    except Malformed as fault:
        return Asked(), {fault.field: speak(fault.reason)}


def choices(
    players: frozenset[int], asked: Asked, names: Names, club: Club, seen: Iterable[str] | None = None
) -> list[Choice]:
    """Return the fields of the filter, with what the player has matches of."""
    games = disciplines_of(club)
    codes = list(disciplines_played(players) if seen is None else seen)
    shown = [(code, gettext(games[code].name) if code in games else code) for code in codes]
    found = [Choice("discipline", gettext("Discipline"), _marked(shown, asked.discipline))]
    for name, label, every in (
        ("competition", gettext("Competition"), gettext("all")),
        ("opponent", gettext("Opponent"), gettext("everybody")),
        ("table", gettext("Table"), gettext("all")),
    ):
        options = sorted(getattr(names, name).items(), key=lambda one: one[1])
        if options:
            found.append(Choice(name, label, [("", every, False), *_marked(options, getattr(asked, name))]))
    return found


def _marked(options: Iterable[tuple[Any, str]], chosen: Any) -> list[tuple[str, str, bool]]:
    return [(str(key), label, key == chosen) for key, label in options]


def span_of(matches: Any) -> tuple[datetime.date, datetime.date] | None:
    """Return the first and last day of some matches."""
    if not len(matches):
        return None
    return matches["date"].iloc[0].date(), matches["date"].iloc[-1].date()
