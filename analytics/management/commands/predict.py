"""`manage.py predict`: predict every recorded stroke that waits, here and now."""

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from analytics import kernels
from analytics.prediction_run import Elsewhere, Progress, desk, do_go_on_here, do_run, progress_of

WIDTH = 24  # of the bar


class Command(BaseCommand):
    help = (
        "Predict the recorded strokes that have a layout and no prediction yet. Ctrl-C stops it; run again, "
        "it goes on where it was. The numbers are those that a worker in the background would store."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--threads", type=int, help="processors to use; by default all")

    def handle(self, *args: Any, **options: Any) -> None:
        do_go_on_here()
        try:
            done = do_run(threads=options["threads"], report=self._say)
        except Elsewhere:
            raise CommandError(
                "Another process predicts already. Look at /predictions/ how far it is, or stop it there."
            ) from None
        except kernels.NotReady as fault:
            raise CommandError(
                f"The simulator cannot be prepared: manage.py warm_kernels. ({fault})"
            ) from None
        except KeyboardInterrupt:
            self._close_line()
            self.stdout.write(f"Stopped. {_told(progress_of(desk()))} Run it again to go on.")
            return
        self._close_line()
        if done.stopped:
            self.stdout.write(f"Stopped by an organiser. {_told(done)}")
        else:
            self.stdout.write(_told(done))

    def _say(self, progress: Progress) -> None:
        if not self.stdout.isatty():
            return
        bar = ("=" * round(WIDTH * progress.done / max(1, progress.total))).ljust(WIDTH)
        left = "" if progress.seconds_left is None else f", {_clock(progress.seconds_left)} left"
        self.stdout.write(f"\r[{bar}] {progress.done} of {progress.total} strokes{left}".ljust(79), ending="")
        self.stdout.flush()

    def _close_line(self) -> None:
        if self.stdout.isatty():
            sys.stdout.write("\n")


def _told(progress: Progress) -> str:
    if not progress.total:
        return "Nothing waits: every stroke with a layout has its prediction."
    left_out = f", {progress.left_out} of them left out" if progress.left_out else ""
    return f"{progress.done} of {progress.total} strokes predicted{left_out}."


def _clock(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"
