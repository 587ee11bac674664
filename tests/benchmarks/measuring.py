"""How often the intervals of a measured table hold: `python -m tests.benchmarks.measuring [sets]`.

Invented tables, drawn about the preset of a club, are measured with the guided set by a reader
who is off by 0.1 diamond and 0.15 s (normal), and by a player who strikes side 0.03 of a radius
off (normal, one draw a set). The fit starts from the preset. Printed: of each value how often its
interval of 90 % holds the truth, its bias and half-width; of the corner's correction how often the
interval of its offset holds the mean of the noise-free tracks, and how far a track's own number is
from the noise-free one beside how far the book is; how many sets were refused, and why.
"""

from __future__ import annotations

import sys
from collections import Counter
from concurrent.futures import ProcessPoolExecutor

import numpy as np

from analytics.aim.measured.fitting import fit
from analytics.aim.measured.results import Unfit
from analytics.aim.measured.solving import FITTED, READ, SIDE_PRIOR, WATCH, readings_of
from analytics.aim.measured.strokes import STROKES
from analytics.table.parameters import PRESETS

SEED = 20261125
RANGES = {
    "cushion_restitution": (0.88, 0.97),
    "cushion_friction": (0.12, 0.24),
    "cloth_rolling_friction": (0.006, 0.013),
}


def measured(seed: int):
    """Return (truth, noise-free arrivals of the tracks, what was fitted or why it was refused)."""
    rng = np.random.default_rng([SEED, seed])
    truth = {name: rng.uniform(*edges) for name, edges in RANGES.items()}
    side = rng.normal(0.0, SIDE_PRIOR)
    table = PRESETS["club"].overridden(truth)
    # A lag that rolls as far on any cloth: the pace goes with the root of the friction.
    scale = (truth["cloth_rolling_friction"] / 0.010) ** 0.5
    paces = {code: rng.uniform(1.4, 1.65) * scale for code in ("lag-1", "lag-2")}
    exact = readings_of(table, paces, side)
    read = {
        code: [value + rng.normal(0.0, unit) for value, unit in zip(values, (READ, WATCH), strict=False)]
        for code, values in exact.items()
    }
    own = {code: exact[code][0] for code, one in STROKES.items() if one.book is not None and code in exact}
    try:
        return truth | {"side": side}, own, fit(read, PRESETS["club"])
    except Unfit as refused:
        return truth, own, refused.reason.template


def main(sets: int) -> None:
    with ProcessPoolExecutor(2) as pool:
        found = list(pool.map(measured, range(sets), chunksize=10))
    refused = Counter(told for _, _, told in found if isinstance(told, str))
    fitted = [(truth, own, told) for truth, own, told in found if not isinstance(told, str)]
    print(f"{sets} sets, {len(fitted)} fitted")
    for reason, count in refused.items():
        print(f"  refused {count}: {reason}")
    for name in (*FITTED, "side"):
        rows = [
            (one.value - truth[name], (one.high - one.low) / 2, one.low <= truth[name] <= one.high)
            for truth, _, told in fitted
            for one in (*told.values, told.side)
            if one.name == name
        ]
        off, half, held = np.array(rows).T
        print(f"  {name}: held {held.mean():.3f}, bias {off.mean():+.5f}, half-width {np.median(half):.5f}")
    held, own_off, book_off, sloped = [], [], [], 0
    for _, own, told in fitted:
        fix = told.correction
        mean = np.mean([own[one.code] - one.book for one in fix.tracks])
        held.append(fix.offset_low <= mean <= fix.offset_high)
        sloped += fix.slope != 0
        for one in fix.tracks:
            own_off.append(fix.arrival(one.book)[0] - own[one.code])
            book_off.append(one.book - own[one.code])
    print(
        f"  offset of the corner: held {np.mean(held):.3f}; a slope in {sloped / len(fitted):.2f} of the sets"
    )
    print(
        f"  a track's own number is off by {np.sqrt(np.mean(np.square(own_off))):.3f} (rms),"
        f" the book by {np.sqrt(np.mean(np.square(book_off))):.3f}"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
