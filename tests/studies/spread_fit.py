"""The fit of the spread: how often its 90 % interval holds the truth, and where its median lies.

Two kinds of layout. `angle`: one tolerance, a stroke scores while its error stays within it.
`two errors`: both must, and one stroke in twelve fails for another reason. Predictions come of
1,024 normal errors: `shared`, the same for all lines of a player, or a line's `own`, as the calculator
draws them; the player's are fresh. `layout_error`: sd by which a layout's true log-odds are off the calculator's. `exact`: what a
fit that allows for no such error would hold. `prior`: the truth drawn from what the fit believes beforehand.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from analytics.aim.predicting import STROKES
from analytics.reports.spread_learning import NODES
from analytics.reports.spreads import Stage, fit
from tests.studies.study import Row, play, share

LENGTHS = (25, 100, 400, 1_000)
# Sd of the layouts' error, whose errors predictions come of, and the true spreads looked at with both.
TRUTHS: tuple[tuple[float, str, tuple[float | str, ...]], ...] = (
    (0.0, "shared", (0.5, 1.0, 2.0, "prior")),
    (0.5, "shared", (1.0, "prior")),
    (1.0, "shared", (1.0, "prior")),
    (0.0, "own", (0.5, 2.0, "prior")),
)
CEILING = 11 / 12


def layouts(kind: str, count: int, rng: np.random.Generator) -> np.ndarray:
    """(count, 2) tolerances of both errors; the second of an `angle` never binds."""
    first = rng.lognormal(-0.4 if kind == "angle" else 0.1, 0.6, count)
    second = np.full(count, np.inf) if kind == "angle" else rng.lognormal(0.3, 0.5, count)
    return np.stack([first, second], axis=1)


def predicted(kind: str, tolerances: np.ndarray, errors: np.ndarray) -> np.ndarray:
    """(n, 12) success as predictions keep it: of the same errors scaled, so that it never rises; never 0 or 1."""
    # A stroke scores up to the spread at which the worse of its errors meets its tolerance.
    worse = (errors / tolerances[:, None, :]).max(axis=2)
    hits = np.stack([(worse <= 1.0 / spread).sum(axis=1) for spread in NODES], axis=1)
    return (hits * (1.0 if kind == "angle" else CEILING) + 0.5) / (STROKES + 1)


def played(
    kind: str, tolerances: np.ndarray, spread: float, off: np.ndarray, rng: np.random.Generator
) -> np.ndarray:
    """Outcomes of a player whose layouts' log-odds are off by so much."""
    from scipy.special import erf, expit, logit

    p = erf(tolerances / (spread * np.sqrt(2.0))).prod(axis=1) * (1.0 if kind == "angle" else CEILING)
    return (rng.random(len(p)) < expit(logit(np.clip(p, 1e-9, 1 - 1e-9)) + off)).astype(float)


def cells() -> list[tuple[str, float | str, float, str]]:
    """Kind of layout, true spread, layouts' error, and whose errors the predictions come of."""
    return [
        (kind, true, layout_error, errors)
        for kind in ("angle", "two errors")
        for layout_error, errors, truths in TRUTHS
        for true in truths
    ]


def study(runs: int, seed: int) -> Iterator[Row]:
    for at, (kind, true, layout_error, errors) in enumerate(cells()):
        yield from _cell(kind, true, layout_error, errors, runs, np.random.default_rng([seed, at]))


def _cell(
    kind: str,
    true: float | str,
    layout_error: float,
    errors: str,
    runs: int,
    rng: np.random.Generator,
) -> Iterator[Row]:
    found: dict[int, list[tuple[bool, bool, float, float, bool]]] = {length: [] for length in LENGTHS}
    for _ in range(runs):
        spread = _of_prior(rng) if true == "prior" else float(true)
        tolerances = layouts(kind, LENGTHS[-1], rng)
        lines = 1 if errors == "shared" else len(tolerances)
        drawn = np.abs(rng.normal(size=(lines, STROKES, 2)))
        success = predicted(kind, tolerances, drawn)
        off = rng.normal(0.0, layout_error, LENGTHS[-1])
        made = played(kind, tolerances, spread, off, rng)
        for length in LENGTHS:
            full = fit(success[:length], made[:length])
            exact = fit(success[:length], made[:length], layout_errors=(0.0,))
            found[length].append(
                (
                    full.interval.holds(spread),
                    exact.interval.holds(spread),
                    float(np.log(full.median / spread)),
                    float(np.log(full.interval.high / full.interval.low) / 2.0),
                    full.stage is Stage.SETTLED,
                )
            )
    for length, rows in found.items():
        holds, exactly, bias, wide, settled = zip(*rows, strict=True)
        yield {
            "layouts": kind,
            "spread": true,
            "layout_error": layout_error,
            "errors": errors,
            "strokes": length,
            "holds": share(np.array(holds)),
            "exact": share(np.array(exactly)),
            "bias_log": (round(float(np.mean(bias)), 3), round(float(np.std(bias) / np.sqrt(runs)), 3)),
            "half_width_log": round(float(np.median(wide)), 3),
            "settled": share(np.array(settled))[0],
        }


def _of_prior(rng: np.random.Generator) -> float:
    while not np.log(NODES[0]) < (drawn := rng.normal(0.0, 0.5)) < np.log(NODES[-1]):
        pass
    return float(np.exp(drawn))


if __name__ == "__main__":
    play("spread_fit", __doc__ or "", study, runs=100)
