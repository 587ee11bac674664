"""`manage.py worker`: do the work that waits in the background, and see what else there is to do."""

import datetime
import logging
import os
import signal
import sys
import threading
import time
from types import FrameType
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.db import DatabaseError, close_old_connections
from django.utils import timezone
from django.utils.crypto import get_random_string
from django_tasks import DEFAULT_TASK_BACKEND_ALIAS, DEFAULT_TASK_QUEUE_NAME
from django_tasks_db.management.commands.db_worker import Worker
from django_tasks_db.models import DBTaskResult

from analytics import prediction_run, upkeep

POLL = 3.0  # seconds; each look takes the database's lock for a moment
# What was done so long ago is forgotten, looked for so often [s].
KEPT, PRUNE = datetime.timedelta(days=14), 24 * 3600.0


class LeavingWorker(Worker):
    """A worker that tells a long task when it is to end."""

    def shutdown(self, signum: int, frame: FrameType | None) -> None:
        prediction_run.leaving.set()
        super().shutdown(signum, frame)


class Command(BaseCommand):
    help = (
        "Do what waits in the background: predict recorded strokes as they come in, fit spreads to them. One runs beside each web "
        "process by itself; with WORKER=0 start as many as you like, wherever the database can be reached."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--beside", action="store_true", help="at lowered priority, until standard input ends"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        # It says nothing of its comings and goings; what fails is told.
        for name in ("django_tasks", "django_tasks_db"):
            logging.getLogger(name).setLevel(logging.ERROR)
        if options["beside"]:
            os.nice(10)
            threading.Thread(target=_end_with_standard_input, daemon=True).start()
        threading.Thread(target=_look_now_and_then, daemon=True).start()
        worker = LeavingWorker(
            queue_names=[DEFAULT_TASK_QUEUE_NAME],
            excluded_queue_names=[],
            interval=POLL,
            batch=False,
            backend_name=DEFAULT_TASK_BACKEND_ALIAS,
            startup_delay=False,
            max_tasks=None,
            worker_id=get_random_string(32),
        )
        worker.configure_signals()
        worker.run()


def _end_with_standard_input() -> None:
    """End in good order when the process that holds the other end is gone, however it went."""
    sys.stdin.buffer.read()
    os.kill(os.getpid(), signal.SIGTERM)


def _look_now_and_then() -> None:
    pruned, asker = -PRUNE, upkeep.Asker()
    while not prediction_run.leaving.wait(prediction_run.LOOKS):
        close_old_connections()
        try:
            prediction_run.do_look()
            asker.do_look()
            if time.monotonic() - pruned > PRUNE:
                DBTaskResult.objects.finished().filter(finished_at__lt=timezone.now() - KEPT).delete()
                pruned = time.monotonic()
        except DatabaseError as fault:  # a busy moment, or a restore; the next look finds it
            print(f"The worker could not look at the database: {fault}", file=sys.stderr)
        finally:
            close_old_connections()
