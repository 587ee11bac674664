"""Publishing a competition: which parts of it everybody may read, and the notice on its page.

The columns `published` and `withheld` follow the entries, so that a list of matches need not read a
ledger. What is published already, or taken back already, makes no entry.
"""

from __future__ import annotations

import uuid as uuids
from collections.abc import Collection

from django.db import transaction

from scoring.conducting import do_record, read_state
from scoring.ledger import Author
from scoring.models import Competition, CompetitionEntry, CompetitionText
from scoring.rules.event.entry import State
from scoring.rules.event.publication import PARTS, parts


def shown_parts(competition: Competition) -> list[str]:
    """Return the parts that everybody may read."""
    return [one for one in PARTS if competition.shows(one)]


@transaction.atomic
def do_publish(
    competition: Competition,
    author: Author,
    *,
    asked: Collection[str] | None = None,
    uuid: uuids.UUID | None = None,
) -> None:
    """Let everybody read the parts asked for, all where none is named, beside those that are read already.

    Raises Malformed (`parts`) for a part that does not exist, or none.
    """
    wanted = list(PARTS) if asked is None else parts(list(asked), "parts")
    if set(wanted) <= set(shown_parts(competition)):
        return
    fields = {} if asked is None else {"parts": wanted}
    _follow(competition, do_record(competition, "publish", fields, author, uuid=uuid).state)


@transaction.atomic
def do_unpublish(
    competition: Competition,
    author: Author,
    *,
    asked: Collection[str] | None = None,
    uuid: uuids.UUID | None = None,
) -> None:
    """Take parts back, all where none is named. Raises Malformed (`parts`)."""
    hidden = list(PARTS) if asked is None else parts(list(asked), "parts")
    if not competition.published or not set(hidden) & set(shown_parts(competition)):
        return
    fields = {} if asked is None else {"parts": hidden}
    _follow(competition, do_record(competition, "unpublish", fields, author, uuid=uuid).state)


@transaction.atomic
def do_show_exactly(competition: Competition, author: Author, wanted: Collection[str]) -> None:
    """Publish these parts and no others. Raises Malformed (`parts`)."""
    now = shown_parts(competition)
    new = [one for one in wanted if one not in now]
    gone = [one for one in now if one not in wanted]
    if new:
        do_publish(competition, author, asked=new)
    if gone:
        do_unpublish(competition, author, asked=gone)


@transaction.atomic
def do_notice(competition: Competition, author: Author, text: str, *, uuid: uuids.UUID | None = None) -> None:
    """Put a notice on the public page in place of the one before; an empty text takes it down."""
    if text == read_notice(competition, read_state(competition)):
        return
    fields = {"decision": text} if text else {"down": True}
    do_record(competition, "notice", fields, author, uuid=uuid)


def read_notice(competition: Competition, state: State) -> str:
    """Return the notice that stands, empty where none does or where it was erased; one query at most."""
    seq = state["publication"]["notice"]
    if seq is None:
        return ""
    found = CompetitionText.objects.filter(entry__competition=competition, entry__seq=seq).first()
    return "" if found is None else found.texts.get("decision", "")


def whys(competition: Competition, kind: str) -> dict[int, str]:
    """Return why entries of a kind were written, by seq; one query. Empty where it was erased."""
    rows = CompetitionEntry.objects.filter(competition=competition, kind=kind).values_list(
        "seq", "text__texts"
    )
    return {seq: (texts or {}).get("why", "") for seq, texts in rows}


def columns_of(state: State) -> dict[str, object]:
    """Return the columns of a competition that follow its ledger."""
    own = state["publication"]
    return {"published": bool(own["published"]), "withheld": " ".join(own["withheld"])}


def _follow(competition: Competition, state: State) -> None:
    for name, value in columns_of(state).items():
        setattr(competition, name, value)
    competition.save(update_fields=["published", "withheld"])
