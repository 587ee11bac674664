"""Lines: how long a search takes, what it misses of a search of ten times the strokes, and a plain grid.

Random layouts, three-cushion, spread 1. Values are compared by the same 1,024 fresh errors.
What the long search found stands in `kept/lines.json` with its recipe; `--keep` searches anew
(twenty seconds a layout on two processors), which is due whenever the simulator or the errors change.
The grid plays as many strokes as the full search: evenly over direction, speed and tip, each
that makes the point ranked by 16 errors, the best of each group chosen by 64.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import asdict, astuple
from pathlib import Path

import numpy as np

from analytics.aim.lines.climbing import CHOOSE, RANK, apart, best_of_groups, tried
from analytics.aim.lines.errors import SIGMAS
from analytics.aim.lines.judging import Game, Group
from analytics.aim.lines.measuring import measured
from analytics.aim.lines.search import FIRST, FULL, Budget, Found, find_lines
from analytics.table.parameters import TableParameters
from scoring.rules.disciplines import DISCIPLINES
from tests.analytics.aim.layouts import layouts_at_random

ROOT = Path(__file__).resolve().parents[2]
KEPT = Path(__file__).with_name("kept") / "lines.json"
TEN_TIMES = Budget(524288, 48, 16, 8, (32, 32, 64, 64, 64), (6, 60), 512)
COLD = """
import time
begun = time.perf_counter()
from analytics.aim.lines.search import FIRST, find_lines
find_lines({"white": (1.0, 1.0), "yellow": (3.1, 2.3), "red": (2.1, 5.9)}, "white", budget=FIRST)
print(time.perf_counter() - begun)
"""
Values = dict[Group, float]


def values_of(found: Found) -> Values:
    return {line.group: line.measured.success for line in found.lines}


def by_grid(layout: dict, strokes: int) -> tuple[Values, int]:
    """Return what a plain grid of so many strokes finds, and the strokes it played in all."""
    game = Game(layout, "white", DISCIPLINES["three-cushion"], TableParameters())
    explored = strokes // 2
    speeds, tips = np.linspace(1.5, 6, 8), np.linspace(-0.4, 0.4, 5)
    directions = np.linspace(0, 360, explored // (8 * 25), endpoint=False)
    parts = np.meshgrid(directions, speeds, tips, tips, indexing="ij")
    plans = np.column_stack([part.ravel() for part in parts])
    plans = plans[np.hypot(plans[:, 2], plans[:, 3]) <= 0.45]
    found = game.outcomes(plans)
    hits = plans[found.made]
    room = (strokes * 9 // 10 - game.played) // 17
    hits = hits[np.linspace(0, len(hits) - 1, min(room, len(hits))).round().astype(int)]
    ranked = tried(game, hits, 16, RANK, 1.0)
    ranked = ranked.taken(apart(ranked, 1.0, 2))
    chosen = tried(game, ranked.strikes, 64, CHOOSE, 1.0)
    rows = best_of_groups(chosen, 1, 10)
    values = {
        game.groups[chosen.group[row]]: measured(game, chosen.strikes[row], 1.0, 1024).success for row in rows
    }
    return values, game.played


def compared(name: str, found: list[Values], against: list[Values], strokes: list[int]) -> None:
    """Print the loss of the best line and how much of the best five was found."""
    loss = [max(far.values()) - max(near.values()) for near, far in zip(found, against, strict=True)]
    five = [sorted(far, key=lambda group: -far[group])[:5] for far in against]
    there = [group in near for near, best in zip(found, five, strict=True) for group in best]
    close = [
        near.get(group, 0.0) > far[group] - 0.1
        for near, far, best in zip(found, against, five, strict=True)
        for group in best
    ]
    doubt = statistics.stdev(loss) / len(loss) ** 0.5
    print(
        f"{name:<12} {statistics.median(strokes):9,.0f} strokes   loss of the best {statistics.mean(loss):+.3f}"
        f" (± {doubt:.3f})   within 0.05: {sum(one <= 0.05 for one in loss) / len(loss):4.0%}"
        f"   best five found {sum(there) / len(there):4.0%}, within 0.1 {sum(close) / len(close):4.0%}"
    )


def do_keep(layouts: list[dict], seed: int) -> None:
    """Search every layout with ten times the strokes and keep what was found."""
    found: list[Found] = []
    for layout in layouts:
        found.append(find_lines(layout, "white", budget=TEN_TIMES, limit=20))
        print(f"\r{len(found)} of {len(layouts)} layouts", end="", file=sys.stderr, flush=True)
    recipe = {
        "layouts": len(layouts),
        "seed": seed,
        "spread": 1.0,
        "execution_error": SIGMAS.tolist(),
        "budget": asdict(TEN_TIMES),
        "strokes": round(statistics.mean(one.searched for one in found)),
    }
    lines = [
        [[*astuple(group), round(success, 4)] for group, success in values_of(one).items()] for one in found
    ]
    KEPT.parent.mkdir(exist_ok=True)
    KEPT.write_text(json.dumps({"recipe": recipe, "lines": lines}, indent=None) + "\n", "utf-8")


def kept(seed: int, most: int) -> list[Values]:
    """Return what the long search found of the first layouts of a seed."""
    whole = json.loads(KEPT.read_text("utf-8"))
    recipe = whole["recipe"]
    if recipe["seed"] != seed or recipe["execution_error"] != SIGMAS.tolist():
        sys.exit("What is kept is of another seed or another execution error: run with --keep first.")
    print(f"kept: {recipe['strokes']:,} strokes a layout")
    return [{Group(*group): success for *group, success in row} for row in whole["lines"][:most]]


def timed(layout: dict, budget: Budget, limit: int) -> tuple[Found, float]:
    begun = time.perf_counter()
    found = find_lines(layout, "white", budget=budget, limit=limit)
    return found, time.perf_counter() - begun


def tell_times(name: str, taken: list[tuple[Found, float]]) -> None:
    seconds, strokes = [one for _, one in taken], [found.searched for found, _ in taken]
    late = statistics.quantiles(seconds, n=20)[18]
    print(
        f"{name:<12} median {statistics.median(seconds):6.2f} s   95 of 100 below {late:6.2f} s"
        f"   strokes {statistics.median(strokes):9,.0f}, at the most {max(strokes):,}"
    )


def cold() -> list[float]:
    """Return seconds of a first answer in a new process: nothing compiled, then all kept on disk."""
    with tempfile.TemporaryDirectory() as folder:
        environ = os.environ | {"PYTHONPATH": str(ROOT), "NUMBA_CACHE_DIR": folder}
        return [
            float(
                subprocess.run(
                    [sys.executable, "-c", COLD], env=environ, capture_output=True, text=True, check=True
                ).stdout
            )
            for _ in range(2)
        ]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--layouts", type=int, default=50, help="for the times")
    parser.add_argument("--quality", type=int, default=12, help="layouts searched with ten times the strokes")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", action="store_true", help="search with ten times the strokes and keep it")
    asked = parser.parse_args()
    if asked.keep:
        do_keep(layouts_at_random(asked.quality, asked.seed), asked.seed)
    layouts = layouts_at_random(max(asked.layouts, asked.quality), asked.seed)
    find_lines(layouts[0], "white", budget=FIRST)
    budgets = {"first lines": FIRST, "full answer": FULL}
    taken: dict[str, list[tuple[Found, float]]] = {name: [] for name in budgets}
    for layout in layouts[: asked.layouts]:
        for name, budget in budgets.items():
            limit = 5 if budget is FIRST else 10
            taken[name].append(timed(layout, budget, limit))
    for name, found in taken.items():
        tell_times(name, found)
    best = [found.lines[0].measured.success for found, _ in taken["full answer"]]
    doubt = statistics.stdev(best) / len(best) ** 0.5
    print(f"best line: mean success {statistics.mean(best):.3f} (± {doubt:.3f} over {len(best)} layouts)")
    for name, seconds in zip(("nothing compiled", "kept on disk"), cold(), strict=True):
        print(f"first lines in a new process, {name}: {seconds:.1f} s")

    layouts = layouts[: asked.quality]
    against = kept(asked.seed, asked.quality)
    for name, budget in budgets.items():
        near = [find_lines(layout, "white", budget=budget, limit=10) for layout in layouts]
        compared(name, [values_of(found) for found in near], against, [found.searched for found in near])
    strokes = round(statistics.median(found.searched for found, _ in taken["full answer"]))
    grid = [by_grid(layout, strokes) for layout in layouts]
    compared("plain grid", [values for values, _ in grid], against, [played for _, played in grid])


if __name__ == "__main__":
    main()
