"""A database of its own for each benchmark, and how times are taken and told."""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def database() -> Iterator[None]:
    """Set the service up on an empty database that is gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="bench-") as folder:
        os.environ["DATABASE_URL"] = (
            os.environ.get("BENCH_DATABASE_URL") or f"sqlite:///{Path(folder) / 'bench.sqlite3'}"
        )
        os.environ["DJANGO_SETTINGS_MODULE"] = "clubsite.settings"
        import django
        from django.conf import settings
        from django.core.management import call_command
        from django.db import connection

        django.setup()
        settings.ALLOWED_HOSTS = ["testserver"]
        call_command("migrate", verbosity=0)
        print(f"Database: {connection.vendor}")
        yield
        connection.close()


def interleaved(times: int, *calls: Callable[[], object], warm: int = 20) -> list[list[float]]:
    """Return the seconds of each call, taken in turn so that all meet the same weather."""
    for _ in range(warm):
        for call in calls:
            call()
    taken: list[list[float]] = [[] for _ in calls]
    for at in range(times):
        for call, found in zip(calls, taken, strict=True):
            begun = time.perf_counter()
            call()
            found.append(time.perf_counter() - begun)
        if sys.stderr.isatty():
            print(f"\r{at + 1} of {times}", end="", file=sys.stderr)
    if sys.stderr.isatty():
        print("\r", end="", file=sys.stderr)
    return taken


def tell(name: str, seconds: list[float]) -> float:
    """Print the median and the ninth decile of a series [s]; return the median."""
    middle = statistics.median(seconds)
    ninth = statistics.quantiles(seconds, n=10)[8]
    print(f"{name:<44} median {middle * 1000:8.2f} ms   9 of 10 below {ninth * 1000:8.2f} ms")
    return middle
