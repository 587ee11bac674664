"""An entry does not become dearer: late in a match, or in a large database."""

from __future__ import annotations

import argparse

from tests.benchmarks.bench import database, interleaved, tell

TIMES = 200


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("--rows", type=int, default=1_000_000, help="entries in the large database")
    rows = options.parse_args().rows
    with database():
        from tests.benchmarks.load import fill
        from tests.benchmarks.table import Device

        late = Device("late")
        late.write_up_to(1000)

        # Only the entries are timed, not the new matches they are early in.
        first, second = [], []
        for _ in range(TIMES // 4):
            early = Device(f"early {late.seq}")
            early.write_up_to(9)
            a, b = interleaved(4, early.inning, late.inning, warm=0)
            first += a
            second += b
        ratio = tell("entry 1,000 and later", second) / tell("entry 10 to 13", first)
        print(f"Late against early: {ratio:.2f} (goal: within 1.2).\n")

        fill(1000)
        small = Device("small")
        (few,) = interleaved(TIMES, small.inning)
        held = fill(rows, seed=2)
        large = Device("large")
        (many,) = interleaved(TIMES, large.inning)
        ratio = tell(f"among {len(held) * 60:,} entries", many) / tell("among about 1,000 entries", few)
        print(f"Large against small database: {ratio:.2f} (goal: within 1.2).")


if __name__ == "__main__":
    main()
