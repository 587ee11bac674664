"""A day in words: when, why a match waits, what is late, when it ends."""

from __future__ import annotations

import datetime
from typing import Any

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext, ngettext

from scoring.access import Actor
from scoring.day_shapes import Day, Line, Open
from scoring.models import Player
from scoring.rules.groups import After

from .words import short_name


def clock(at: datetime.datetime | None, now: datetime.datetime | None = None) -> str:
    """Return the hour of a moment, with the day where it is not that of `now`."""
    if at is None:
        return ""
    local = timezone.localtime(at)
    hour = date_format(local, "TIME_FORMAT")
    if now is not None and local.date() != timezone.localtime(now).date():
        return gettext("%(day)s, %(hour)s") % {"day": date_format(local, "SHORT_DATE_FORMAT"), "hour": hour}
    return hour


def minutes_words(count: int) -> str:
    """Return a number of minutes in words."""
    return ngettext("%(n)s minute", "%(n)s minutes", count) % {"n": count}


def wait_words(
    code: str, player: Player | None, until: datetime.datetime | None, actor: Actor, now: datetime.datetime
) -> str:
    """Return why a match cannot be called now."""
    told = {"name": "" if player is None else short_name(player, actor), "when": clock(until, now)}
    return {
        "left": gettext("%(name)s has left"),
        "absent": gettext("%(name)s is not here yet"),
        "held": gettext("held back"),
        "not-before": gettext("not before %(when)s"),
        "playing": gettext("%(name)s plays"),
        "refereeing": gettext("%(name)s referees"),
        "called": gettext("%(name)s is called elsewhere"),
        "rest": gettext("%(name)s rests until %(when)s"),
    }[code] % told


def late_words(code: str, minutes: int) -> str:
    """Return what is late, and by how much."""
    return {
        "not-begun": gettext("called %(time)s ago and not begun"),
        "long": gettext("%(time)s longer than expected"),
        "behind": gettext("%(time)s behind the schedule"),
    }[code] % {"time": minutes_words(minutes)}


def end_words(day: Day) -> str:
    """Return when the day will end, and before when no plan of it can."""
    if day.end is None or day.bound is None:
        return gettext("Nothing is left to play.")
    usable = sum(one.out is None for one in day.tables)
    if not usable:
        return gettext("No table can be used, so that nobody can say when the day will end.")
    told: dict[str, Any] = {"end": clock(day.end, day.now), "bound": clock(day.bound, day.now), "n": usable}
    if told["end"] == told["bound"]:
        return gettext("The day is expected to end at %(end)s; no plan could end it earlier.") % told
    return (
        ngettext(
            "The day is expected to end at %(end)s. On %(n)s table no plan could end it before %(bound)s.",
            "The day is expected to end at %(end)s. On %(n)s tables no plan could end it before %(bound)s.",
            usable,
        )
        % told
    )


def side_words(one: Line | Open, actor: Actor, people: dict[int, Player]) -> tuple[str, str]:
    """Return both sides: names, or where they come from."""
    if isinstance(one, Line):
        first, second = one.players
        return short_name(first, actor), short_name(second, actor)
    found = []
    for side, feed in zip(one.fixture.sides, one.fixture.feeds, strict=True):
        if side is not None and side in people:
            found.append(short_name(people[side], actor))
        elif feed is None:
            found.append(gettext("nobody yet"))
        else:
            number = feed.match + 1 if isinstance(feed, After) else feed.match
            words = gettext("winner of %(match)s") if feed.winner else gettext("loser of %(match)s")
            found.append(words % {"match": number})
    return found[0], found[1]
