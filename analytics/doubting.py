"""Entries that can hardly be right: asked about with the reason, and left in every figure.

What a match raises is kept with the seq at which it was looked at, and brought up to date where the
match went on, by whoever reads it or by a worker, in lots. A person strikes out or corrects what was
wrong, or says that it is right; nothing here changes or hides anything.
"""

from __future__ import annotations

import datetime
import json
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import Count, Exists, OuterRef, Q, QuerySet
from django.utils import timezone
from django.utils.formats import number_format

from analytics.doubt_scan import OF_TWO, OVER, Raised, Sheet, find, read_sheets
from analytics.models import Doubt, LookedAt, ScannedMatch
from analytics.played.asked import Asked, narrowed
from scoring.models import Club, MatchProjection
from scoring.rules.said import Malformed, Said, said

AT_ONCE = 200
# Open flags stand on the score sheet as well, and are counted there.
FLAGS = "flags"


# --- bringing up to date -------------------------------------------------------


def _behind() -> QuerySet[MatchProjection]:
    scanned = ScannedMatch.objects.filter(match=OuterRef("match"))
    late = Q(status__in=OVER) & ~Exists(scanned.filter(seq=OuterRef("seq")))
    # One that was taken up again is asked about once it is over.
    return MatchProjection.objects.filter(late | (~Q(status__in=OVER) & Exists(scanned)))


def waiting(most: int = AT_ONCE) -> list[int]:
    """Return matches that went on since they were looked at, the latest first; one query."""
    return list(_behind().order_by("-started_at", "-match").values_list("match", flat=True)[:most])


def how_many_wait() -> int:
    """Return how many matches went on since they were looked at."""
    return _behind().count()


def do_scan(ids: Collection[int]) -> None:
    """Look at these matches, whatever was found in them before; in lots of two hundred.

    What is read and judged holds no lock; storing takes a moment.
    """
    listed = sorted(ids)
    for at in range(0, len(listed), AT_ONCE):
        _scan(listed[at : at + AT_ONCE])


def _scan(ids: list[int]) -> None:
    # Read before everything else: what is written meanwhile leaves the match behind, not wrong.
    seqs = dict(MatchProjection.objects.filter(match__in=ids, status__in=OVER).values_list("match", "seq"))
    sheets = read_sheets(ids)
    raised = find(sheets)
    beside = {one.match for one in raised} - set(ids)
    seqs_beside = dict(MatchProjection.objects.filter(match__in=beside).values_list("match", "seq"))
    known = list(Doubt.objects.filter(Q(match__in=ids) | Q(other__in=ids, kind__in=OF_TWO)))
    before = {(one.match_id, one.kind, one.about): one for one in known}
    rows = {}
    for one in raised:
        row = _row(one, (seqs | seqs_beside).get(one.match, 0))
        earlier = before.get((row.match_id, row.kind, row.about))
        if earlier is not None and _essence(earlier) == _essence(row):
            row.seq, row.found_at = earlier.seq, earlier.found_at
        rows[row.match_id, row.kind, row.about] = row
    # Whatever went with a match that is another one now may go with yet another.
    alone = {key[0] for key in before.keys() - rows.keys()} - set(ids)
    with transaction.atomic():
        Doubt.objects.filter(pk__in=[one.pk for one in known]).delete()
        Doubt.objects.bulk_create(rows.values(), ignore_conflicts=True)
        ScannedMatch.objects.filter(match__in=[*alone, *(pk for pk in ids if pk not in seqs)]).delete()
        ScannedMatch.objects.bulk_create(
            _cursors(seqs, sheets),
            update_conflicts=True,
            unique_fields=["match"],
            update_fields=["seq", "runs", "stays", "since", "until"],
        )


def _cursors(seqs: dict[int, int], sheets: Iterable[Sheet]) -> list[ScannedMatch]:
    found = {pk: ScannedMatch(match_id=pk, seq=seq) for pk, seq in seqs.items()}
    for sheet in sheets:
        row = found.get(sheet.match.pk)
        if row is None:
            continue
        row.runs, row.stays = sheet.runs_hash, sheet.stays
        if sheet.stays:
            ends = sheet.stays[0][0], sheet.stays[-1][1]
            row.since, row.until = (datetime.datetime.fromtimestamp(at, datetime.UTC) for at in ends)
    return list(found.values())


