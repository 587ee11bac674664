"""Rebuilding the projections of many matches from their entries."""

from __future__ import annotations

import argparse
import time

from tests.benchmarks.bench import database


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("--entries", type=int, default=100_000)
    wanted = options.parse_args().entries
    with database():
        from scoring.rebuilding import do_rebuild
        from tests.benchmarks.load import fill

        matches = fill(wanted)
        begun = time.perf_counter()
        for match in matches:
            if do_rebuild(match.pk):
                raise AssertionError(f"match {match.pk} differed")
        took = time.perf_counter() - begun
        entries = len(matches) * 60
        print(f"{entries:,} entries of {len(matches):,} matches rebuilt and proved in {took:.1f} s,")
        print(f"{entries / took:,.0f} entries a second.")


if __name__ == "__main__":
    main()
