"""What calibration says: how often of true promises, and how often where something is wrong with them.

Predictions are spread as in play and come of 1,024 simulated strokes, so that each is a little off.
`said`: anything but "nothing against the promises"; true promises should get that one time in ten
at the most. `rightly`: the words name what is wrong. `shift`, `slope`, `mcb`: how often the interval
in the large, that of the slope, and the 95th percentile of chance hold the truth.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from analytics.aim.predicting import STROKES
from analytics.reports.calibration import by_chance, corp
from analytics.reports.recalibrating import Verdict, in_the_large, recalibrate, verdict
from tests.studies.study import Row, play, share

LENGTHS = (100, 200, 400, 800, 3_000)
# (shift, slope) of the true log-odds on those predicted, and what should be said.
TRUTHS = {
    "true": (0.0, 1.0, {Verdict.AS_PROMISED}),
    "a quarter more": (0.25, 1.0, {Verdict.MORE}),
    "a quarter fewer": (-0.25, 1.0, {Verdict.FEWER}),
    "slope 0.7": (0.0, 0.7, {Verdict.BOLD}),
    "slope 1.3": (0.0, 1.3, {Verdict.TIMID}),
}
# The chance value of MCB takes a thousand fits: looked at in so many runs.
CHANCE_RUNS = 200


def strokes(
    count: int, shift: float, slope: float, rng: np.random.Generator
) -> tuple[np.ndarray, np.ndarray]:
    """Predictions, and outcomes of what they ought to have been."""
    ideal = rng.beta(2.0, 2.6, count)
    promised = (rng.binomial(STROKES, ideal) + 0.5) / (STROKES + 1)
    odds = shift + slope * np.log(ideal / (1.0 - ideal))
    return promised, (rng.random(count) < 1.0 / (1.0 + np.exp(-odds))).astype(float)


def study(runs: int, seed: int) -> Iterator[Row]:
    rng = np.random.default_rng(seed)
    for truth, (shift, slope, right) in TRUTHS.items():
        for length in LENGTHS:
            words, large, tilt, above = [], [], [], []
            for run in range(runs):
                p, o = strokes(length, shift, slope, rng)
                words.append(verdict(p, o))
                one, both = in_the_large(p, o), recalibrate(p, o)
                large.append(one is not None and one.interval.holds(shift))
                tilt.append(both is not None and both.of_slope.holds(slope))
                if run < CHANCE_RUNS and truth == "true":
                    above.append(corp(p, o).mcb > by_chance(p, draws=200, seed=run).most)
            row: Row = {
                "truth": truth,
                "strokes": length,
                "said": share(np.array([one is not Verdict.AS_PROMISED for one in words])),
                "rightly": share(np.array([one in right for one in words])),
            }
            if slope == 1.0:
                row["shift"] = share(np.array(large))
            row["slope"] = share(np.array(tilt))
            if above:
                row["mcb_above"] = share(np.array(above))
            yield row


if __name__ == "__main__":
    play("calibration_words", __doc__ or "", study, runs=2_000)
