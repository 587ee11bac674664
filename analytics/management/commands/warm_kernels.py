"""`manage.py warm_kernels`: compile the simulator now, so that the first stroke need not wait."""

import os
import time
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from analytics import kernels


class Command(BaseCommand):
    help = "Compile the simulator and keep it on disk; run again, it only looks whether all is there."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--gently", action="store_true", help="at lowered priority, beside a server")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["gently"]:
            os.nice(10)
        begun = time.monotonic()
        self.stdout.write("Preparing the simulator, ", ending="")
        self.stdout.flush()
        try:
            kernels.do_warm()
        except kernels.NotReady as fault:
            self.stdout.write("not done.")
            raise CommandError(
                "The simulator finds no folder to keep its compiled parts in. Set NUMBA_CACHE_DIR to a "
                f"folder that this user may write, and start again. The rest of the site works without it. ({fault})"
            ) from None
        self.stdout.write(f"ready after {time.monotonic() - begun:.1f} s.")
