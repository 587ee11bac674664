"""What the first page shows of the matches: tonight's tables, what comes next, the last point."""

from __future__ import annotations

import datetime
from typing import Any

from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext

from scoring.access import Actor, visible_matches
from scoring.models import StrokeProjection
from scoring.projecting import setup_of
from scoring.rules.contacts import parse_contacts
from scoring.rules.rulings import rule

from .drawing import route
from .reading import Shown, Status, show_match, with_last_five
from .words import contact_words, family_name, short_name, speak

AN_EVENING = datetime.timedelta(hours=14)
MOST_TABLES = 24
MOST_NEXT = 6


def read_tables(actor: Actor) -> list[Shown]:
    """Return the matches of this evening that are played or wait for their confirmation."""
    since = timezone.now() - AN_EVENING
    status = Q(projection__status__in=(Status.PLAYING, Status.SUSPENDED, Status.OVER))
    found = (
        visible_matches(actor)
        .filter(status, projection__last_at__gt=since)
        .shown()
        .prefetch_related("colour_projections")
        .order_by(F("projection__table__number").asc(nulls_last=True), "-pk")
    )
    return with_last_five([show_match(one, actor) for one in found[:MOST_TABLES]])


def read_next(actor: Actor) -> list[Shown]:
    """Return the matches that come next: with a time first, then those that merely wait."""
    found = (
        visible_matches(actor)
        .filter(projection__status=Status.PLANNED)
        .filter(
            Q(scheduled_at__gt=timezone.now() - AN_EVENING)
            | Q(scheduled_at__isnull=True, created_at__gt=timezone.now() - AN_EVENING)
        )
        .shown()
        .prefetch_related("colour_projections")
        .order_by(F("scheduled_at").asc(nulls_last=True), "-pk")
    )
    return [show_match(one, actor) for one in found[:MOST_NEXT]]


def read_last_point(actor: Actor) -> dict[str, Any] | None:
    """Return the point that was described last, with its ruling and what draws it."""
    stroke = (
        StrokeProjection.objects.filter(
            match__in=visible_matches(actor).values("pk"),
            kind="point",
            counts=True,
            ruling_valid=True,
            dated_at__gt=timezone.now() - 7 * AN_EVENING,
        )
        .select_related(
            "match__projection__table", "match__entrant_a__name", "match__entrant_b__name", "player__name"
        )
        .order_by("-dated_at", "-pk")
        .first()
    )
    if stroke is None or not (stroke.details or {}).get("contacts"):
        return None
    contacts = stroke.details["contacts"]
    setup = setup_of(stroke.match)
    cue = stroke.details.get("cue_ball") or stroke.colour
    ruling = rule(
        setup.discipline, cue, parse_contacts(contacts), opening=stroke.opening, rule_set=setup.rule_set
    )
    told = stroke.details.get("layout")
    # Without the balls' places a drawing would be invented.
    layout, line = route(contacts, cue, told) if told else ({}, [])
    where = [short_name(stroke.player, actor)] if stroke.player else []
    if stroke.match.table_now:
        where.append(stroke.match.table_now.name)
    where.append(gettext("inning %(inning)s") % {"inning": stroke.inning})
    family = family_name(stroke.family_made)
    return {
        "match": stroke.match,
        "where": ", ".join(where),
        "contacts": contact_words(contacts),
        "head": speak(ruling.reason),
        "family": family[:1].upper() + family[1:],
        "layout": layout,
        "cue": cue,
        "line": line,
    }
