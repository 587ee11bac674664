"""Filling a database with many finished matches, as the ledger would have left them."""

from __future__ import annotations

import datetime
import random
import sys
import uuid
from collections.abc import Iterator

from django.db import transaction
from django.utils import timezone

from scoring import projecting, records
from scoring.models import ColourProjection, Match, MatchEntry, MatchProjection, Player, StrokeProjection
from scoring.rebuilding import do_rebuild
from scoring.rules.match.entry import Entry
from scoring.rules.match.play import append
from scoring.rules.match.state import start
from tests.cast import make_match

AT_ONCE = 20_000


def played(match: Match, length: int, dice: random.Random) -> tuple[list[MatchEntry], dict]:
    """Return the unsaved rows of a match of `length` entries, and all it projects to."""
    setup = projecting.setup_of(match)
    state, rows, entries, dated = start(setup), [], [], {}
    moment = timezone.now() - datetime.timedelta(days=400) + datetime.timedelta(minutes=match.pk)
    head = ""
    for seq in range(1, length + 1):
        if seq == 1:
            entry = Entry("open", {"starter": match.entrant_a_id, "decided_by": "lag"})
        else:
            run = dice.choice([0, 0, 0, 1, 1, 2, 3])
            entry = Entry("inning", {"run": run}, by=state["turn"])
        entry = Entry(entry.kind, entry.fields, seq, str(uuid.UUID(int=dice.getrandbits(128))), entry.by)
        state, row = append(setup, state, entry)
        if row is not None:
            rows.append(row)
        dated[seq] = moment
        stored = MatchEntry(
            match=match,
            uuid=uuid.UUID(entry.uuid),
            seq=seq,
            place=seq,
            kind=entry.kind,
            data=dict(entry.fields),
            stamps=records.stamps_of(entry),
            received_at=moment,
            dated_at=moment,
        )
        head = stored.fingerprint = records.fingerprint(head, stored)
        entries.append(stored)
    projected = {
        "state": state,
        "strokes": projecting.stroke_rows(match, state, rows, dated),
        "dated": dated,
        "last_at": moment,
        "fingerprint": head,
    }
    return entries, projected


def fill(entries: int, length: int = 60, seed: int = 1) -> list[Match]:
    """Write matches of `length` entries until the database holds about `entries` of them."""
    dice = random.Random(seed)
    pattern = make_match(*_players(), distance=(None, None))
    made: list[Match] = []
    for size in _batches(max(entries // length, 1), AT_ONCE // length):
        with transaction.atomic():
            made += _write(pattern, size, length, dice)
        if sys.stderr.isatty():
            print(f"\r{len(made) * length:,} entries", end="", file=sys.stderr)
    for match in dice.sample(made, min(5, len(made))):
        differing = do_rebuild(match.pk)
        if differing:
            raise AssertionError(f"match {match.pk} was not loaded as the ledger writes it: {differing}")
    return made


def _players() -> tuple[Player, Player]:
    return Player.objects.enrol("Ada", "Loadwell"), Player.objects.enrol("Bo", "Loadmere")


def _batches(whole: int, most: int) -> Iterator[int]:
    while whole > 0:
        yield min(whole, most)
        whole -= most


def _write(pattern: Match, size: int, length: int, dice: random.Random) -> list[Match]:
    shared = {
        field.name: getattr(pattern, field.name)
        for field in Match._meta.concrete_fields
        if field.name not in {"id", "uuid"}
    }
    matches = Match.objects.bulk_create(Match(**shared) for _ in range(size))
    entries, strokes, totals, colours = [], [], [], []
    for match in matches:
        rows, projected = played(match, length, dice)
        entries += rows
        strokes += projected["strokes"]
        totals.append(
            MatchProjection(
                match=match,
                state=projected["state"],
                last_at=projected["last_at"],
                fingerprint=projected["fingerprint"],
                **projecting.match_columns(projected["state"], projected["dated"]),
            )
        )
        setup = projecting.setup_of(match)
        colours += [
            ColourProjection(
                match=match, colour=side, **projecting.colour_columns(setup, projected["state"], side)
            )
            for side in projecting.COLOURS
        ]
    MatchEntry.objects.bulk_create(entries, batch_size=2000)
    StrokeProjection.objects.bulk_create(strokes, batch_size=2000)
    MatchProjection.objects.bulk_create(totals)
    ColourProjection.objects.bulk_create(colours)
    return matches
