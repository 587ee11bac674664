"""Predictions that are kept: which strokes want one, what it is made from, and keeping it.

A prediction is made from what was told of a stroke beside its outcome: the layout, the cue ball
and, where one was declared, the line. When those were told makes the kind: blind, same time or
hindsight. What is made from one stroke depends on nothing but that stroke, the table and the
player's spread, so order, company and threads change no number.
"""

from __future__ import annotations

import datetime
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.db import IntegrityError, transaction
from django.db.models import F, QuerySet
from django.db.models.functions import Coalesce

from analytics.models import FollowedMatch, Prediction
from analytics.spread_fits import do_mark_behind
from analytics.spreads import spread_of
from analytics.tables import find_table, parameters_of, play_tables
from scoring.models import Match, MatchEntry, PlayTable, StrokeProjection
from scoring.rules.disciplines import Discipline
from scoring.rules.match.entry import STROKES
from scoring.rules.said import Malformed

if TYPE_CHECKING:
    from analytics.aim.predicting import Predicted
    from analytics.table.parameters import TableParameters

Kind = Prediction.Kind
TOLD = ("layout", "cue_ball", "line")
# What may tell of a stroke, strike out what did, or change the table.
_READ = (*STROKES, "inning", "position", "annotate", "void", "resume")


def parameters_before(table: PlayTable | None, before: datetime.datetime) -> TableParameters:
    """Return a table's parameters as they held before a moment. Raises Malformed."""
    return find_table(None) if table is None else parameters_of(table, before)


@dataclass(frozen=True)
class Telling:
    """What was told of a stroke by the entry `seq`; `line` is None where none was declared."""

    kind: str
    seq: int
    layout: Mapping[str, Sequence[float]]
    cue_ball: str
    line: Mapping[str, float] | None


@dataclass(frozen=True)
class Asked:
    """A stroke that wants a prediction of one kind.

    `tellings`: from what, the first one that can lie on a table and be struck is taken.
    """

    match: Match
    place: int
    kind: str
    tellings: tuple[Telling, ...]
    player: int | None
    table: PlayTable | None
    dated_at: datetime.datetime


# --- which strokes -------------------------------------------------------------


def matches_behind() -> QuerySet[Match]:
    """Return the matches whose ledger went on since they were looked at, the latest first."""
    return (
        Match.objects.select_related("projection")
        .defer("projection__state")
        .annotate(followed=Coalesce("predictions_followed__seq", 0))
        .filter(projection__seq__gt=F("followed"))
        .order_by("-projection__last_at", "-pk")
    )


def asked_of(matches: Iterable[Match]) -> list[Asked]:
    """Return what is still wanted of these matches, in order of play; three questions for them all."""
    by_id = {match.pk: match for match in matches}
    kept = set(Prediction.objects.filter(match__in=by_id).values_list("match", "place", "kind"))
    entries: dict[int, list[MatchEntry]] = defaultdict(list)
    for row in MatchEntry.objects.filter(match__in=by_id, kind__in=_READ).order_by("match", "seq"):
        entries[row.match_id].append(row)
    strokes: dict[int, list[StrokeProjection]] = defaultdict(list)
    # Only what stands is asked for: a stroke that is struck out has no row.
    for stroke in StrokeProjection.objects.filter(match__in=by_id, kind__in=STROKES).order_by("order"):
        strokes[stroke.match_id].append(stroke)
    found: list[Asked] = []
    tables = Tables()
    for pk, match in by_id.items():
        reader = _Reader(entries[pk])
        for stroke in strokes[pk]:
            found += (
                Asked(
                    match=match,
                    place=stroke.place,
                    kind=kind,
                    tellings=tellings,
                    player=stroke.player_id,
                    table=tables[reader.table_at(stroke.place, match.table_id)],
                    dated_at=stroke.dated_at,
                )
                for kind, tellings in reader.kinds_of(stroke)
                if (pk, stroke.place, kind) not in kept
            )
    return found


class Tables(dict[int | None, "PlayTable | None"]):
    """Rows of tables by id, each read once."""

    def __missing__(self, pk: int | None) -> PlayTable | None:
        self[pk] = None if pk is None else play_tables().filter(pk=pk).first()
        return self[pk]


