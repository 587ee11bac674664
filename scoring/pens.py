"""The pen: the one device that writes a match."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction
from django.utils import timezone

from scoring.access import Forbidden
from scoring.ledger import lock
from scoring.models import Match, Pen, TableLink, hash_secret, new_secret
from scoring.rules.match.checks import Refused
from scoring.rules.said import said


@transaction.atomic
def do_take_pen(
    match_id: int,
    device: str,
    *,
    user_id: int | None = None,
    link_id: int | None = None,
    own: int | None = None,
    take_over: bool = False,
    uuid: UUID | None = None,
) -> tuple[Pen, str]:
    """Hand the pen of a match to a device; return its row and the token, which is not kept.

    `own` is the id of the pen the device holds already, if any. A device that did not hear
    the answer asks again with the same `uuid`, and gets a new token of the same pen. Raises
    Refused (`pen-elsewhere`) where another device holds it and `take_over` is false, and
    (`pen-known`) for the uuid of a pen that is held no longer, or of another match; and
    Forbidden where the link it is taken through was revoked at this moment.
    """
    match = lock(match_id)
    # The row is held until the end: who revokes the link then finds this pen, and ends it.
    unrevoked = TableLink.objects.select_for_update().filter(revoked_at__isnull=True)
    if link_id is not None and not unrevoked.filter(pk=link_id).first():
        raise Forbidden
    held = Pen.objects.held().filter(match=match).first()
    token = new_secret()
    if uuid is not None and held is not None and held.uuid == uuid:
        held.token_hash = hash_secret(token)
        held.save(update_fields=["token_hash"])
        return held, token
    if held is not None and held.pk != own and not take_over:
        raise Refused(
            "pen-elsewhere",
            said("%(device)s holds the pen of this match. Read along, or take it over.",
                 device=held.device),
        )  # fmt: skip
    if uuid is not None and Pen.objects.filter(uuid=uuid).exists():
        raise Refused("pen-known", said("That was the uuid of another pen. Ask again with a new one."))
    now = timezone.now()
    Pen.objects.filter(match=match, ended_at__isnull=True).update(ended_at=now)
    pen = Pen.objects.create(
        **({} if uuid is None else {"uuid": uuid}),
        match=match,
        device=device,
        token_hash=hash_secret(token),
        user_id=user_id,
        link_id=link_id,
        taken_at=now,
        last_used_at=now,
    )
    return pen, token


@transaction.atomic
def do_give_back(match_id: int) -> None:
    """End the pen of a match, whoever holds it."""
    match = lock(match_id)
    Pen.objects.filter(match=match, ended_at__isnull=True).update(ended_at=timezone.now())


def pen_of(match: Match) -> Pen | None:
    """Return the pen that is held on a match, or None."""
    return Pen.objects.held().filter(match=match).first()
