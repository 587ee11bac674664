"""What studies share: rows of figures, printed as they come, kept with their recipe when asked.

A study plays invented players whose truth is known and counts how often a report is right. It is
slow, and run by hand: `python -m tests.studies.spread_fit --keep` plays it anew and writes
`kept/spread_fit.json`, which is due whenever the report it judges changes.
"""

from __future__ import annotations

import argparse
import json
import math
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np

KEPT = Path(__file__).with_name("kept")
Row = dict[str, Any]
# (runs a row, seed) -> rows, one after the other.
Study = Callable[[int, int], Iterator[Row]]


def share(hits: list[bool] | np.ndarray) -> tuple[float, float]:
    """Return a share and its standard error, both to three figures."""
    found = float(np.mean(hits))
    return round(found, 3), round(math.sqrt(max(found * (1 - found), 1e-9) / len(hits)), 3)


def play(name: str, doc: str, study: Study, runs: int) -> None:
    """Play a study by what the command line asks: `--runs`, `--seed`, `--keep`."""
    parser = argparse.ArgumentParser(description=doc, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--runs", type=int, default=runs, help="runs for each row")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", action="store_true", help="write kept/<name>.json")
    asked = parser.parse_args()
    begun, rows = time.monotonic(), []
    for row in study(asked.runs, asked.seed):
        rows.append(row)
        print("  ".join(f"{key} {value}" for key, value in row.items()), flush=True)
    print(f"{len(rows)} rows in {time.monotonic() - begun:.0f} s")
    if asked.keep:
        write(name, rows, asked.runs, asked.seed)


def write(name: str, rows: list[Row], runs: int, seed: int) -> None:
    """Keep rows and recipe, one row a line."""
    KEPT.mkdir(exist_ok=True)
    recipe = json.dumps({"study": name, "runs": runs, "seed": seed})
    lines = ",\n  ".join(json.dumps(row) for row in rows)
    (KEPT / f"{name}.json").write_text(f'{{"recipe": {recipe},\n "rows": [\n  {lines}\n ]}}\n', "utf-8")