class _Reader:
    """The entries of one match that tell of strokes, by the place they speak of."""

    def __init__(self, entries: Sequence[MatchEntry]) -> None:
        seqs = {str(row.uuid): row.seq for row in entries}
        targets = [row.data["target"] for row in entries if row.kind == "void"]
        voided = {seqs.get(target, 0) if isinstance(target, str) else target for target in targets}
        self.by_seq = {row.seq: row for row in entries}
        self.by_place: dict[int, list[MatchEntry]] = defaultdict(list)
        self.moves: list[tuple[int, int]] = []
        for row in entries:
            if row.kind in STROKES | {"annotate"} and (row.seq not in voided or row.seq == row.place):
                self.by_place[row.place].append(row)
            elif row.kind == "resume" and row.seq not in voided and row.data.get("table") is not None:
                self.moves.append((row.seq, row.data["table"]))

    def table_at(self, place: int, first: int | None) -> int | None:
        """Return the id of the table that a place was played on."""
        return next((table for seq, table in reversed(self.moves) if seq < place), first)

    def kinds_of(self, stroke: StrokeProjection) -> Iterator[tuple[str, tuple[Telling, ...]]]:
        """Yield what may be predicted of a stroke: at most one kind told in time, and hindsight."""
        told = list(self._tellings(stroke))
        for kind in Kind.values:
            of_kind = tuple(one for one in told if one.kind == kind)
            if of_kind:
                yield kind, of_kind

    def _tellings(self, stroke: StrokeProjection) -> Iterator[Telling]:
        original = self.by_seq.get(stroke.place)
        if original is None:
            return
        position = self.by_seq.get((stroke.details or {}).get("position", 0))
        known: dict[str, Any] = {"cue_ball": stroke.colour}
        kind, since = Kind.HINDSIGHT, original.seq
        if position is not None:
            known |= _told_by(position)
            kind, since = Kind.BLIND, position.seq
        own = {} if original.kind == "inning" else _told_by(original)
        if known | own != known:
            known, kind, since = known | own, Kind.SAME_TIME, original.seq
        # Told once it was known what had come of it.
        late = original.data.keys() & {"before", "instead_of"} or any(
            row is not None and row.import_batch_id for row in (original, position)
        )
        if late or (position is not None and position.seq > original.seq):
            kind = Kind.HINDSIGHT
        if "layout" in known:
            yield _telling(kind, since, known)
        for row in self.by_place[stroke.place]:
            more = {} if row is original else _told_by(row)
            if known | more != known:
                known = known | more
                if "layout" in known:
                    yield _telling(Kind.HINDSIGHT, row.seq, known)


def _told_by(row: MatchEntry) -> dict[str, Any]:
    return {name: row.data[name] for name in TOLD if row.data.get(name) is not None}


def _telling(kind: str, seq: int, known: Mapping[str, Any]) -> Telling:
    return Telling(kind, seq, known["layout"], known["cue_ball"], known.get("line"))


# --- making and keeping one ----------------------------------------------------


def predicted(asked: Asked, threads: int | None = None) -> Prediction | None:
    """Return the prediction of a stroke, not stored yet; None where none can be made.

    That is so where the balls cannot lie as they were told, where the table is not known, and
    where no line was declared and none is found. Raises `analytics.kernels.NotReady`.
    """
    try:
        table = parameters_before(asked.table, asked.dated_at)
    except Malformed:
        return None
    discipline = Discipline.from_json(asked.match.discipline)
    spread = spread_of(asked.player, asked.dated_at)
    for telling in asked.tellings:
        made = predict_telling(telling, spread, table, discipline, threads)
        if made is not None:
            return _row(asked, telling, made, table)
    return None


def predict_telling(
    telling: Telling, spread: float, table: TableParameters, discipline: Discipline, threads: int | None
) -> Predicted | None:
    """Predict what one entry told; None where the balls cannot lie so, or no line is found."""
    from analytics import kernels

    shots = kernels.load()
    from analytics.aim.predicting import predict

    try:
        return predict(
            telling.layout,
            telling.cue_ball,
            None if telling.line is None else shots.Strike(**telling.line),
            spread=spread,
            table=table,
            discipline=discipline,
            threads=threads,
        )
    except Malformed:
        return None


def _row(asked: Asked, telling: Telling, made: Predicted, table: TableParameters) -> Prediction:
    return Prediction(
        match=asked.match,
        place=asked.place,
        discipline=asked.match.discipline_code,
        table=asked.table,
        **columns_of(telling, made, table),
    )


def columns_of(telling: Telling, made: Predicted, table: TableParameters) -> dict[str, Any]:
    """Return what a prediction keeps, beside what it is about."""
    from dataclasses import asdict

    from analytics.aim.predicting import MODEL
    from analytics.table.compiled import FINGERPRINT

    return {
        "told_seq": telling.seq,
        "kind": telling.kind,
        "source": made.source,
        "layout": telling.layout,
        "cue_ball": telling.cue_ball,
        "line": asdict(made.strike),
        "parameters": asdict(table),
        "spread": made.spread,
        "success": made.success,
        "stderr": made.stderr,
        "hits": made.hits,
        "grid": made.grid,
        "strokes": made.strokes,
        "model": MODEL,
        "kernels": FINGERPRINT,
    }


