"""The whole chain on simulated truth: strokes of a known hand, and what the reports make of them.

A hand of known spread plays declared lines (chain_lines.py). Fitted from their predictions and from
what came of them, the spread should lie in its interval, and what is promised before each stroke by
the strokes before it should hold: `too_high_mcb` is how often MCB passes what 95 in 100 true promises
stay below, `shifted` how often the shift's 90 % interval misses 0. With a `weak` family, the one that
is tried most, played with 1.5 times the error: how often it `comes_first` in what to practise, is
`named`, or `another` is.

With 2,000 strokes on 40 lines each prediction is asked 50 times, and what its 1,024 strokes are off
by chance is the same each time. A very steady hand's interval then holds the truth less often than it
says; whether that is why was not looked into.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from analytics.aim.predicting import success_at
from analytics.reports import calibration, practising, recalibrating, spreads
from tests.studies.chain_lines import Declared, errors_of, lines, most_frequent, play_lines
from tests.studies.study import Row, play, share

# Lines and strokes of each: what the test plays, and ten times as much.
SIZES = ((20, 10), (40, 50))
STEADY, WEAK = (0.6, 1.0, 1.6), (0.8, 1.2)


def success(grid: np.ndarray, spread: float) -> np.ndarray:
    """Return the success at one spread of each row of a grid, shape (n,)."""
    return np.array([success_at(row, spread) for row in grid.tolist()])


def items(grid: np.ndarray, made: np.ndarray, family: np.ndarray) -> list[practising.Item]:
    """Return families as what may be practised: what was made beside what the fitted hand should make."""
    promised = success(grid, spreads.fit(grid, made).median)
    found = []
    for name in sorted(set(family.tolist())):
        rows = family == name
        points, tries = float(made[rows].sum()), int(rows.sum())
        attainable, error = practising.of_predictions(promised[rows])
        found.append(
            practising.Item(name, tries / len(made), points + 0.5, tries - points + 0.5, attainable, error)
        )
    return found


def study(runs: int, seed: int) -> Iterator[Row]:
    for count, rounds in SIZES:
        for spread in STEADY:
            yield _steady(spread, lines()[:count], rounds, runs, seed)
    for count, rounds in SIZES:
        for spread in WEAK:
            yield _weak(spread, lines()[:count], rounds, runs, seed)


def _steady(spread: float, declared: Sequence[Declared], rounds: int, runs: int, seed: int) -> Row:
    grid = np.repeat([one.grid for one in declared], rounds, axis=0)
    holds, off, shifted, ratios, widths = [], [], [], [], []
    for run in range(runs):
        rng = np.random.default_rng([seed, run])
        made = play_lines(declared, errors_of(declared, spread), rounds, rng).astype(float).ravel()
        found = spreads.fit(grid, made)
        holds.append(found.interval.holds(spread))
        ratios.append(float(np.log(found.median / spread)))
        widths.append(float(np.log(found.interval.high / found.interval.low)) / 2)
        order = rng.permutation(len(made))
        promised, came = spreads.one_step(grid[order], made[order]), made[order]
        chance = calibration.by_chance(promised, draws=200, seed=run)
        off.append(calibration.corp(promised, came).mcb > chance.most)
        large = recalibrating.in_the_large(promised, came)
        shifted.append(large is not None and not large.interval.holds(0.0))
    return {
        "spread": spread,
        "strokes": len(grid),
        "holds": share(holds),
        "bias_log": (round(float(np.mean(ratios)), 3), round(float(np.std(ratios) / np.sqrt(runs)), 3)),
        "half_width_log": round(float(np.median(widths)), 3),
        "too_high_mcb": share(off),
        "shifted": share(shifted),
    }


def _weak(spread: float, declared: Sequence[Declared], rounds: int, runs: int, seed: int) -> Row:
    grid = np.repeat([one.grid for one in declared], rounds, axis=0)
    family = np.repeat([one.family for one in declared], rounds)
    weak = most_frequent(declared)
    errors = errors_of(declared, spread, weak)
    first, named, another = [], [], []
    for run in range(runs):
        rng = np.random.default_rng([seed, run])
        made = play_lines(declared, errors, rounds, rng).astype(float).ravel()
        advice = practising.advise(items(grid, made, family), draws=2_000, seed=run)
        first.append(advice.worth[0].name == weak)
        named.append(advice.named == weak)
        another.append(advice.named not in (weak, None))
    return {
        "spread": spread,
        "strokes": len(grid),
        "weak": weak,
        "its_share": round(float(np.mean(family == weak)), 2),
        "comes_first": share(first),
        "named": share(named),
        "another": share(another),
    }


if __name__ == "__main__":
    play("chain", __doc__ or "", study, runs=200)
