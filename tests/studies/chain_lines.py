"""Lines that were declared, from layouts drawn at random, with their predictions: for hands of known spread.

    python -m tests.studies.chain_lines    finds them anew, where simulator, errors or search changed

It takes some minutes. A line is one of the best three of its layout, as players choose.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from analytics.aim.lines.errors import executed
from analytics.aim.lines.judging import Game
from analytics.aim.lines.search import FULL, find_lines
from analytics.aim.predicting import MODEL, STROKES, falling, predict
from analytics.table.parameters import PRESETS
from analytics.table.shots import BALLS, Strike
from scoring.rules.disciplines import DISCIPLINES

KEPT = Path(__file__).with_name("kept") / "chain_lines.json"
DISCIPLINE, TABLE = DISCIPLINES["three-cushion"], PRESETS["match-heated"]
LINES, SEED = 40, 2_061
# How near balls lie to each other and to a rail at the least [diamonds].
APART, FROM_RAIL = 0.25, 0.15
# Declared lines: among the best few, as players choose.
BEST_OF = 3
TIMES = 1.5


@dataclass(frozen=True)
class Declared:
    """A line that was declared, and its prediction: points made of 1,024 strokes at each spread."""

    layout: dict[str, list[float]]
    cue_ball: str
    line: dict[str, float]
    family: str
    hits: tuple[int, ...]

    @property
    def grid(self) -> tuple[float, ...]:
        """Success at each spread, as predictions keep it."""
        return falling(self.hits, STROKES)


@cache
def lines() -> tuple[Declared, ...]:
    """Return the lines that were kept, in the order in which they were found."""
    told = json.loads(KEPT.read_text(encoding="utf-8"))
    return tuple(Declared(**row | {"hits": tuple(row["hits"])}) for row in told["lines"])


def play_lines(
    declared: Sequence[Declared], spreads: Sequence[float], rounds: int, chance: np.random.Generator
) -> np.ndarray:
    """Return what came of each line, played `rounds` times with the error of its spread; (n, rounds)."""
    made = np.zeros((len(declared), rounds), bool)
    for at, (one, spread) in enumerate(zip(declared, spreads, strict=True)):
        game = Game(one.layout, one.cue_ball, DISCIPLINE, TABLE, threads=1)
        plan = np.array([list(one.line.values())])
        done, sound = executed(plan, chance.standard_normal((rounds, 4)), spread)
        made[at] = game.outcomes(done[0], sound[0]).made
    return made


def errors_of(declared: Sequence[Declared], spread: float, weak: str | None = None) -> list[float]:
    """Return the spread each line is played with; the weak family's is 1.5 times as large."""
    return [spread * (TIMES if one.family == weak else 1.0) for one in declared]


def most_frequent(declared: Sequence[Declared]) -> str:
    return Counter(one.family for one in declared).most_common(1)[0][0]


def _found() -> list[dict[str, Any]]:
    """Draw layouts, search for lines, choose one of the best, and predict it."""
    chance = np.random.default_rng(SEED)
    found: list[dict[str, Any]] = []
    while len(found) < LINES:
        places = chance.uniform([FROM_RAIL] * 2, [4 - FROM_RAIL, 8 - FROM_RAIL], (3, 2)).round(3)
        which = int(chance.integers(BEST_OF))
        if min(np.hypot(*(places[a] - places[b])) for a, b in ((0, 1), (0, 2), (1, 2))) < APART:
            continue
        layout = {name: places[at].tolist() for at, name in enumerate(BALLS)}
        best = find_lines(
            layout, "white", limit=BEST_OF, table=TABLE, discipline=DISCIPLINE, budget=FULL
        ).lines
        if len(best) <= which:
            continue
        line = best[which]
        strike = Strike(**{name: round(value, 2) for name, value in asdict(line.strike).items()})
        made = predict(layout, "white", strike, table=TABLE, discipline=DISCIPLINE)
        assert made is not None
        found.append(asdict(Declared(layout, "white", asdict(strike), line.group.family, made.hits)))
        print(len(found), line.group.family, f"{made.success:.2f}", flush=True)
    return found


def keep() -> None:
    """Find the lines and keep them: a line of the file each."""
    rows = ",\n".join(json.dumps(row, separators=(",", ":")) for row in _found())
    KEPT.parent.mkdir(exist_ok=True)
    KEPT.write_text(f'{{"model":{MODEL},"seed":{SEED},"lines":[\n{rows}\n]}}\n', encoding="utf-8")


if __name__ == "__main__":
    keep()