def do_keep(prediction: Prediction) -> bool:
    """Store a prediction; False where one is kept already, which stays as it is."""
    try:
        with transaction.atomic():
            prediction.save(force_insert=True)
            if prediction.match_id is not None:
                _note_kept(prediction.match_id, 1)
    except IntegrityError:
        return False
    return True


def _note_kept(match_id: int, more: int) -> None:
    FollowedMatch.objects.update_or_create(
        match_id=match_id, defaults={"kept": F("kept") + more}, create_defaults={"kept": more}
    )


def do_note_followed(match: Match) -> None:
    """Note that a match was looked at, up to the seq with which `match` was read."""
    FollowedMatch.objects.update_or_create(match=match, defaults={"seq": match.projection.seq})
    do_mark_behind(match)


def do_predict_match(match: Match, threads: int | None = None) -> int:
    """Predict what is wanted of one match; return how many predictions were stored."""
    match = Match.objects.select_related("projection").get(pk=match.pk)
    stored = 0
    for asked in asked_of([match]):
        made = predicted(asked, threads)
        stored += made is not None and do_keep(made)
    do_note_followed(match)
    return stored


# --- keeping what was made elsewhere -------------------------------------------


@dataclass(frozen=True)
class Handed:
    """A prediction that was made before and comes with its strokes; the rest stands in the ledger.

    hits : points made of STROKES at each of SPREADS, by MODEL. spread : the player's as presumed
    then. line : the best one that was found; None where the player's own was played.
    """

    place: int
    kind: str
    spread: float
    hits: tuple[int, ...]
    line: Mapping[str, float] | None = None


@transaction.atomic
def do_keep_handed(handed: Mapping[int, Sequence[Handed]], *, model: int, kernels: str) -> int:
    """Store predictions that came with matches, whose ids are given; return how many.

    They are kept under the fingerprint of the simulator that made them, be it this one or an
    earlier one. What stands already stays; what the ledger tells otherwise is left to a worker.
    Raises ValueError for another model: its numbers mean something else.
    """
    behind = list(matches_behind().filter(pk__in=handed))
    if not behind:
        return 0
    from analytics.aim.predicting import MODEL

    if model != MODEL:
        raise ValueError(f"model {model}, where this one is {MODEL}")
    by_stroke = {(pk, one.place, one.kind): one for pk, all_of_it in handed.items() for one in all_of_it}
    rows, open_ones = [], set()
    for asked in asked_of(behind):
        one = by_stroke.get((asked.match.pk, asked.place, asked.kind))
        row = None if one is None else _row_of_handed(asked, one, kernels)
        if row is None:
            open_ones.add(asked.match.pk)
        else:
            rows.append(row)
    Prediction.objects.bulk_create(rows, batch_size=200, ignore_conflicts=True)
    stored = Counter(row.match_id for row in rows)
    for match in behind:
        if stored[match.pk]:
            _note_kept(match.pk, stored[match.pk])
        if match.pk not in open_ones:
            do_note_followed(match)
    return len(rows)


def _row_of_handed(asked: Asked, one: Handed, kernels: str) -> Prediction | None:
    """Return the row, or None where the first telling cannot be what it was made from."""
    from math import sqrt

    from analytics.aim import predicting
    from analytics.table.shots import Strike

    telling = asked.tellings[0]
    line = telling.line if one.line is None else one.line
    # Either the line was declared, or it was searched for: never both.
    if line is None or (telling.line is None) == (one.line is None):
        return None
    grid = predicting.falling(one.hits, predicting.STROKES)
    success = predicting.success_at(grid, one.spread)
    made = predicting.Predicted(
        strike=Strike(**line),
        source=predicting.DECLARED if one.line is None else predicting.BEST,
        spread=one.spread,
        hits=one.hits,
        grid=grid,
        strokes=predicting.STROKES,
        success=success,
        stderr=sqrt(success * (1 - success) / predicting.STROKES),
    )
    row = _row(asked, telling, made, parameters_before(asked.table, asked.dated_at))
    row.kernels = kernels
    return row


# --- showing them --------------------------------------------------------------

# What is shown where several are kept: the earliest told.
FIRST_SHOWN = {Kind.BLIND: 0, Kind.SAME_TIME: 1, Kind.HINDSIGHT: 2}


def shown_beside(match: Match, places: Collection[int]) -> dict[int, dict[str, Any]]:
    """Return, by place, what is told of a stroke's prediction: of the earliest kind that is kept."""
    rows = Prediction.objects.filter(match=match).values("place", "kind", "source", "success", "stderr")
    found: dict[int, dict[str, Any]] = {}
    for row in sorted(rows, key=lambda row: FIRST_SHOWN[row["kind"]], reverse=True):
        if row["place"] in places:
            found[row.pop("place")] = row
    return found
