"""A club measures its table: the sets of test strokes, one verb each.

A set is open while it is measured, and readings are stored as they come; once finished it stays
as it is. One set a table may be in use: `analytics.tables` lays its values between the preset of
the table's size and the table's own overrides.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from analytics.models import MeasuredSet
from analytics.tables import unmeasured_parameters
from scoring.models import PlayTable
from scoring.rules.said import Malformed, said

if TYPE_CHECKING:
    from analytics.aim.diamonds.question import Answer
    from analytics.aim.measured.correcting import Correction

MOST_SECONDS = 30.0


def open_set(table: PlayTable) -> MeasuredSet | None:
    """Return the set that is being measured."""
    return MeasuredSet.objects.filter(table=table, finished_at__isnull=True).first()


def finished_sets(table: PlayTable) -> list[MeasuredSet]:
    """Return the table's history, the latest first."""
    return list(MeasuredSet.objects.filter(table=table, finished_at__isnull=False))


def do_begin(table: PlayTable, user: Any, note: str = "") -> MeasuredSet:
    """Open a set; one that is open already goes on."""
    found = open_set(table)
    if found is not None:
        return found
    try:
        with transaction.atomic():
            return MeasuredSet.objects.create(table=table, measured_by=user, note=note)
    except IntegrityError:
        # Somebody else began in the same moment.
        return MeasuredSet.objects.get(table=table, finished_at__isnull=True)


def do_read(one: MeasuredSet, code: str, values: Sequence[float]) -> None:
    """Store what was read of a stroke, instead of what was read before. Raises Malformed (`read`, `seconds`)."""
    check_reading(code, values)
    _change(one, code, list(values))


def do_leave_out(one: MeasuredSet, code: str) -> None:
    """Take the reading of a stroke out of an open set."""
    _change(one, code, None)


def _change(one: MeasuredSet, code: str, values: list[float] | None) -> None:
    with transaction.atomic():
        row = MeasuredSet.objects.select_for_update().filter(pk=one.pk, finished_at__isnull=True).first()
        if row is None:
            raise Malformed("read", said("This set was finished meanwhile; nothing was written."))
        if values is None:
            row.readings.pop(code, None)
        else:
            row.readings[code] = values
        row.save(update_fields=["readings"])
    one.readings = row.readings


def check_reading(code: str, values: Sequence[float]) -> None:
    """Raise Malformed (`read`, `seconds`) for numbers that no rail and no watch shows."""
    from analytics.aim.measured.strokes import STROKES

    stroke = STROKES.get(code)
    if stroke is None:
        raise Malformed("stroke", said("Choose one of the strokes of the set."))
    if len(values) != stroke.fields:
        raise Malformed("read", said("Write what was read of this stroke."))
    if not 0 <= values[0] <= stroke.most:
        raise Malformed("read", said("From 0 to %(most)s diamonds.", most=f"{stroke.most:g}"))
    if len(values) > 1 and not 0.5 <= values[1] <= MOST_SECONDS:
        raise Malformed("seconds", said("From 0.5 to %(most)s seconds.", most=f"{MOST_SECONDS:g}"))


def do_finish(one: MeasuredSet) -> None:
    """Fit the table to an open set and keep both as they are.

    Raises `Unfit` where nothing can be made of it; the set stays open then. Raises Malformed
    where the table's own values cannot be used, or a reading came meanwhile.
    """
    from analytics.aim.measured.fitting import MODEL, fit

    base = unmeasured_parameters(one.table)
    fitted = fit(one.readings, base)
    with transaction.atomic():
        row = MeasuredSet.objects.select_for_update().get(pk=one.pk)
        if row.finished_at is not None or row.readings != one.readings:
            raise Malformed("read", said("A reading was written meanwhile; work it out again."))
        row.result = fitted.to_json() | {"base": asdict(base)}
        row.model = MODEL
        row.finished_at = timezone.now()
        row.save(update_fields=["result", "model", "finished_at"])


def do_use(one: MeasuredSet) -> None:
    """Let the table play by a finished set, instead of the one before."""
    with transaction.atomic():
        rows = MeasuredSet.objects.select_for_update().filter(table=one.table_id)
        list(rows)
        rows.filter(in_use=True).update(in_use=False)
        rows.filter(pk=one.pk, finished_at__isnull=False).update(in_use=True)


def do_withdraw(table: PlayTable) -> None:
    """Let the table play by the preset of its size again; the history stays."""
    MeasuredSet.objects.filter(table=table, in_use=True).update(in_use=False)


def do_delete(one: MeasuredSet) -> None:
    """Strike a set out of the history; a table that played by it goes back to its preset."""
    one.delete()


# --- what a set says -----------------------------------------------------------


@dataclass(frozen=True)
class OwnNumber:
    """A table's own numbers beside the book's, of the corner system.

    arrival : where the ball comes if the book's aim is played, with its interval of 90 %.
    aim : the aim that comes to the book's arrival; None beyond what was measured.
    """

    arrival: float
    low: float
    high: float
    aim: float | None
    measured_at: datetime.datetime
    note: str


def correction_in(one: MeasuredSet | None) -> Correction | None:
    """Return the correction of the diamond numbers that a set holds."""
    from analytics.aim.measured.correcting import correction_from

    kept = None if one is None or one.result is None else one.result["correction"]
    return None if kept is None else correction_from(kept)


def own_number(one: MeasuredSet | None, answer: Answer, reading: str) -> OwnNumber | None:
    """Return the own-table numbers beside a system's answer; None where nothing was measured about it.

    reading : how the aim line was drawn; the test strokes are sent through the marks.
    """
    origin, arrival = answer.origin, answer.arrival
    if one is None or answer.system != "corner" or reading != "through" or origin is None or arrival is None:
        return None
    fix = correction_in(one)
    came = None if fix is None else fix.arrival(arrival)
    if fix is None or came is None:
        return None
    book = fix.book_for(arrival)
    aim = None if book is None or origin - book < 0 else origin - book
    return OwnNumber(*came, aim, one.measured_at, one.note)
