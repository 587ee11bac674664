"""Predicting all that waits: one at a time over the whole club, stopped and gone on with at any stroke.

Whoever predicts holds the claim of the desk and renews it with each stroke. A claim that is not
renewed lapses, so the work of a process that died is taken up by the next one; what was stored
stays, and nothing is made twice.
"""

from __future__ import annotations

import datetime
import threading
import uuid
from collections.abc import Callable
from dataclasses import dataclass

from django.db import transaction
from django.db.models import F, Q
from django.utils import timezone

from analytics import kernels
from analytics.models import PredictionDesk
from analytics.predictions import do_keep
from analytics.waiting import about, any_behind, behind, do_note, predicted, wanted_of

# Longer than any one stroke takes, the compiling before the first one included.
LAPSE = datetime.timedelta(minutes=2)
# A worker looks this often [s]; not seen for so long, none is taken to be there.
LOOKS = 5.0
UNSEEN = datetime.timedelta(seconds=60)
AT_ONCE = 100
DESK = 1

# Set where this process was told to end: what it predicts is left to the next one.
leaving = threading.Event()


class Elsewhere(Exception):
    """Another process predicts at this moment."""


@dataclass(frozen=True)
class Progress:
    """How far it is: `done` of `total` strokes, `left_out` of them without a prediction.

    seconds_left : at the pace since the claim was taken; None where that is not known yet.
    """

    running: bool
    stopped: bool
    done: int
    total: int
    left_out: int
    seconds_left: float | None
    worker_here: bool


def desk() -> PredictionDesk:
    """Return the one row of the desk."""
    return PredictionDesk.objects.get_or_create(pk=DESK)[0]


def progress_of(row: PredictionDesk, now: datetime.datetime | None = None) -> Progress:
    """Return how far it is, as a desk's row tells."""
    now = now or timezone.now()
    running = row.claim is not None and row.beat_at is not None and now - row.beat_at < LAPSE
    own = row.done - row.begun_done
    left = None
    if running and own > 0 and row.begun_at is not None and row.beat_at is not None:
        left = (row.beat_at - row.begun_at).total_seconds() / own * max(0, row.total - row.done)
    return Progress(
        running=running,
        stopped=row.stopped,
        done=row.done,
        total=max(row.total, row.done),
        left_out=row.left_out,
        seconds_left=left,
        worker_here=row.worker_seen_at is not None and now - row.worker_seen_at < UNSEEN,
    )


# --- told by people ------------------------------------------------------------


def do_stop() -> None:
    """Let whoever predicts stop after the stroke at hand, and nobody begin."""
    PredictionDesk.objects.filter(pk=desk().pk).update(stopped=True)


def do_go_on() -> None:
    """Let it begin, or go on, and ask a worker for it."""
    PredictionDesk.objects.filter(pk=desk().pk).update(stopped=False, asked_at=None)
    do_ask()


def do_go_on_here() -> None:
    """Let it go on in this process, where somebody asked for it by a command."""
    PredictionDesk.objects.filter(pk=desk().pk).update(stopped=False)


def do_ask() -> bool:
    """Ask a worker to predict where something waits and nobody is at it; tell whether one was asked."""
    from analytics.tasks import predict_ledger

    row, now = desk(), timezone.now()
    if row.stopped or progress_of(row, now).running:
        return False
    do_pass_over()
    if not any_behind():
        return False
    free = Q(asked_at=None) | Q(asked_at__lt=now - LAPSE)
    # One statement asks and notes it, so that several workers ask once.
    if not PredictionDesk.objects.filter(free, pk=row.pk).update(asked_at=now):
        return False
    predict_ledger.enqueue()
    return True


def do_pass_over() -> None:
    """Note as looked at the latest matches that went on without a stroke to predict: most of them do."""
    ones = behind(AT_ONCE)
    wanted = {about(asked) for asked in wanted_of(ones)}
    for one in ones:
        if one not in wanted:
            do_note(one)


def strokes_wait() -> bool:
    """Tell whether a recorded stroke waits for its prediction."""
    ones = behind()
    return any(wanted_of(ones[at : at + AT_ONCE]) for at in range(0, len(ones), AT_ONCE))


def do_look() -> None:
    """Look whether something waits, as a worker does now and then, and note that one is here."""
    PredictionDesk.objects.filter(pk=desk().pk).update(worker_seen_at=timezone.now())
    do_ask()


# --- the work ------------------------------------------------------------------


def do_run(
    *, threads: int | None = None, report: Callable[[Progress], None] = lambda progress: None
) -> Progress:
    """Predict until nothing waits, somebody stops it, or this process leaves.

    `report` is told the progress after each stroke. Raises Elsewhere, and `kernels.NotReady`.
    """
    kernels.do_warm()
    run = _Run(threads, report)
    try:
        run.work()
    finally:
        run.release()
    return progress_of(desk())


class _Run:
    """One holder of the claim."""

    def __init__(self, threads: int | None, report: Callable[[Progress], None]) -> None:
        self.threads, self.report = threads, report
        self.claim = uuid.uuid4()
        now = timezone.now()
        free = Q(claim=None) | Q(beat_at=None) | Q(beat_at__lt=now - LAPSE)
        taken = PredictionDesk.objects.filter(free, pk=desk().pk).update(
            claim=self.claim, beat_at=now, asked_at=None
        )
        if not taken:
            raise Elsewhere
        self.held = PredictionDesk.objects.filter(pk=DESK, claim=self.claim)

    def work(self) -> None:
        if not self._goes_on():
            return
        self._begin()
        while batch := behind(AT_ONCE):
            for one in batch:
                for asked in wanted_of([one]):
                    if not self._goes_on():
                        return
                    made = predicted(asked, self.threads)
                    with transaction.atomic():
                        if made is not None:
                            do_keep(made)
                        self._count(left_out=made is None)
                do_note(one)
            if not self._goes_on():
                return
        # Whatever was struck out meanwhile waits no more.
        self.held.update(total=F("done"))

    def _begin(self) -> None:
        """Count what waits. What was not finished goes on; else it begins at nothing."""
        waits = 0
        ones = behind()
        for at in range(0, len(ones), AT_ONCE):
            waits += len(wanted_of(ones[at : at + AT_ONCE]))
            self.held.update(beat_at=timezone.now())
        row = desk()
        begun_done = row.done if row.done < row.total else 0
        self.held.update(
            done=begun_done,
            total=begun_done + waits,
            left_out=row.left_out if begun_done else 0,
            begun_at=timezone.now(),
            begun_done=begun_done,
        )

    def _count(self, *, left_out: bool) -> None:
        self.held.update(done=F("done") + 1, left_out=F("left_out") + int(left_out), beat_at=timezone.now())
        self.report(progress_of(desk()))

    def _goes_on(self) -> bool:
        """Whether nobody stopped it, the claim is ours still, and this process stays."""
        return not leaving.is_set() and self.held.filter(stopped=False).exists()

    def release(self) -> None:
        self.held.update(claim=None)
