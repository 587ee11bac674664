"""Table links: a device without an account scores on one table of one event.

A link has a token, which stands in the fragment of an address (a QR code shows it), and a
short code for whoever types. Both are shown once, and only hashes are stored. The code is
hashed with the key of the site, so that the database alone tells none; the token follows
from code, uuid and that key, so that a typed code opens the same link as the QR code.
"""

from __future__ import annotations

import base64
import datetime
import secrets
import zoneinfo
from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Exists, Max, OuterRef, Q, QuerySet
from django.utils import timezone
from django.utils.crypto import salted_hmac

from scoring.access import Actor, managed_competitions
from scoring.models import (
    Competition,
    MatchEntry,
    Pen,
    PlayTable,
    RefusedEntry,
    TableLink,
    hash_secret,
)
from scoring.rules.said import Malformed, said

# Signs that are not taken for one another on paper: no 0 O, 1 I L, 2 Z, 5 S, 6 G, 8 B, U V.
SIGNS = "3479ACDEFHJKMNPQRTWXY"
CODE_LENGTH = 10
# A link lasts this long where the competition names no last day, and this long where it is past.
WITHOUT_LAST_DAY = datetime.timedelta(days=14)
AFTER_LAST_DAY = datetime.timedelta(days=1)
# The last use is noted this often, so that reading does not write each time.
NOTED = datetime.timedelta(minutes=5)
# A link that ended is kept this long, and longer where something was written through it.
KEPT = datetime.timedelta(days=30)


def new_code() -> str:
    """Return a fresh code: ten signs, 43 random bits."""
    return "".join(secrets.choice(SIGNS) for _place in range(CODE_LENGTH))


def spell_code(code: str) -> str:
    """Return a code as it is printed: two groups, so that it is read in two glances."""
    half = CODE_LENGTH // 2
    return f"{code[:half]}-{code[half:]}"


def read_code(typed: str) -> str:
    """Return a code as it is hashed, however it was typed: small letters, spaces, hyphens."""
    return "".join(sign for sign in typed.upper() if sign.isalnum())


def hash_code(code: str) -> str:
    """Return what is stored of a code, 64 hex digits; without the key of the site it tells nothing."""
    return salted_hmac("scoring.table-link.code", code, algorithm="sha256").hexdigest()


def token_of(uuid: UUID, code: str) -> str:
    """Return the token of the link with this uuid and code: 256 bits, fit for a URL."""
    digest = salted_hmac("scoring.table-link.token", f"{uuid} {code}", algorithm="sha256").digest()
    return base64.urlsafe_b64encode(digest).rstrip(b"=").decode()


def default_expiry(competition: Competition, now: datetime.datetime | None = None) -> datetime.datetime:
    """Return when a link ends by itself: a day after the last day of the event, in the club's zone."""
    now = now or timezone.now()
    if competition.ends_on is None:
        return now + WITHOUT_LAST_DAY
    return max(end_of_day(competition, competition.ends_on + AFTER_LAST_DAY), now + AFTER_LAST_DAY)


def end_of_day(competition: Competition, day: datetime.date) -> datetime.datetime:
    """Return the moment at which a day ends where the competition is played."""
    after = day + datetime.timedelta(days=1)
    return datetime.datetime.combine(after, datetime.time(), zone_of(competition))


def zone_of(competition: Competition) -> datetime.tzinfo:
    """Return the time zone of the club that a competition belongs to."""
    try:
        return zoneinfo.ZoneInfo(competition.club.time_zone)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError):
        return timezone.get_default_timezone()


@transaction.atomic
def do_make_link(
    competition: Competition,
    table: PlayTable,
    *,
    user: Any = None,
    expires: datetime.datetime | None = None,
    uuid: UUID | None = None,
) -> TableLink:
    """Make a link; the row knows its `fresh_token` and `fresh_code` for as long as it lives.

    Raises Malformed for a table of another club, and for an end that is past.
    """
    now = timezone.now()
    if table.club_id != competition.club_id:
        raise Malformed("table", said("The club has no such table."))
    if expires is not None and expires <= now:
        raise Malformed("expires", said("Send a moment that is still to come."))
    do_clear_away(now)
    code = new_code()
    link = TableLink(
        **({} if uuid is None else {"uuid": uuid}),
        table=table,
        competition=competition,
        code_hash=hash_code(code),
        created_by=user,
        created_at=now,
        expires=expires or default_expiry(competition, now),
    )
    link.fresh_code = code
    link.fresh_token = token_of(link.uuid, code)
    link.token_hash = hash_secret(link.fresh_token)
    link.save(force_insert=True)
    return link


@transaction.atomic
def do_revoke(links: Iterable[int]) -> int:
    """End these links at once, and every pen that was taken through them; return how many held."""
    now = timezone.now()
    named = TableLink.objects.filter(pk__in=list(links))
    ended = named.filter(revoked_at__isnull=True, expires__gt=now).update(revoked_at=now)
    # One that has run out is revoked as well: its pens would outlive it until they lapse.
    named.filter(revoked_at__isnull=True).update(revoked_at=now)
    Pen.objects.filter(link__in=named, ended_at__isnull=True).update(ended_at=now)
    return ended


def do_clear_away(now: datetime.datetime) -> None:
    """Delete links that ended long ago, but those through which something was written."""
    gone = now - KEPT
    ended = TableLink.objects.filter(Q(revoked_at__lt=gone) | Q(expires__lt=gone))
    traces = (
        Exists(Pen.objects.filter(link=OuterRef("pk"))),
        Exists(MatchEntry.objects.filter(author_link=OuterRef("pk"))),
        Exists(RefusedEntry.objects.filter(author_link=OuterRef("pk"))),
    )
    for trace in traces:
        ended = ended.exclude(trace)
    ended.delete()


def do_note_use(link: TableLink) -> None:
    """Note that a link was used, unless that was noted a moment ago."""
    now = timezone.now()
    if link.last_used_at is None or now - link.last_used_at > NOTED:
        TableLink.objects.filter(pk=link.pk).update(last_used_at=now)


def find_by_code(typed: str) -> tuple[TableLink, str] | None:
    """Return the link that a typed code opens, and its token; None where it opens none."""
    code = read_code(typed)
    link = _with_names(TableLink.objects.usable()).filter(code_hash=hash_code(code)).first()
    if link is None:
        return None
    token = token_of(link.uuid, code)
    return (link, token) if hash_secret(token) == link.token_hash else None


def find_by_token(token: str) -> TableLink | None:
    """Return the link of a token, whether it still holds or not."""
    return _with_names(TableLink.objects.all()).filter(token_hash=hash_secret(token)).first()


def holds(link: TableLink) -> bool:
    """Whether a link was neither revoked nor has run out."""
    return link.revoked_at is None and link.expires > timezone.now()


def links_of(actor: Actor) -> QuerySet[TableLink]:
    """Return the links that hold of the competitions that `actor` organises.

    `pen_used_at` is the last use of a pen taken through the link: play is written with that.
    """
    links = TableLink.objects.usable().filter(competition__in=managed_competitions(actor))
    return _with_names(links).annotate(pen_used_at=Max("pens__last_used_at"))


def last_use(link: Any) -> datetime.datetime | None:
    """Return when a link of `links_of` was used last, by itself or through a pen."""
    used = [moment for moment in (link.last_used_at, link.pen_used_at) if moment is not None]
    return max(used, default=None)


def _with_names(links: QuerySet[TableLink]) -> QuerySet[TableLink]:
    return links.select_related("table", "competition__club")