def _row(one: Raised, seq: int) -> Doubt:
    doubt = one.doubt
    return Doubt(
        match_id=one.match,
        kind=doubt.kind,
        about=one.about,
        seq=seq,
        certain=doubt.certain,
        chance=doubt.chance,
        colour=one.colour,
        player_id=one.player,
        other_id=one.other,
        reason={"template": doubt.reason.template, "params": dict(doubt.reason.params)},
        places=list(one.places),
    )


def _essence(one: Doubt) -> str:
    """Return what is doubted, without how rarely it is so: that moves with every earlier match."""
    params = {name: value for name, value in one.reason["params"].items() if name != "times"}
    return json.dumps([one.reason["template"], params, one.places], sort_keys=True)


# --- reading -------------------------------------------------------------------


@dataclass(frozen=True)
class Doubts:
    """Questions about matches, the latest match first, and how far they were looked for.

    looked : matches of what is asked that were looked at; unread : of the club, still to be looked at.
    """

    asked: Asked
    rows: QuerySet[Doubt]
    looked: int
    unread: int


def read_show(values: Mapping[str, Any]) -> bool:
    """Return whether an address asks for the answered questions too. Raises Malformed (`show`)."""
    show = values.get("show") or "open"
    if show not in ("open", "all"):
        raise Malformed("show", said("send open or all"))
    return show == "all"


def read_doubts(asked: Asked, club: Club, answered: bool = False) -> Doubts:
    """Return the open questions of what is asked, or with the `answered` ones; two hundred matches are
    brought up to date first."""
    late = waiting()
    do_scan(late)
    matches = narrowed(asked, club)
    rows = Doubt.objects.filter(match__in=matches.values("pk"))
    if not answered:
        rows = rows.filter(still_open())
    rows = rows.select_related(
        "match__projection",
        "match__competition",
        "match__entrant_a__name",
        "match__entrant_b__name",
        "other__projection",
        "player__name",
    ).order_by("-match__projection__started_at", "-match", "-certain", "chance", "pk")
    return Doubts(
        asked,
        rows,
        matches.filter(scanned__isnull=False).count(),
        how_many_wait() if late else 0,
    )


def still_open() -> Q:
    """Return the condition of doubts of which nobody said that they are right."""
    same = {name: OuterRef(name) for name in ("match", "kind", "about", "seq")}
    return ~Exists(LookedAt.objects.filter(**same))


def reason_of(one: Doubt) -> Said:
    """Return the reason as a sentence; how rarely it is so stands as the reader's language writes it."""
    params = dict(one.reason["params"])
    if "times" in params:
        params["times"] = number_format(params["times"], force_grouping=True)
    return Said(one.reason["template"], params)


def looks_at(rows: Collection[Doubt]) -> dict[int, LookedAt]:
    """Return by doubt who looked at it; one query."""
    keys = {(one.match_id, one.kind, one.about, one.seq): one.pk for one in rows}
    looks = LookedAt.objects.filter(match__in={one.match_id for one in rows}).select_related("by")
    found = {}
    for look in looks:
        pk = keys.get((look.match_id, look.kind, look.about, look.seq))
        if pk is not None:
            found[pk] = look
    return found


def how_many_about(players: Collection[int], matches: Collection[int]) -> int:
    """Return how many open questions these matches raise about a player, whose ids are given; one query."""
    one = Q(player__in=players)
    both = Q(player=None) & (Q(match__entrant_a__in=players) | Q(match__entrant_b__in=players))
    rows = Doubt.objects.filter(one | both, still_open()).exclude(kind=FLAGS)
    counted = rows.values_list("match").annotate(number=Count("pk")).order_by()
    listed = set(matches)
    return sum(number for match, number in counted if match in listed)


# --- told by organisers --------------------------------------------------------


def do_say_right(one: Doubt, user: Any) -> None:
    """Note that an organiser looked at it and that it is right as it is written; once is enough."""
    LookedAt.objects.get_or_create(
        **_key(one),
        defaults={"by": user if getattr(user, "pk", None) else None, "at": timezone.now()},
    )


def do_ask_again(one: Doubt) -> None:
    """Take back what was said of a doubt."""
    LookedAt.objects.filter(**_key(one)).delete()


def _key(one: Doubt) -> dict[str, Any]:
    return {"match_id": one.match_id, "kind": one.kind, "about": one.about, "seq": one.seq}
