"""Words about streaks and families: how often they are said of players who have nothing to say of.

Streaks: 40 matches of 25 innings, p = 0.4 on the mean, form that moves between matches; then a player
who scores more often after an own point. `stratified` is the exact test match by match at 5 %,
`pooled` the same over all innings at once, `permuted` that on three points in a row. Families: twelve,
whose promises are true, or one of which is played worse; `any` counts players of whom a word is said.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

import numpy as np

from analytics.reports.families import table
from analytics.reports.permuting import streak
from analytics.reports.streaks import Strokes, scoring_innings, stratified
from analytics.reports.wording import Shown
from tests.studies.study import Row, play, share

MATCHES, INNINGS, P = 40, 25, 0.4
# (sd of form, points in 100 that a stroke gains after an own point)
PLAYERS = ((0.0, 0.0), (0.2, 0.0), (0.35, 0.0), (0.5, 0.0), (0.0, 0.05), (0.0, 0.10), (0.35, 0.10))
FAMILIES = tuple(f"family {at}" for at in range(12))
# (strokes in all, log-odds by which one family is off)
TABLES = ((600, 0.0), (2_400, 0.0), (6_000, 0.0), (2_400, -0.8), (6_000, -0.8))
# A permutation takes longer: looked at in one run of so many, with so many draws.
EVERY, DRAWS = 5, 199


def match(p: float, gain: float, rng: np.random.Generator) -> np.ndarray:
    """Strokes of one match of INNINGS innings, each ended by a miss; later strokes of a run gain."""
    strokes: list[int] = []
    for _ in range(INNINGS):
        run = 0 if rng.random() >= p else int(rng.geometric(1.0 - p - gain))
        strokes += [1] * run + [0]
    return np.array(strokes)


def study(runs: int, seed: int) -> Iterator[Row]:
    rng = np.random.default_rng(seed)
    for form, gain in PLAYERS:
        yield _streaks(form, gain, runs, rng)
    for strokes, off in TABLES:
        yield _families(strokes, off, runs, rng)


def _counted(strokes: np.ndarray, last: Literal["miss", "point"] = "miss") -> Strokes:
    firsts = np.r_[True, strokes[:-1] == 0]
    points = int(strokes.sum())
    return Strokes(strokes.size - points, points, int(strokes[firsts].sum()), last)


def _streaks(form: float, gain: float, runs: int, rng: np.random.Generator) -> Row:
    apart, together, permuted, held, difference = [], [], [], [], []
    for run in range(runs):
        logits = rng.normal(np.log(P / (1.0 - P)), form, MATCHES)
        matches = [match(1.0 / (1.0 + np.exp(-one)), gain, rng) for one in logits]
        counts = [_counted(one) for one in matches]
        found = stratified(counts)
        apart.append(found.p_low < 0.05)
        whole = np.array([[one.points, one.misses, one.scoring] for one in counts]).sum(axis=0)
        together.append(scoring_innings(*whole.tolist()).p_low < 0.05)
        if found.interval is not None and found.after_point is not None:
            held.append(found.interval.holds(0.0))
            difference.append(found.after_point)
        if run % EVERY == 0:
            p_high = streak([(one, False) for one in matches], 3, draws=DRAWS, seed=run).p_high
            permuted.append(p_high is not None and p_high <= 0.05)
    return {
        "words": "streaks",
        "form_sd": form,
        "gain": gain,
        "stratified": share(np.array(apart)),
        "pooled": share(np.array(together)),
        "permuted": share(np.array(permuted)),
        "interval_holds_0": share(np.array(held)),
        "after_point": round(float(np.mean(difference)), 3),
    }


def _families(strokes: int, off: float, runs: int, rng: np.random.Generator) -> Row:
    """Shares fall from family to family, so that the rare ones have too few strokes for words."""
    shares = np.geomspace(1.0, 0.1, len(FAMILIES))
    shares /= shares.sum()
    anything, of_the_one, of_others, shown = [], [], [], []
    worse = 3
    for _ in range(runs):
        family = rng.choice(len(FAMILIES), strokes, p=shares)
        p = np.clip(rng.beta(2.0, 2.6, strokes), 5e-4, 1 - 5e-4)
        odds = np.log(p / (1.0 - p)) + np.where(family == worse, off, 0.0)
        made = (rng.random(strokes) < 1.0 / (1.0 + np.exp(-odds))).astype(float)
        rows = table(FAMILIES, family, made, p).rows
        said = {row.family for row in rows if row.shown is Shown.WORDS}
        anything.append(bool(said))
        of_the_one.append(FAMILIES[worse] in said)
        of_others.append(bool(said - {FAMILIES[worse]}))
        shown.append(sum(row.attempts >= 100 for row in rows))
    row: Row = {
        "words": "families",
        "strokes": strokes,
        "off": off,
        "families_of_100": round(float(np.mean(shown)), 1),
        "any": share(np.array(anything)),
    }
    if off:
        row |= {"the_one": share(np.array(of_the_one)), "another": share(np.array(of_others))}
    return row


if __name__ == "__main__":
    play("false_alarms", __doc__ or "", study, runs=1_000)
